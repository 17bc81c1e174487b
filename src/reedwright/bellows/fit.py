"""The design that explains an existing bellows: least squares over every choice of slack.

Six sizes are sought: across flats, depth, half the closed pitch, opening, and the two gaps
that a maker leaves besides. Five or six things are measured; the gaps are held to their
usual values as if these had been measured, loosely. So there is always at least one more
equation than unknowns, and the misfit means something.
"""

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares
from scipy.special import chdtri

from reedwright.bellows.checks import check_wanted
from reedwright.bellows.design import design_bellows, ring_of
from reedwright.bellows.fitted import (
    BellowsFit,
    FittedValue,
    MeasuredBellows,
    Misfit,
    SlackTrial,
)
from reedwright.bellows.model import Layers, Slack, WantedBellows
from reedwright.errors import InputError, ModelError
from reedwright.units import mm_from_metres

__all__ = ["fit_bellows"]

#: How far makers' gaps may lie from the usual ones, one sigma (judged here, no source).
_PEAK_GAP_DOUBT_MM = 0.5
_VALLEY_GAP_DOUBT_MM = 0.3

#: Two choices of slack whose sums of squares differ by less cannot be told apart: two sigma.
_APART = 4.0

_QUANTITIES = (
    "across_flats_mm",
    "depth_mm",
    "half_pitch_mm",
    "opening_deg",
    "peak_gap_mm",
    "valley_gap_mm",
)


def fit_bellows(measured: MeasuredBellows) -> BellowsFit:
    """Return the design nearest to a bellows as measured, with misfits and doubts.

    Raises
    ------
    InputError
        If something measured is no bellows: a wrong unit, a closed length above the open one.
    ModelError
        If no opening of such folds reaches the open length.
    """
    start = _start(measured)
    trials = []
    for slack in Slack:
        try:
            found, sum_of_squares, covariance = _solve(measured, replace(start, slack=slack))
        except ModelError:
            # With this slack such cards would have no edges at all: it explains nothing.
            continue
        trials.append((sum_of_squares, found, covariance))
    if not trials:
        raise ModelError(
            "no bellows has such edges at such an opening, whatever gives at its corners; measure "
            "the edges of the card itself, not of the leather, and the sides and folds again"
        )
    trials.sort(key=lambda trial: trial[0])
    best, wanted, covariance = trials[0]
    misfits = _misfits(measured, wanted)
    return BellowsFit(
        measured=measured,
        design=design_bellows(wanted),
        values=tuple(
            FittedValue(name, float(value), math.sqrt(variance))
            for name, value, variance in zip(
                _QUANTITIES, _vector(wanted), np.diag(covariance), strict=True
            )
        ),
        misfits=misfits,
        trials=tuple(SlackTrial(found.slack, total) for total, found, _ in trials),
        is_explained=best <= float(chdtri(len(misfits) - len(_QUANTITIES), 0.05)),
        is_slack_certain=all(total > best + _APART for total, *_ in trials[1:]),
    )


def _start(measured: MeasuredBellows) -> WantedBellows:
    """Return a bellows from the measured lengths alone; refuse what is none."""
    if not 0.0 < measured.closed_length_mm < measured.open_length_mm:
        raise InputError(
            "a closed bellows is shorter than an open one and longer than nothing, got "
            f"{measured.closed_length_mm:g} mm closed and {measured.open_length_mm:g} mm open; "
            "measure between the two frames"
        )
    if not 0.0 < measured.card_short_edge_mm < measured.card_long_edge_mm:
        raise InputError(
            "the edge of a card at the valley is the shorter one, got "
            f"{measured.card_short_edge_mm:g} mm there and {measured.card_long_edge_mm:g} mm at "
            "the peak; swap them, or measure again"
        )
    for name in (
        "edge_doubt_mm", "across_flats_doubt_mm", "closed_length_doubt_mm", "open_length_doubt_mm",
    ):  # fmt: skip
        if not getattr(measured, name) > 0.0:
            raise InputError(
                f"a measurement has a doubt above 0 mm, got {getattr(measured, name):g} for "
                f"{name}; half the step of the rule is the least"
            )
    half_pitch_mm = measured.closed_length_mm / (2.0 * measured.folds)
    most_mm = 2.0 * measured.folds * math.hypot(measured.depth_mm, half_pitch_mm)
    if not measured.open_length_mm < most_mm:
        raise ModelError(
            f"{measured.folds} folds {measured.depth_mm:g} mm deep reach {most_mm:.0f} mm when "
            f"flat, and {measured.open_length_mm:g} mm were measured open; count the folds again, "
            "or measure the depth of the card from peak to valley"
        )
    al = math.pi / measured.sides
    across_mm = measured.across_flats_mm or (
        (measured.card_short_edge_mm * math.cos(al) + 1.0) / math.sin(al) + 2.0 * measured.depth_mm
    )
    wanted = WantedBellows(
        sides=measured.sides,
        folds=measured.folds,
        across_flats_mm=across_mm,
        depth_mm=measured.depth_mm,
        layers=_packed(measured, half_pitch_mm),
        allowances=measured.allowances,
        opening_deg=math.degrees(math.asin(measured.open_length_mm / most_mm)),
    )
    check_wanted(wanted)
    return wanted


def _packed(measured: MeasuredBellows, half_pitch_mm: float) -> Layers:
    flat = replace(measured.layers, packing_mm=0.0)
    return replace(flat, packing_mm=half_pitch_mm - flat.half_pitch_mm)


def _vector(wanted: WantedBellows) -> NDArray[np.float64]:
    return np.array(
        [
            wanted.across_flats_mm,
            wanted.depth_mm,
            wanted.layers.half_pitch_mm,
            wanted.opening_deg,
            wanted.allowances.peak_gap_mm,
            wanted.allowances.valley_gap_mm,
        ]
    )


def _wanted(
    measured: MeasuredBellows, start: WantedBellows, vector: NDArray[np.float64]
) -> WantedBellows:
    across_mm, depth_mm, half_pitch_mm, opening_deg, peak_mm, valley_mm = map(float, vector)
    return replace(
        start,
        across_flats_mm=across_mm,
        depth_mm=depth_mm,
        layers=_packed(measured, half_pitch_mm),
        opening_deg=opening_deg,
        allowances=replace(start.allowances, peak_gap_mm=peak_mm, valley_gap_mm=valley_mm),
    )


def _solve(
    measured: MeasuredBellows, start: WantedBellows
) -> tuple[WantedBellows, float, NDArray[np.float64]]:
    """Return the best sizes for one slack, their sum of squares and their covariance."""

    def residuals(vector: NDArray[np.float64]) -> NDArray[np.float64]:
        misfits = _misfits(measured, _wanted(measured, start, vector))
        return np.array([misfit.difference_mm / misfit.doubt_mm for misfit in misfits])

    first = _vector(start)
    # Not far from the start; the layers no thinner than their card, the gaps not negative.
    low = np.array([0.7, 0.7, 0.7, 0.7, 0.0, 0.0]) * first
    low[2] = max(low[2], measured.layers.card_mm)
    high = np.array([1.5, 1.5, 1.5, 1.3, np.inf, np.inf]) * first
    high[3], high[4:] = min(high[3], 89.0), (10.0, 10.0)
    inside = np.clip(first, low + 1e-6, high - 1e-6)
    solved = least_squares(
        residuals, inside, bounds=(low, high), x_scale=np.maximum(np.abs(inside), 0.1), xtol=1e-12,
        ftol=1e-14, gtol=1e-12,
    )  # fmt: skip
    jacobian = np.asarray(solved.jac, dtype=np.float64)
    covariance = np.asarray(np.linalg.inv(jacobian.T @ jacobian), dtype=np.float64)
    return _wanted(measured, start, solved.x), 2.0 * float(solved.cost), covariance


def _misfits(measured: MeasuredBellows, wanted: WantedBellows) -> tuple[Misfit, ...]:
    """Return what a design makes of everything measured, and of the usual gaps."""
    ring = ring_of(wanted)
    opening = math.radians(wanted.opening_deg)
    edge, usual = measured.edge_doubt_mm, measured.allowances
    found = [
        Misfit(
            "card_long_edge_mm", measured.card_long_edge_mm, mm_from_metres(ring.long_edge), edge
        ),
        Misfit(
            "card_short_edge_mm", measured.card_short_edge_mm, mm_from_metres(ring.short_edge), edge
        ),
        Misfit("depth_mm", measured.depth_mm, wanted.depth_mm, edge),
        Misfit(
            "closed_length_mm",
            measured.closed_length_mm,
            2.0 * wanted.folds * wanted.layers.half_pitch_mm,
            measured.closed_length_doubt_mm,
        ),
        Misfit(
            "open_length_mm",
            measured.open_length_mm,
            2.0 * wanted.folds * mm_from_metres(ring.hinge_width) * math.sin(opening),
            measured.open_length_doubt_mm,
        ),
        Misfit(
            "peak_gap_mm", usual.peak_gap_mm, wanted.allowances.peak_gap_mm, _PEAK_GAP_DOUBT_MM
        ),
        Misfit(
            "valley_gap_mm", usual.valley_gap_mm, wanted.allowances.valley_gap_mm,
            _VALLEY_GAP_DOUBT_MM,
        ),
    ]  # fmt: skip
    if measured.across_flats_mm is not None:
        found.append(
            Misfit(
                "across_flats_mm",
                measured.across_flats_mm,
                wanted.across_flats_mm,
                measured.across_flats_doubt_mm,
            )
        )
    return tuple(found)
