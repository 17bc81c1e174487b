"""Hatching, outlines and labels."""

import math
from itertools import pairwise

import pytest

from reedwright.drawing import Circle, Hatch, Polygon, Sector
from reedwright.drawing.hatching import hatch_lines, outline_points
from reedwright.drawing.labels import Box, WantedLabel, place_labels, text_box
from reedwright.drawing.outlines import rectangle
from reedwright.errors import InputError


def test_hatching_fills_a_rectangle_evenly() -> None:
    """Level lines run from edge to edge, a spacing apart, and cover the area."""
    lines = hatch_lines(Hatch(rectangle(2.0, 1.0, 12.0, 6.05, "x"), 0.0, 0.5, "hatch"))
    assert [line.from_mm[1] for line in lines] == pytest.approx([1.0 + 0.5 * n for n in range(11)])
    assert {(line.from_mm[0], line.to_mm[0]) for line in lines} == {(2.0, 12.0)}
    assert {line.style for line in lines} == {"hatch"}


@pytest.mark.parametrize("angle_degrees", [0.0, 30.0, 45.0, 90.0, 135.0])
@pytest.mark.parametrize(
    "shape",
    [
        Circle((10.0, 10.0), 5.0, "x"),
        Sector((10.0, 10.0), 5.0, 90.0, 270.0, "x"),
        Sector((10.0, 10.0), 5.0, 270.0, 90.0, "x"),
    ],
)
def test_hatching_stays_inside_and_measures_the_area(
    shape: Circle | Sector, angle_degrees: float
) -> None:
    """No line leaves the disc; length times spacing is the area, whatever the angle."""
    spacing = 0.05
    lines = hatch_lines(Hatch(shape, angle_degrees, spacing, "hatch"))
    ends = [end for line in lines for end in (line.from_mm, line.to_mm)]
    assert max(math.dist(end, (10.0, 10.0)) for end in ends) <= 5.0 + 1e-9
    area = spacing * sum(math.dist(line.from_mm, line.to_mm) for line in lines)
    whole = math.pi * 25.0 * (1.0 if isinstance(shape, Circle) else 0.5)
    # Chords of 10 degrees lose 0.5 % of a circle's area, the lines at the rim another little.
    assert area == pytest.approx(whole, rel=0.015)


def test_the_left_half_disc_lies_left() -> None:
    """From 90 to 270 degrees clockwise is the left half: the press half of a button."""
    points = outline_points(Sector((0.0, 0.0), 1.0, 90.0, 270.0, "x"))
    assert all(x <= 1e-12 for x, _ in points)
    assert min(x for x, _ in points) == pytest.approx(-1.0)


def test_hatching_a_bay_leaves_it_open() -> None:
    """An outline with a bay is hatched on both sides of it."""
    bay = Polygon(((0, 0), (9, 0), (9, 9), (6, 9), (6, 3), (3, 3), (3, 9), (0, 9)), "x")
    lines = [line for line in hatch_lines(Hatch(bay, 0.0, 1.0, "h")) if line.from_mm[1] == 5.0]
    assert [(line.from_mm[0], line.to_mm[0]) for line in lines] == [(0.0, 3.0), (6.0, 9.0)]


def test_hatching_without_a_spacing_is_refused() -> None:
    """Lines on top of each other are no hatch."""
    with pytest.raises(InputError, match="above 0 mm"):
        hatch_lines(Hatch(Circle((0.0, 0.0), 1.0, "x"), 0.0, 0.0, "h"))


def test_labels_cover_neither_marks_nor_each_other() -> None:
    """Of a crowd of marks only those with room get their names."""
    marks = [(10.0 + 1.5 * n, 20.0) for n in range(12)] + [(60.0, 20.0)]
    taken = [Box(x - 0.8, y - 0.8, x + 0.8, y + 0.8) for x, y in marks]
    field = Box(0.0, 0.0, 80.0, 40.0)
    labels = place_labels(
        [WantedLabel(mark, 0.8, "C♯4") for mark in marks],
        within=field,
        taken=taken,
        size_mm=2.6,
        style="ink",
    )
    boxes = [text_box(label) for label in labels]
    assert 3 <= len(labels) < len(marks)
    assert all(box.lies_within(field) for box in boxes)
    assert not any(box.overlaps(other) for box in boxes for other in taken)
    assert not any(a.overlaps(b) for n, a in enumerate(boxes) for b in boxes[n + 1 :])


def test_a_label_at_the_right_edge_goes_to_the_left_of_its_mark() -> None:
    """The second choice is the left side."""
    (label,) = place_labels(
        [WantedLabel((9.5, 5.0), 0.5, "A4")],
        within=Box(0.0, 0.0, 10.0, 10.0),
        taken=[],
        size_mm=2.0,
        style="ink",
    )
    assert text_box(label).right_mm < 9.5


def test_a_rectangle_has_its_edges() -> None:
    """Four right corners in order."""
    corners = rectangle(1.0, 2.0, 4.0, 6.0, "x").points_mm
    sides = [math.dist(a, b) for a, b in pairwise((*corners, corners[0]))]
    assert sides == [3.0, 4.0, 3.0, 4.0]
