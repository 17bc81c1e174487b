"""The reed pans with the cents written in, from both faces: bench work finds chambers."""

import math
from collections.abc import Iterable, Sequence

from reedwright.documents.head import head_values
from reedwright.documents.map_legend import map_legend
from reedwright.documents.map_sheet import MARGIN_MM
from reedwright.documents.model import PanMaps, reed_of
from reedwright.documents.pdf import Json, compile_pages
from reedwright.documents.shades import is_dark, shade_of
from reedwright.drawing import (
    Anchor,
    Drawing,
    Group,
    Hatch,
    Point,
    Polygon,
    Shape,
    Text,
    Weight,
)
from reedwright.drawing.labels import LETTER_WIDTH, text_box
from reedwright.drawing.numbers import print_with_doubt
from reedwright.drawing.outlines import rectangle
from reedwright.instrument.layout import Layout, Side
from reedwright.instrument.pan import ChamberPlace, PanFace, pan_view
from reedwright.instrument.target import ReedOffset

__all__ = ["pan_drawings", "pan_map", "pan_map_pdf"]

_TITLE_MM = 3.6
_MOST_TEXT_MM = 2.9
_GAP_MM = 8.0


def pan_map(
    layout: Layout,
    side: Side,
    face: PanFace,
    offsets: Sequence[ReedOffset],
    *,
    width_mm: float,
) -> Drawing:
    """Return one face of one pan, drawn so wide: each chamber with the reed on this face.

    Raises
    ------
    InputError
        If the layout has no keys on that end.
    """
    view = pan_view(layout, side, face)
    xs = [x for x, _ in view.outline]
    ys = [y for _, y in view.outline]
    scale = (width_mm - 0.4) / (max(xs) - min(xs))
    top_mm = 2.2 * _TITLE_MM

    def placed(point: Point) -> Point:
        return 0.2 + scale * (point[0] - min(xs)), top_mm + scale * (point[1] - min(ys))

    by_reed = {reed_of(offset): offset for offset in offsets}
    shapes: list[Shape] = [
        Text(
            (width_mm / 2.0, _TITLE_MM),
            view.view_name,
            _TITLE_MM,
            "ink",
            Anchor.MIDDLE,
            Weight.SEMIBOLD,
        ),
        Polygon(tuple(placed(corner) for corner in view.outline), "outline"),
    ]
    for chamber in view.chambers:
        outline = tuple(placed(corner) for corner in chamber.polygon)
        offset = None if chamber.reed is None else by_reed.get(chamber.reed)
        note = "" if chamber.reed is None else layout.note(chamber.reed).printed
        inside = tuple(_chamber(outline, placed(chamber.middle), note, chamber.key, offset))
        shapes.append(Group(chamber.key, _in_words(chamber, note, offset), inside))
    centre = placed((0.0, 0.0))
    direction = "draw" if face is PanFace.CHAMBER_SIDE else "press"
    shapes.append(
        Text((centre[0], centre[1] + 0.5), f"{direction} reeds", 2.9, "ink", Anchor.MIDDLE)
    )
    if view.is_assumed:
        below = (centre[0], centre[1] + 4.2)
        shapes.append(Text(below, "order assumed", 2.4, "quiet-ink", Anchor.MIDDLE))
    return Drawing(
        width_mm,
        top_mm + scale * (max(ys) - min(ys)) + 0.4,
        view.view_name,
        f"Each chamber with the offset of its {direction} reed from the target in cents.",
        tuple(shapes),
    )


def pan_drawings(maps: PanMaps) -> dict[str, Drawing]:
    """Return a picture of each pan, both faces side by side, by the side it belongs to."""
    width_mm = maps.page.height_mm - 2.0 * MARGIN_MM
    one_mm = (width_mm - _GAP_MM) / 2.0
    drawings = {}
    for side in Side:
        if not maps.layout.side_keys(side):
            continue
        faces = [
            pan_map(maps.layout, side, face, maps.offsets, width_mm=one_mm) for face in PanFace
        ]
        height_mm = faces[0].height_mm + 5.0
        legend = map_legend(maps.tolerance, halves=None)
        drawings[f"{side}-pan"] = Drawing(
            width_mm,
            height_mm + legend.height_mm,
            f"{side.value.capitalize()} reed pan",
            "Both faces of the pan; each chamber with the offset of its reed in cents.",
            (
                Group("chamber-side", faces[0].title, faces[0].shapes),
                Group("bellows-side", faces[1].title, faces[1].shapes, (one_mm + _GAP_MM, 0.0)),
                Group("legend", legend.title, legend.shapes, (0.0, height_mm)),
            ),
        )
    return drawings


def pan_map_pdf(maps: PanMaps) -> bytes:
    """Return the maps of the reed pans as PDF: a sheet for each pan, lying on its side."""
    drawings = pan_drawings(maps)
    data: dict[str, Json] = {
        "head": head_values(maps.head, "Map of the reed pans"),
        "page": {
            "width_mm": maps.page.height_mm,
            "height_mm": maps.page.width_mm,
            "margin_mm": MARGIN_MM,
        },
        "maps": list(drawings),
        "notes": [],
    }
    return compile_pages("map_sheet", data, drawings)


def _chamber(
    outline: tuple[Point, ...],
    middle: Point,
    note: str,
    key: str,
    offset: ReedOffset | None,
) -> Iterable[Shape]:
    """Yield one chamber: its shade, note and number, and its key at the inner end."""
    within = offset is not None and offset.is_within_tolerance is True
    known = offset is not None and offset.offset_cents is not None
    shade = (
        "no-reed" if offset is None else shade_of(offset.offset_cents, is_within_tolerance=within)
    )
    area = Polygon(outline, shade)
    yield area
    if offset is not None and not known:
        yield Hatch(area, 45.0, 1.2, "unheard-hatch")
    if offset is not None and offset.doubt is not None:
        yield Polygon((*outline, outline[0]), "doubt-ring")
    elif offset is not None and offset.is_within_tolerance is False:
        yield Polygon((*outline, outline[0]), "work-rim")
    ink = "white-ink" if is_dark(shade) else "ink"
    # Text stands in the outer half, where a sector is wide.
    rim = _mean(outline[:2])
    at = (0.62 * middle[0] + 0.38 * rim[0], 0.62 * middle[1] + 0.38 * rim[1])
    size = min(_MOST_TEXT_MM, 0.78 * _width_at(outline) / (3.2 * LETTER_WIDTH))
    if known and offset is not None and offset.offset_cents is not None:
        printed = print_with_doubt(
            offset.offset_cents, offset.doubt_cents or 0.0, finest=1.0, is_offset=True
        ).value
        mark = "?" if offset.doubt is not None else ""
        weight = Weight.REGULAR if within else Weight.SEMIBOLD
        yield Text((at[0], at[1] + 1.0 * size), printed + mark, size, ink, Anchor.MIDDLE, weight)
    name = Text((at[0], at[1] - 0.15 * size), note or key, size, ink, Anchor.MIDDLE)
    if offset is not None and not known:
        box = text_box(name)
        yield rectangle(box.left_mm, box.top_mm, box.right_mm, box.bottom_mm, "paper")
    yield name


def _width_at(outline: tuple[Point, ...]) -> float:
    """Return the width of a sector half way between its rim and its inner end."""
    inner = math.dist(outline[-1], outline[-2])
    outer = math.dist(outline[0], outline[-3])
    return 0.35 * inner + 0.65 * outer


def _mean(points: Sequence[Point]) -> Point:
    return sum(x for x, _ in points) / len(points), sum(y for _, y in points) / len(points)


def _in_words(chamber: ChamberPlace, note: str, offset: ReedOffset | None) -> str:
    if chamber.reed is None:
        return f"{chamber.key}: no reed on this face"
    if offset is None or offset.offset_cents is None:
        return f"{chamber.key}: {note} not heard"
    printed = print_with_doubt(
        offset.offset_cents, offset.doubt_cents or 0.0, finest=0.1, is_offset=True
    )
    return f"{chamber.key}: {note} {printed} cents"
