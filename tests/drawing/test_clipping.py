"""Lines cut off at a window, and places free of lines."""

import math
from itertools import pairwise

import pytest
from tests.drawing.shapes_for_templates import rectangle

from reedwright.drawing.clipping import clipped, clipped_line
from reedwright.drawing.free_places import box_around, edge_box, free_place
from reedwright.drawing.labels import Box
from reedwright.drawing.template import Layer, Outline, Round

WINDOW = Box(0.0, 0.0, 10.0, 10.0)


@pytest.mark.parametrize(
    ("first", "second", "found"),
    [
        ((1.0, 1.0), (9.0, 5.0), ((1.0, 1.0), (9.0, 5.0))),
        ((-5.0, 5.0), (15.0, 5.0), ((0.0, 5.0), (10.0, 5.0))),
        ((5.0, -5.0), (5.0, 5.0), ((5.0, 0.0), (5.0, 5.0))),
        ((-5.0, -5.0), (20.0, 20.0), ((0.0, 0.0), (10.0, 10.0))),
        ((-5.0, 11.0), (15.0, 11.0), None),
        ((-3.0, 8.0), (2.0, 13.0), None),
        ((11.0, 0.0), (11.0, 10.0), None),
    ],
)
def test_a_line_is_cut_at_the_window(
    first: tuple[float, float],
    second: tuple[float, float],
    found: tuple[tuple[float, float], tuple[float, float]] | None,
) -> None:
    """Whole, one end, both ends, or not there at all."""
    assert clipped_line(first, second, WINDOW) == found


def test_windows_side_by_side_show_the_whole_length() -> None:
    """What four windows show of an outline adds up to its length."""
    outline = Outline(Layer.CUT, ((2.0, 3.0), (17.0, 1.0), (12.0, 18.0)))
    points = [*outline.points_mm, outline.points_mm[0]]
    whole = sum(math.dist(a, b) for a, b in pairwise(points))
    shown = 0.0
    for left in (0.0, 10.0):
        for top in (0.0, 10.0):
            for piece in clipped([outline], Box(left, top, left + 10.0, top + 10.0)):
                assert isinstance(piece, Outline)
                shown += math.dist(*piece.points_mm)
    assert shown == pytest.approx(whole, rel=1e-12)


def test_what_lies_inside_stays_whole_and_what_lies_outside_goes() -> None:
    """Outlines and discs."""
    inside: list[Outline | Round] = [
        Outline(Layer.CUT, ((1.0, 1.0), (5.0, 1.0), (3.0, 4.0))),
        Round(Layer.FOLD, (5.0, 5.0), 2.0),
    ]
    assert clipped(inside, WINDOW) == tuple(inside)
    assert clipped([Round(Layer.CUT, (50.0, 5.0), 2.0)], WINDOW) == ()


def test_a_disc_on_the_edge_keeps_its_half_circumference() -> None:
    """In chords, to 4 parts in a million."""
    pieces = clipped([Round(Layer.CUT, (0.0, 5.0), 2.0)], WINDOW)
    shown = sum(math.dist(*piece.points_mm) for piece in pieces if isinstance(piece, Outline))
    assert shown == pytest.approx(2.0 * math.pi, rel=1e-5)
    assert all(piece.layer is Layer.CUT for piece in pieces)


def test_a_place_avoids_lines_and_what_is_taken() -> None:
    """The middle first; beside a line through it; another where that is taken; else none."""
    edge = rectangle(40.0, 20.0).edge
    line = Outline(Layer.FOLD, ((0.0, 10.0), (40.0, 10.0)), is_closed=False)
    assert free_place([edge], edge, (6.0, 3.0), []) == (20.0, 10.0)
    beside = free_place([edge, line], edge, (6.0, 3.0), [])
    assert beside == (20.0, 5.0)
    other = free_place([edge, line], edge, (6.0, 3.0), [box_around((20.0, 5.0), (6.0, 3.0))])
    assert other == (10.0, 5.0)
    assert free_place([edge, line], edge, (6.0, 12.0), []) is None


def test_a_disc_holds_a_word_and_a_hole_pushes_it_aside() -> None:
    """Inside the rim, clear of the hole in the middle; too wide a word finds no place."""
    rim, hole = Round(Layer.CUT, (20.0, 20.0), 20.0), Round(Layer.CUT, (20.0, 20.0), 4.0)
    assert edge_box(rim) == Box(0.0, 0.0, 40.0, 40.0)
    place = free_place([rim, hole], rim, (6.0, 3.0), [])
    assert place is not None
    assert place != (20.0, 20.0)
    corners = [(place[0] + dx, place[1] + dy) for dx in (-3.0, 3.0) for dy in (-1.5, 1.5)]
    assert all(4.0 < math.dist(corner, (20.0, 20.0)) < 20.0 for corner in corners)
    assert free_place([rim, hole], rim, (39.0, 3.0), []) is None
