"""Rows of a layout in another order: which row lies nearer the thumb or the rail."""

from collections.abc import Sequence
from dataclasses import replace

from reedwright.errors import LayoutError
from reedwright.instrument.layout import Layout, Side, key_identifier

__all__ = ["reorder_rows"]


def reorder_rows(layout: Layout, row_order: Sequence[int]) -> Layout:
    """Return the layout with its rows lying in another order on both ends.

    Keys are named anew by their new place. Nobody is sure
    which natural row of an English lies nearer the thumb: ``(1, 3, 2, 4)``
    exchanges the two natural rows, ``(4, 3, 2, 1)`` turns the whole end round, so
    that each accidental keeps its natural beside it.

    Parameters
    ----------
    row_order : sequence of int
        The present row numbers, in the order in which the rows are to lie from
        the thumb (English) or the hand rail (Anglo, duet) outwards. An end that
        lacks some of the rows keeps the order of those it has.

    Raises
    ------
    LayoutError
        If it does not name every row of the layout once.
    """
    numbers = sorted({key.row for key in layout.keys})
    if sorted(row_order) != numbers:
        raise LayoutError(
            f"a row order names every row once, {layout.layout!r} has rows "
            f"{', '.join(map(str, numbers))}, got {', '.join(map(str, row_order)) or 'none'}; "
            "list them all"
        )
    new_number = {
        (side, old): new
        for side in Side
        for new, old in zip(
            (row for row in numbers if _has_row(layout, side, row)),
            (row for row in row_order if _has_row(layout, side, row)),
            strict=True,
        )
    }
    keys = []
    new_name: dict[str, str] = {}
    for key in layout.keys:
        row = new_number[key.side, key.row]
        new_name[key.key] = key_identifier(key.side, row, key.position)
        keys.append(replace(key, row=row, key=new_name[key.key]))
    rows = [
        replace(row, row=new_number[row.side, row.row])
        for row in layout.rows
        if (row.side, row.row) in new_number
    ]
    sides = list(Side)
    return replace(
        layout,
        keys=tuple(sorted(keys, key=lambda k: (sides.index(k.side), k.row, k.position))),
        rows=tuple(sorted(rows, key=lambda r: (sides.index(r.side), r.row))),
        left_chambers=tuple(new_name[key] for key in layout.left_chambers),
        right_chambers=tuple(new_name[key] for key in layout.right_chambers),
    )


def _has_row(layout: Layout, side: Side, row: int) -> bool:
    return any(key.side is side and key.row == row for key in layout.keys)
