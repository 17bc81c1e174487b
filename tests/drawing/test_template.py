"""Templates: what they hold, how they turn, what is refused."""

import math

import pytest
from tests.drawing.shapes_for_templates import disc, part, rectangle, trapezoid

from reedwright.drawing.template import Layer, Outline, Round, Template, area_mm2, turned
from reedwright.errors import InputError


def test_the_edge_is_the_first_line_to_cut() -> None:
    """Marks before it do not count; the box is the edge's."""
    mark = Outline(Layer.MARK, ((-9.0, -9.0), (99.0, 99.0)), is_closed=False)
    pattern = part(mark, rectangle(30.0, 20.0).edge, Round(Layer.CUT, (5.0, 5.0), 1.0))
    assert pattern.edge == rectangle(30.0, 20.0).edge
    assert (pattern.width_mm, pattern.height_mm) == (30.0, 20.0)


def test_a_disc_has_its_box_and_its_area() -> None:
    """Twice the radius each way."""
    box = disc(3.0).box
    assert (box.left_mm, box.top_mm, box.right_mm, box.bottom_mm) == (2.0, 4.0, 8.0, 10.0)
    assert area_mm2(disc(3.0).edge) == pytest.approx(9.0 * math.pi)


def test_the_area_of_a_trapezoid_is_that_of_school() -> None:
    """Either way round."""
    edge = trapezoid(10.0, 6.0, 4.0).edge
    assert isinstance(edge, Outline)
    assert area_mm2(edge) == pytest.approx(32.0)
    assert area_mm2(Outline(Layer.CUT, edge.points_mm[::-1])) == pytest.approx(32.0)


def test_quarter_turns_are_exact_and_clockwise() -> None:
    """A quarter turn takes x to y, y to minus x; four of them change nothing at all."""
    outlines: tuple[Outline | Round, ...] = (Outline(Layer.CUT, ((1.0, 0.0), (0.0, 2.0))),)
    (once,) = turned(outlines, 90.0)
    assert isinstance(once, Outline)
    assert once.points_mm == ((0.0, 1.0), (-2.0, 0.0))
    four = outlines
    for _ in range(4):
        four = turned(four, 90.0)
    assert four == outlines
    assert turned(outlines, 450.0) == turned(outlines, 90.0)


def test_other_turns_keep_lengths_and_move_discs() -> None:
    """A turn of 30 degrees about the origin and a move."""
    (moved,) = turned([Round(Layer.MARK, (2.0, 0.0), 1.5)], 30.0, (1.0, 1.0))
    assert isinstance(moved, Round)
    assert moved.radius_mm == 1.5
    assert moved.centre_mm == pytest.approx((1.0 + math.sqrt(3.0), 2.0))


def test_a_template_of_no_pieces_or_no_edge_is_refused() -> None:
    """Both with a remedy."""
    with pytest.raises(InputError, match="for 1 part or more, got 0 of part; leave it out"):
        rectangle(3.0, 3.0, count=0)
    with pytest.raises(InputError, match="needs an outline to cut, pad has none"):
        Template(
            number="P1", title="pad", material="felt", count=1,
            outlines=(Round(Layer.MARK, (0.0, 0.0), 1.0),),
        )  # fmt: skip
