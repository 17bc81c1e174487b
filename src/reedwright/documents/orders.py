"""The two orders in which the lines of a bench sheet are wanted."""

from reedwright.documents.model import KeyOrder
from reedwright.instrument.layout import Layout, Side, System
from reedwright.instrument.pan import chamber_order

__all__ = ["order_of_buttons", "order_of_pan"]


def order_of_buttons(layout: Layout) -> KeyOrder:
    """Return the order of the instrument: row by row as the layout names them."""
    along = "from the player's side" if layout.system is System.ENGLISH else "left to right"
    words = f"row by row, {along}"
    keys = sorted(layout.keys, key=lambda key: (key.side, key.row, key.position))
    return KeyOrder(words, tuple(key.key for key in keys), is_by_row=True)


def order_of_pan(layout: Layout) -> KeyOrder:
    """Return the order of the chambers, clockwise on the chamber side from the player's side."""
    keys = [key for side in Side if layout.side_keys(side) for key in chamber_order(layout, side)]
    is_known = all(layout.chambers(side) for side in Side if layout.side_keys(side))
    known = "" if is_known else " (order of the chambers assumed)"
    words = f"in the order of the chambers, clockwise from the player's side{known}"
    return KeyOrder(words, tuple(keys), is_by_row=False)
