"""Sizes that are no bellows are refused with the rule, the value and what would work."""

import re
from typing import Any

import pytest
from tests.bellows.wanted import wanted

from reedwright.bellows import design_bellows
from reedwright.errors import InputError, ModelError

REFUSED: list[tuple[dict[str, Any], str]] = [
    ({"sides": 3}, "from 4 to 12 sides, got 3"),
    ({"sides": 13}, "from 4 to 12 sides, got 13"),
    ({"folds": 0}, "from 1 to 30 folds, got 0"),
    ({"folds": 31}, "from 1 to 30 folds, got 31"),
    ({"across_flats_mm": 6.25}, "across_flats_mm lies between 40 and 600, got 6.25; 6 1/4 in is"),
    ({"across_flats_mm": float("nan")}, "across_flats_mm lies between 40 and 600, got nan"),
    ({"across_flats_mm": float("inf")}, "across_flats_mm lies between 40 and 600, got inf"),
    ({"depth_mm": -25.0}, "depth_mm lies between 5 and 100, got -25; 1 1/8 in is 28.6 mm"),
    ({"card_mm": 0.0}, "card_mm lies between 0.1 and 5, got 0"),
    ({"cloth_mm": -0.1}, "cloth_mm lies between 0 and 3, got -0.1"),
    ({"strip_mm": 4.0}, "strip_mm lies between 0 and 3, got 4"),
    ({"gusset_mm": 4.0}, "gusset_mm lies between 0 and 3, got 4"),
    ({"packing_mm": 6.0}, "packing_mm lies between -3 and 5, got 6"),
    ({"packing_mm": -1.5}, "at least as thick as its card of 1 mm, got 0.45 mm"),
    ({"chambers_l": -1.0}, "chambers_l lies between 0 and 20, got -1"),
    ({"peak_gap_mm": -1.0}, "peak_gap_mm lies between 0 and 20, got -1"),
    ({"valley_gap_mm": 21.0}, "valley_gap_mm lies between 0 and 20, got 21"),
    ({"strip_margin_mm": 0.0}, "strip_margin_mm lies between 1 and 40, got 0"),
    ({"gusset_margin_mm": 0.0}, "gusset_margin_mm lies between 1 and 40, got 0"),
    ({"opening_deg": 90.0}, "above 0 and below 90 degrees, got 90; traditional moulds have 45"),
    ({"opening_deg": 0.0}, "above 0 and below 90 degrees, got 0"),
    ({"opening_deg": float("nan")}, "above 0 and below 90 degrees, got nan"),
    ({"opening_deg": 4.0}, "stand at 4.5 degrees shut, and 4 are asked for"),
]


@pytest.mark.parametrize(("changes", "message"), REFUSED, ids=[str(c) for c, _ in REFUSED])
def test_what_is_no_bellows_is_refused(changes: dict[str, Any], message: str) -> None:
    """With the value and the range or a usual number."""
    with pytest.raises(InputError, match=re.escape(message)):
        design_bellows(wanted(**changes))


def number_after(words: str, message: str) -> float:
    """Return the number that follows some words of a message."""
    found = re.search(re.escape(words) + r" ([\d.]+)", message)
    assert found is not None, message
    return float(found.group(1))


def test_folds_that_cannot_close_are_told_the_depth_that_would() -> None:
    """A little more than the depth named works; a little less does not."""
    thick = {"card_mm": 4.0, "opening_deg": 35.0}
    with pytest.raises(ModelError, match="folds must close to less than they open") as refused:
        design_bellows(wanted(depth_mm=5.0, **thick))
    depth_mm = number_after("make the depth more than", str(refused.value))
    assert design_bellows(wanted(depth_mm=depth_mm + 0.1, **thick)).stroke_mm > 0.0
    with pytest.raises(ModelError):
        design_bellows(wanted(depth_mm=depth_mm - 0.1, **thick))


def test_cards_without_an_edge_are_told_the_across_flats_that_would_leave_one() -> None:
    """A little more than the size named works; a little less does not."""
    with pytest.raises(ModelError, match="a card needs an edge at the valley") as refused:
        design_bellows(wanted(depth_mm=79.0))
    across_mm = number_after("take more than", str(refused.value))
    design = design_bellows(wanted(depth_mm=79.0, across_flats_mm=across_mm + 0.1))
    assert 0.0 < design.card_short_edge_mm < 0.2
    with pytest.raises(ModelError):
        design_bellows(wanted(depth_mm=79.0, across_flats_mm=across_mm - 0.1))


def test_gaps_that_eat_the_long_edge_are_refused_too() -> None:
    """Small ring, many sides, wide gap at the peak."""
    with pytest.raises(ModelError, match="a card needs an edge at the peak"):
        design_bellows(wanted(sides=12, across_flats_mm=60.0, depth_mm=10.0, peak_gap_mm=20.0))
