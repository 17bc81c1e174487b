"""Rows of a layout in another order."""

import pytest

from reedwright.catalogue import load_layout
from reedwright.errors import LayoutError
from reedwright.instrument.layout import Side
from reedwright.instrument.rows import reorder_rows

TREBLE = load_layout("english-treble-48")


def test_the_natural_rows_change_places() -> None:
    """The notes, the lengths of the rows and what is said of them move together."""
    swapped = reorder_rows(TREBLE, (1, 3, 2, 4))
    assert [str(k.press) for k in swapped.keys if k.side is Side.RIGHT and k.row == 2] == (
        ["B3", "F4", "C5", "G5", "D6", "A6"]
    )
    assert sum(1 for k in swapped.keys if k.side is Side.RIGHT and k.row == 3) == 7
    assert reorder_rows(swapped, (1, 3, 2, 4)) == TREBLE


def test_what_is_said_of_a_row_moves_with_it() -> None:
    """Its title, and where it starts in the drawing."""
    moved = reorder_rows(TREBLE, (2, 1, 3, 4))
    left = [row for row in moved.rows if row.side is Side.LEFT]
    assert [(row.row, row.title) for row in left] == [
        (1, "naturals"),
        (2, "accidentals"),
        (3, "naturals"),
        (4, "accidentals"),
    ]
    assert [row.start_spacings for row in left] == [0.0, -0.25, 0.0, -0.25]


def test_turning_the_rows_round_keeps_each_accidental_by_its_natural() -> None:
    """Rows and their titles and starts come back when turned twice."""
    turned = reorder_rows(TREBLE, (4, 3, 2, 1))
    assert str(turned.key("L1.1").press) == "Ab3"
    assert str(turned.key("L2.1").press) == "A3"
    assert [row.title for row in turned.rows] == [row.title for row in TREBLE.rows]
    assert reorder_rows(turned, (4, 3, 2, 1)) == TREBLE


def test_ends_with_unlike_rows_keep_their_own() -> None:
    """The five-column duet has four rows on the left and six on the right."""
    duet = load_layout("duet-five-column-48")
    turned = reorder_rows(duet, (6, 5, 4, 3, 2, 1))
    assert {key.row for key in turned.side_keys(Side.LEFT)} == {1, 2, 3, 4}
    assert sum(1 for key in turned.side_keys(Side.RIGHT) if key.row == 1) == 3
    assert len({key.key for key in turned.keys}) == 48


@pytest.mark.parametrize("order", [(1, 2, 3), (1, 2, 3, 3), (0, 1, 2, 3), ()])
def test_an_order_that_is_not_all_the_rows_is_refused(order: tuple[int, ...]) -> None:
    """The message lists the rows there are."""
    with pytest.raises(LayoutError, match="has rows 1, 2, 3, 4, got"):
        reorder_rows(TREBLE, order)
