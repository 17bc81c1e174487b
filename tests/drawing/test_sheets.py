"""Rows on pages, places on sheets, tiles with their register crosses."""

import pytest
from tests.drawing.shapes_for_templates import disc, trapezoid

from reedwright.drawing.sheets import Placed, flow, placed_outlines, tiles
from reedwright.drawing.template import Outline, Round
from reedwright.errors import InputError


def test_boxes_flow_in_rows_and_on_to_further_pages() -> None:
    """Two wide ones a row, rows as high as their highest, a new page when full."""
    sizes = [(40.0, 10.0), (40.0, 20.0), (40.0, 10.0), (90.0, 60.0), (10.0, 10.0)]
    pages = flow(sizes, width_mm=100.0, height_mm=70.0, gap_mm=5.0)
    assert pages == (
        ((0, (0.0, 0.0)), (1, (45.0, 0.0)), (2, (0.0, 25.0))),
        ((3, (0.0, 0.0)),),
        ((4, (0.0, 0.0)),),
    )


def test_a_box_larger_than_its_page_is_refused() -> None:
    """Rather than scaled."""
    with pytest.raises(InputError, match=r"got 101\.0 by 5\.0 mm; lay it out in tiles"):
        flow([(101.0, 5.0)], width_mm=100.0, height_mm=70.0, gap_mm=5.0)


@pytest.mark.parametrize("degrees", [0.0, 90.0, 180.0, 270.0])
def test_a_part_lies_with_the_corner_of_its_box_where_it_is_put(degrees: float) -> None:
    """However it is turned."""
    (outline,) = placed_outlines(Placed(trapezoid(30.0, 20.0, 10.0), (7.0, 9.0), degrees))
    assert isinstance(outline, Outline)
    xs, ys = zip(*outline.points_mm, strict=True)
    assert (min(xs), min(ys)) == pytest.approx((7.0, 9.0))
    sizes = (30.0, 10.0) if degrees in {0.0, 180.0} else (10.0, 30.0)
    assert (max(xs) - min(xs), max(ys) - min(ys)) == pytest.approx(sizes)


def test_a_disc_is_placed_by_its_box_too() -> None:
    """Its centre stands a radius inside."""
    (outline,) = placed_outlines(Placed(disc(3.0), (10.0, 20.0), 90.0))
    assert isinstance(outline, Round)
    assert outline.centre_mm == pytest.approx((13.0, 23.0))


def test_tiles_cover_the_whole_and_share_strips_and_crosses() -> None:
    """A drawing of 500 by 300 on pages of 190 by 250: three across, two down."""
    found = tiles(
        width_mm=500.0, height_mm=300.0, page_width_mm=190.0, page_height_mm=250.0, overlap_mm=12.0
    )
    assert [(tile.column, tile.row) for tile in found] == [
        (1, 1), (2, 1), (3, 1), (1, 2), (2, 2), (3, 2),
    ]  # fmt: skip
    first, second, third = found[:3]
    assert second.window.left_mm == first.window.right_mm - 12.0
    assert third.window.right_mm >= 500.0
    assert found[-1].window.bottom_mm >= 300.0
    # The same crosses at the same places of the drawing on both pages, in the shared strip.
    shared = set(first.registers_mm) & set(second.registers_mm)
    assert len(shared) == 2
    assert all(x == pytest.approx(184.0) for x, _ in shared)
    below = set(first.registers_mm) & set(found[3].registers_mm)
    assert len(below) == 2
    assert all(y == pytest.approx(244.0) for _, y in below)
    assert len(found[1].registers_mm) == 6


def test_what_fits_one_page_is_one_tile_without_crosses() -> None:
    """To the exact size of the page."""
    (only,) = tiles(
        width_mm=190.0, height_mm=250.0, page_width_mm=190.0, page_height_mm=250.0, overlap_mm=12.0
    )
    assert only.registers_mm == ()


def test_an_overlap_that_leaves_nothing_is_refused() -> None:
    """Naming what is enough."""
    with pytest.raises(InputError, match="got 200 mm; 10 mm is enough"):
        tiles(
            width_mm=500.0, height_mm=300.0, page_width_mm=190.0, page_height_mm=250.0,
            overlap_mm=200.0,
        )  # fmt: skip
