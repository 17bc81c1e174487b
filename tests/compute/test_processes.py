"""Spread work gives the results of plain work, in order, with few items in flight."""

import os
from collections.abc import Iterator

import pytest

from reedwright.compute import Here, Processes


def square(number: int) -> int:
    """Return the square, or refuse."""
    if number == 13:
        raise ValueError("thirteen")
    return number * number


def where(_: int) -> int:
    """Return the process the work is done in."""
    return os.getpid()


def test_results_come_in_the_order_of_the_items() -> None:
    """Two processes give what one gives, in order, and do the work elsewhere."""
    with Processes(2) as spread:
        assert list(spread.map(square, range(10))) == list(Here().map(square, range(10)))
        assert os.getpid() not in set(spread.map(where, range(4)))


def test_items_are_taken_as_they_are_needed() -> None:
    """A long list of items is not drawn in at once."""
    drawn = []

    def items() -> Iterator[int]:
        for number in range(100, 1100):
            drawn.append(number)
            yield number

    with Processes(1) as spread:
        results = spread.map(square, items())
        assert next(results) == 10_000
        assert len(drawn) < 20


def test_an_error_reaches_the_caller() -> None:
    """What goes wrong in a process is raised where the result is asked for."""
    with Processes(1) as spread, pytest.raises(ValueError, match="thirteen"):
        list(spread.map(square, [12, 13]))
