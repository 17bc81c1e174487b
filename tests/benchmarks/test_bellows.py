"""The benchmark of bellows measures what it says it measures."""

import math

import pytest
from benchmarks.bellows import mesh_volume_mm3, reference, worst_errors

from reedwright.bellows import ring_of
from reedwright.bellows.model import Slack
from reedwright.science.fold import fold_state


def test_errors_are_those_of_rounding_and_of_differences() -> None:
    """Volumes to 1e-13, areas to 1e-7, on a part of the sweep."""
    volume_error, area_error = worst_errors(range(6, 8), 2)
    assert volume_error < 1e-13
    assert 0.0 < area_error < 1e-7


@pytest.mark.parametrize("slack", Slack)
def test_a_wrong_volume_would_be_seen(slack: Slack) -> None:
    """The mesh of another opening is told from the formula's."""
    ring = ring_of(reference(slack=slack))
    volume = fold_state(ring, math.radians(30.0)).volume * 1e9
    assert mesh_volume_mm3(ring, math.radians(30.0)) == pytest.approx(volume, rel=1e-12)
    assert mesh_volume_mm3(ring, math.radians(30.1)) != pytest.approx(volume, rel=1e-3)
