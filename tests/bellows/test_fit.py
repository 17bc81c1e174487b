"""A bellows measured is explained by its own design, honestly, or said not to be."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from tests.bellows.wanted import FIGURES, wanted

from reedwright.bellows import design_bellows
from reedwright.bellows.fit import fit_bellows
from reedwright.bellows.fitted import BellowsFit, MeasuredBellows
from reedwright.bellows.model import BellowsDesign, Slack
from reedwright.bellows.summary import fit_lines
from reedwright.errors import InputError, ModelError


def measured(
    design: BellowsDesign, *, with_across: bool = True, off: Mapping[str, float] | None = None
) -> MeasuredBellows:
    """Return a design as if measured, each length off by so much."""
    lengths = {
        "card_long_edge_mm": design.card_long_edge_mm,
        "card_short_edge_mm": design.card_short_edge_mm,
        "depth_mm": design.wanted.depth_mm,
        "closed_length_mm": design.closed_length_mm,
        "open_length_mm": design.open_length_mm,
    }
    if with_across:
        lengths["across_flats_mm"] = design.wanted.across_flats_mm
    return MeasuredBellows(
        sides=design.wanted.sides,
        folds=design.wanted.folds,
        layers=FIGURES.layers,
        allowances=FIGURES.allowances,
        **{name: length + (off or {}).get(name, 0.0) for name, length in lengths.items()},
    )


def value(fit: BellowsFit, quantity: str) -> tuple[float, float]:
    """Return a fitted size and its doubt."""
    return next((v.value, v.doubt) for v in fit.values if v.quantity == quantity)


CASES: list[dict[str, Any]] = [
    {},
    {"slack": Slack.SHARED},
    {"slack": Slack.VALLEY, "opening_deg": 45.0},
    {"sides": 8, "folds": 7, "packing_mm": 0.4},
    {"sides": 12, "folds": 5, "across_flats_mm": 180.0, "opening_deg": 45.0},
    {"sides": 4, "folds": 4, "depth_mm": 20.0},
]


@pytest.mark.parametrize("changes", CASES, ids=str)
@pytest.mark.parametrize("with_across", [True, False])
def test_a_design_measured_exactly_is_found_again(
    changes: dict[str, Any], with_across: bool
) -> None:
    """Sizes, slack, packing and gaps, with no misfit, with and without the across flats."""
    design = design_bellows(wanted(**changes))
    fit = fit_bellows(measured(design, with_across=with_across))
    assert fit.is_explained
    assert fit.is_slack_certain
    assert fit.design.wanted.slack is design.wanted.slack
    assert fit.design.wanted.across_flats_mm == pytest.approx(
        design.wanted.across_flats_mm, abs=1e-3
    )
    assert fit.design.wanted.opening_deg == pytest.approx(design.wanted.opening_deg, abs=1e-3)
    found_mm, told_mm = fit.design.wanted.layers.packing_mm, design.wanted.layers.packing_mm
    assert found_mm == pytest.approx(told_mm, abs=1e-4)
    assert max(abs(misfit.difference_mm) for misfit in fit.misfits) < 1e-4
    assert fit.trials[0].sum_of_squares < 1e-6 < fit.trials[1].sum_of_squares


def test_doubts_are_what_repeated_measuring_shows() -> None:
    """Measurements with errors of the stated doubts scatter by the stated doubts."""
    rng = np.random.default_rng(6)
    doubts = {
        "card_long_edge_mm": 0.3, "card_short_edge_mm": 0.3, "depth_mm": 0.3,
        "closed_length_mm": 1.0, "open_length_mm": 3.0, "across_flats_mm": 1.0,
    }  # fmt: skip
    fits = []
    for _ in range(24):
        # Makers' gaps scatter too, by the doubts that the fit gives them.
        maker = design_bellows(
            wanted(
                peak_gap_mm=max(0.0, 1.0 + 0.5 * rng.standard_normal()),
                valley_gap_mm=max(0.0, 0.4 + 0.3 * rng.standard_normal()),
            )
        )
        off = {name: doubt * rng.standard_normal() for name, doubt in doubts.items()}
        fits.append(fit_bellows(measured(maker, off=off)))
    for quantity, true in (("across_flats_mm", 158.0), ("depth_mm", 25.0), ("opening_deg", 35.0)):
        found = np.array([value(fit, quantity) for fit in fits])
        pulls = (found[:, 0] - true) / found[:, 1]
        # 24 of them: the mean is known to 0.20, the scatter to 0.14; three of each.
        assert abs(pulls.mean()) < 0.61
        assert 0.57 < pulls.std() < 1.43
    assert np.mean([fit.is_explained for fit in fits]) > 0.8


def test_a_wrong_measurement_is_not_explained() -> None:
    """A long edge 8 mm off fits no choice of slack, and the sentences say so."""
    exact = measured(design_bellows(wanted()))
    fit = fit_bellows(replace(exact, card_long_edge_mm=exact.card_long_edge_mm + 8.0))
    assert not fit.is_explained
    worst = max(fit.misfits, key=lambda misfit: abs(misfit.difference_mm) / misfit.doubt_mm)
    assert abs(worst.difference_mm) > 1.5 * worst.doubt_mm
    assert fit.trials[0].sum_of_squares > 6.0
    assert any("does not fit together" in line for line in fit_lines(fit))


def test_a_rough_measurement_leaves_the_slack_open() -> None:
    """With edges known to 2 mm peak and shared cannot be told apart, and it is said."""
    design = design_bellows(wanted())
    fit = fit_bellows(replace(measured(design), edge_doubt_mm=2.0))
    assert not fit.is_slack_certain
    assert any("another choice explains it nearly as well" in line for line in fit_lines(fit))


def test_sentences_tell_sizes_with_doubts_and_the_packing() -> None:
    """No digit finer than the doubt."""
    lines = fit_lines(fit_bellows(measured(design_bellows(wanted(packing_mm=0.4)))))
    assert lines[0] == "across flats, closed peaks, mm: 158.0 ± 0.6"
    assert "beyond its layers half a closed fold keeps 0.40 mm" in lines
    thin = fit_lines(fit_bellows(measured(design_bellows(wanted(packing_mm=-0.2)))))
    assert "half a closed fold is less than its layers together by 0.20 mm" in thin


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"closed_length_mm": 180.0}, "shorter than an open one"),
        ({"closed_length_mm": -3.0}, "shorter than an open one"),
        ({"card_short_edge_mm": 90.0}, "edge of a card at the valley is the shorter one"),
        ({"card_short_edge_mm": -1.0}, "edge of a card at the valley is the shorter one"),
        ({"edge_doubt_mm": 0.0}, "doubt above 0 mm, got 0 for edge_doubt_mm"),
        ({"depth_mm": 1.0}, "6 folds 1 mm deep reach"),
        ({"open_length_mm": 310.0}, "6 folds 25 mm deep reach 301 mm when flat, and 310 mm"),
        ({"sides": 3}, "from 4 to 12 sides, got 3"),
    ],
)
def test_measurements_of_no_bellows_are_refused(changes: dict[str, Any], message: str) -> None:
    """With the rule, the value and what to measure again."""
    with pytest.raises(InputError, match=message):
        fit_bellows(replace(measured(design_bellows(wanted())), **changes))


def test_edges_that_no_slack_allows_are_refused() -> None:
    """A depth far beyond what the edges leave room for."""
    odd = replace(
        measured(design_bellows(wanted()), with_across=True), depth_mm=78.9, open_length_mm=600.0
    )
    with pytest.raises(ModelError, match="no bellows has such edges"):
        fit_bellows(odd)
