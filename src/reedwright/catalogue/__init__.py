"""Data files, shipped or the user's own, turned into checked values.

Layouts: ``load_layout``, ``layout_names``.
"""

from reedwright.catalogue.layout_file import layout_from_toml, layout_names, load_layout

__all__ = ["layout_from_toml", "layout_names", "load_layout"]
