"""Tries in space whether a bellows folds: rigid cards, no card in another, leather enough.

The bodies of cards are kept apart by planes: each card must stay on its side of the mitre
planes through the corners, and between the plane of its valley and that of its peak. A
body is convex, so its corners tell. Where all cards keep to their own space, no two can
meet, whichever they are.
"""

import math

import numpy as np
from numpy.typing import NDArray

from reedwright.bellows.model import FoldCheck
from reedwright.bellows.surface import card_bodies, folded_surface
from reedwright.science.fold import FoldedRing, FoldState, fold_state

__all__ = ["RIGID_MM", "check_folding"]

#: A card is rigid to this: the rounding of the arithmetic, with room.
RIGID_MM = 1e-9


def check_folding(
    ring: FoldedRing,
    opening: float,
    *,
    card_mm: float,
    peak_leather_mm: float,
    valley_leather_mm: float,
    least_peak_gap_mm: float,
    states: int = 25,
) -> FoldCheck:
    """Return what happens from shut to an opening (radians), looked at in so many places.

    ``peak_leather_mm`` and ``valley_leather_mm`` are the widths of the gusset between the
    cards at peak and valley; the peak must keep ``least_peak_gap_mm`` open.
    """
    angles = np.linspace(ring.closed_angle, opening, states)
    each = [fold_state(ring, float(angle)) for angle in angles]
    worst = max(_card_error_mm(ring, float(angle), card_mm) for angle in angles)
    clearances = [_corner_clearance_mm(ring, state, card_mm) for state in each]
    tightest = int(np.argmin(clearances))
    folds = min(_fold_clearance_mm(ring, state, card_mm) for state in each)
    peak_gap = 1e3 * min(state.peak_gap for state in each)
    peak_used = max(_share(1e3 * state.peak_gap, peak_leather_mm) for state in each)
    valley_used = max(_share(1e3 * state.valley_gap, valley_leather_mm) for state in each)
    at_deg = math.degrees(angles[tightest])
    return FoldCheck(
        states=states,
        worst_card_error_mm=worst,
        least_corner_clearance_mm=clearances[tightest],
        least_corner_clearance_at_deg=at_deg,
        least_fold_clearance_mm=folds,
        least_peak_gap_mm=peak_gap,
        peak_leather_used=peak_used,
        valley_leather_used=valley_used,
        reasons=tuple(
            sentence
            for is_broken, sentence in (
                (
                    worst > RIGID_MM,
                    f"a card must keep its shape, one changes by {worst:.2g} mm; "
                    "report this, it is a mistake of the program",
                ),
                (
                    clearances[tightest] < -RIGID_MM,
                    f"neighbouring cards cut {-clearances[tightest]:.2f} mm into each other at "
                    f"{at_deg:.1f} degrees; make the gap at that corner wider by as much",
                ),
                (
                    folds < -RIGID_MM,
                    f"cards lying on each other cut {-folds:.2f} mm into each other; "
                    "the closed pitch is less than two cards",
                ),
                (
                    peak_gap < least_peak_gap_mm - RIGID_MM,
                    f"the peak gap closes to {peak_gap:.2f} mm and is to keep "
                    f"{least_peak_gap_mm:.2f} mm; open less, or cut the long edge shorter",
                ),
                (
                    peak_used > 1.0 + RIGID_MM,
                    f"the peak gap opens to {peak_used:.2f} times its leather of "
                    f"{peak_leather_mm:.2f} mm; cut the gusset wider at the peak",
                ),
                (
                    valley_used > 1.0 + RIGID_MM,
                    f"the valley gap opens to {valley_used:.2f} times its leather of "
                    f"{valley_leather_mm:.2f} mm; open less, or cut the gusset wider there",
                ),
            )
            if is_broken
        ),
    )


def _share(gap_mm: float, leather_mm: float) -> float:
    if leather_mm > 0.0:
        return gap_mm / leather_mm
    return 0.0 if gap_mm <= 0.0 else math.inf


def _card_error_mm(ring: FoldedRing, angle: float, card_mm: float) -> float:
    """Return the worst change of an edge or a diagonal of any card or panel against its flat."""
    H, h = 1e3 * ring.hinge_width, 1e3 * ring.card_depth
    long, short = 1e3 * ring.long_edge, 1e3 * ring.short_edge
    panels = folded_surface(ring, angle).panels
    bodies = card_bodies(ring, angle, card_mm=card_mm)
    # The body must hang in both hinges of the panel: at the valley by its outer face, at the
    # peak by the line that lies half a closed pitch inside that face.
    inwards = (bodies[:, :, 6:] - bodies[:, :, 2:4]) / card_mm
    peak_hinge = bodies[:, :, 2:4] + 1e3 * ring.half_pitch * inwards
    hinge = max(
        float(np.abs(bodies[:, :, :2] - panels[:, :, :2]).max()),
        float(np.abs(peak_hinge - panels[:, :, 2:]).max()),
    )
    return max(
        _error_mm(panels, depth=H, long=long, short=short),
        _error_mm(bodies[:, :, :4], depth=h, long=long, short=short),
        _error_mm(bodies[:, :, 4:], depth=h, long=long, short=short),
        hinge,
    )


def _error_mm(faces: NDArray[np.float64], *, depth: float, long: float, short: float) -> float:
    flat = np.array(
        [[-short / 2.0, 0.0], [short / 2.0, 0.0], [long / 2.0, depth], [-long / 2.0, depth]]
    )
    worst = 0.0
    for first in range(4):
        for second in range(first):
            length = math.dist(flat[first], flat[second])
            found = np.linalg.norm(faces[:, :, first] - faces[:, :, second], axis=-1)
            worst = max(worst, float(np.abs(found - length).max()))
    return worst


def _corner_clearance_mm(ring: FoldedRing, state: FoldState, card_mm: float) -> float:
    """Return the least distance between two cards across a corner, below 0 where they cut."""
    bodies = card_bodies(ring, state.angle, card_mm=card_mm)
    al = ring.half_corner
    # All sides are alike: side 0 against the mitre plane on its right.
    mitre = np.array([math.sin(al), -math.cos(al), 0.0])
    return 2.0 * float((bodies[:, 0] @ mitre).min())


def _fold_clearance_mm(ring: FoldedRing, state: FoldState, card_mm: float) -> float:
    """Return the least distance between two cards lying on each other at peak or valley."""
    heights = card_bodies(ring, state.angle, card_mm=card_mm)[0, 0, :, 2]
    half_pitch = 0.5e3 * state.length / ring.folds
    return 2.0 * float(min(heights.min(), half_pitch - heights.max()))
