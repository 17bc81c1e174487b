"""Axes and ticks."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reedwright.drawing.axes import Axis, even_ticks, widened
from reedwright.errors import InputError


def test_an_axis_lays_its_ends_where_it_says() -> None:
    """Ends at the ends, the middle in the middle, also on an axis that rises up the page."""
    axis = Axis(-10.0, 30.0, 80.0, 0.0)
    assert [axis.place_mm(value) for value in (-10.0, 10.0, 30.0)] == [80.0, 40.0, 0.0]


def test_an_axis_of_no_length_is_refused() -> None:
    """The lower value comes first."""
    with pytest.raises(InputError, match="lower to a higher"):
        Axis(3.0, 3.0, 0.0, 1.0)


@pytest.mark.parametrize(
    ("low", "high", "most", "ticks"),
    [
        (-14.0, 13.0, 9, (-10.0, -5.0, 0.0, 5.0, 10.0)),
        (0.0, 0.3, 4, (0.0, 0.1, 0.2, 0.3)),
        (0.0, 21.0, 6, (0.0, 5.0, 10.0, 15.0, 20.0)),
        (-230.0, 180.0, 9, (-200.0, -150.0, -100.0, -50.0, 0.0, 50.0, 100.0, 150.0)),
    ],
)
def test_ticks_are_round(low: float, high: float, most: int, ticks: tuple[float, ...]) -> None:
    """Steps of 1, 2 or 5."""
    assert even_ticks(low, high, most) == ticks


@given(st.floats(-500.0, 500.0), st.floats(0.01, 1000.0), st.integers(2, 12))
def test_ticks_are_few_and_inside(low: float, length: float, most: int) -> None:
    """Never more than asked for, all within the range, evenly spaced."""
    ticks = even_ticks(low, low + length, most)
    assert len(ticks) <= most
    slack = 1e-6 * (abs(low) + length)
    assert all(low - slack <= tick <= low + length + slack for tick in ticks)
    steps = [after - before for before, after in pairwise(ticks)]
    assert steps == pytest.approx(steps[:1] * len(steps), rel=1e-3)


def test_ticks_of_no_range_are_refused() -> None:
    """Low below high, two ticks at least."""
    with pytest.raises(InputError, match="low < high"):
        even_ticks(1.0, 1.0, 5)


def test_widening_reaches_the_least_length_and_keeps_the_middle() -> None:
    """A narrow range grows to the least, a wide one by the margin alone."""
    assert widened(-1.0, 1.0, least=10.0, margin=0.0) == (-5.0, 5.0)
    assert widened(0.0, 100.0, least=10.0, margin=0.1) == (-10.0, 110.0)
