"""The map of both ends as a sheet, lying on its side, with the doubts listed below."""

from reedwright.documents.doubts import doubt_notes
from reedwright.documents.end_map import both_ends_map
from reedwright.documents.head import head_values
from reedwright.documents.model import EndMaps
from reedwright.documents.pdf import Json, compile_pages
from reedwright.drawing import Drawing

__all__ = ["MARGIN_MM", "map_drawing", "map_sheet_pdf"]

MARGIN_MM = 10.0


def map_drawing(maps: EndMaps) -> Drawing:
    """Return the map in the width of its sheet lying on its side."""
    return both_ends_map(
        maps.layout,
        maps.offsets,
        tolerance=maps.tolerance,
        width_mm=maps.page.height_mm - 2.0 * MARGIN_MM,
        is_from_inside=maps.is_from_inside,
    )


def map_sheet_pdf(maps: EndMaps) -> bytes:
    """Return the map of both ends as PDF, and on the same sheet if there is room its doubts."""
    data: dict[str, Json] = {
        "head": head_values(maps.head, "Map of the ends"),
        "page": {
            "width_mm": maps.page.height_mm,
            "height_mm": maps.page.width_mm,
            "margin_mm": MARGIN_MM,
        },
        "maps": ["map"],
        "notes": [{"where": where, "text": text} for where, text in doubt_notes(maps.offsets)],
    }
    return compile_pages("map_sheet", data, {"map": map_drawing(maps)})
