"""Data files, shipped or the user's own, turned into checked values.

Layouts: ``load_layout``, ``layout_names``, ``layout_from_toml``, ``layout_toml``,
``write_layout``. Survey orders: ``load_order``, ``order_text``. Masses and sizes of
parts: ``load_part_figures``.
"""

from reedwright.catalogue.layout_file import layout_from_toml, layout_names, load_layout
from reedwright.catalogue.layout_writing import layout_toml, write_layout
from reedwright.catalogue.order_file import load_order, order_text
from reedwright.catalogue.part_file import load_part_figures

__all__ = [
    "layout_from_toml",
    "layout_names",
    "layout_toml",
    "load_layout",
    "load_order",
    "load_part_figures",
    "order_text",
    "write_layout",
]
