"""The map of both ends as a sheet, lying on its side, with the doubts listed below."""

from reedwright.documents.doubts import doubt_notes
from reedwright.documents.end_map import both_ends_map
from reedwright.documents.head import head_values
from reedwright.documents.model import EndMaps, PageSize
from reedwright.documents.pdf import Json, compile_pages
from reedwright.drawing import Drawing

__all__ = ["MAP_HEAD_MM", "MARGIN_MM", "map_drawing", "map_height_mm", "map_sheet_pdf"]

MARGIN_MM = 10.0
#: Above and below a map on its sheet: edge and head, foot and edge.
MAP_HEAD_MM = 26.0
_MAP_FOOT_MM = 17.0
#: Room for three lines of notes under a map.
_NOTES_MM = 12.0


def map_height_mm(page: PageSize, *, has_notes: bool) -> float:
    """Return the height a map may have on a sheet lying on its side."""
    return page.width_mm - MAP_HEAD_MM - _MAP_FOOT_MM - (_NOTES_MM if has_notes else 0.0)


def map_drawing(maps: EndMaps) -> Drawing:
    """Return the map in the width of its sheet lying on its side."""
    return both_ends_map(
        maps.layout,
        maps.offsets,
        tolerance=maps.tolerance,
        width_mm=maps.page.height_mm - 2.0 * MARGIN_MM,
        most_height_mm=map_height_mm(maps.page, has_notes=bool(doubt_notes(maps.offsets))),
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
            "head_mm": MAP_HEAD_MM,
        },
        "maps": ["map"],
        "notes": [{"where": where, "text": text} for where, text in doubt_notes(maps.offsets)],
    }
    return compile_pages("map_sheet", data, {"map": map_drawing(maps)})
