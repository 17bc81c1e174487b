"""The reed pans with the cents written in, from both faces: bench work finds chambers."""

import math
from collections.abc import Iterable, Sequence

from reedwright.documents.end_map import widest_end_mm
from reedwright.documents.head import head_values
from reedwright.documents.map_legend import map_legend
from reedwright.documents.map_sheet import MAP_HEAD_MM, MARGIN_MM, map_height_mm
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
from reedwright.instrument.layout import Layout, Side
from reedwright.instrument.pan import ChamberPlace, PanFace, pan_view
from reedwright.instrument.target import ReedOffset

__all__ = ["pan_drawings", "pan_map", "pan_map_pdf"]

_TITLE_MM = 3.6
_MOST_TEXT_MM = 2.9
_GAP_MM, _LEGEND_GAP_MM = 8.0, 5.0
#: Chambers narrower than this are written along, millimetres.
_TWO_LINES_MM = 7.0


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
    outlines = [tuple(placed(corner) for corner in place.polygon) for place in view.chambers]
    is_narrow = min(map(_width_at, outlines)) < _TWO_LINES_MM
    for chamber, outline in zip(view.chambers, outlines, strict=True):
        offset = None if chamber.reed is None else by_reed.get(chamber.reed)
        note = "" if chamber.reed is None else layout.note(chamber.reed).printed
        name = note or chamber.key
        inside = [
            *_area(outline, offset),
            *_writing(outline, placed(chamber.middle), name, offset, is_narrow=is_narrow),
        ]
        shapes.append(Group(chamber.key, _in_words(chamber, note, offset), tuple(inside)))
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
    legend = map_legend(maps.tolerance, halves=None)
    room_mm = map_height_mm(maps.page, has_notes=False) - _LEGEND_GAP_MM - legend.height_mm
    one_mm = min((width_mm - _GAP_MM) / 2.0, widest_end_mm(maps.layout, room_mm))
    lefts = [(place + 0.5) * width_mm / 2.0 - one_mm / 2.0 for place in range(2)]
    drawings = {}
    for side in Side:
        if not maps.layout.side_keys(side):
            continue
        faces = [
            pan_map(maps.layout, side, face, maps.offsets, width_mm=one_mm) for face in PanFace
        ]
        height_mm = faces[0].height_mm + _LEGEND_GAP_MM
        drawings[f"{side}-pan"] = Drawing(
            width_mm,
            height_mm + legend.height_mm,
            f"{side.value.capitalize()} reed pan",
            "Both faces of the pan; each chamber with the offset of its reed in cents.",
            (
                Group("chamber-side", faces[0].title, faces[0].shapes, (lefts[0], 0.0)),
                Group("bellows-side", faces[1].title, faces[1].shapes, (lefts[1], 0.0)),
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
            "head_mm": MAP_HEAD_MM,
        },
        "maps": list(drawings),
        "notes": [],
    }
    return compile_pages("map_sheet", data, drawings)


def _shade(offset: ReedOffset | None) -> str:
    if offset is None:
        return "no-reed"
    within = offset.is_within_tolerance is True
    return shade_of(offset.offset_cents, is_within_tolerance=within)


def _area(outline: tuple[Point, ...], offset: ReedOffset | None) -> Iterable[Shape]:
    """Yield a chamber's shade, hatch and edge."""
    area = Polygon(outline, _shade(offset))
    yield area
    if offset is None:
        return
    if offset.offset_cents is None:
        yield Hatch(area, 45.0, 1.2, "unheard-hatch")
    if offset.doubt is not None:
        yield Polygon(outline, "doubt-ring")
    elif offset.is_within_tolerance is False:
        yield Polygon(outline, "work-rim")


def _writing(
    outline: tuple[Point, ...],
    middle: Point,
    name: str,
    offset: ReedOffset | None,
    *,
    is_narrow: bool,
) -> Iterable[Shape]:
    """Yield the name and number of a chamber: upright below each other, or along it."""
    printed = ""
    if offset is not None and offset.offset_cents is not None:
        printed = print_with_doubt(
            offset.offset_cents, offset.doubt_cents or 0.0, finest=1.0, is_offset=True
        ).value + ("?" if offset.doubt is not None else "")
    shade = _shade(offset)
    ink = "white-ink" if is_dark(shade) else "ink"
    weight = Weight.REGULAR if shade == "in-tune" else Weight.SEMIBOLD
    # In the outer half, where a sector is wide.
    rim = _mean(outline[:-2])
    at = (0.62 * middle[0] + 0.38 * rim[0], 0.62 * middle[1] + 0.38 * rim[1])
    width_mm = _width_at(outline)
    if is_narrow:
        size = min(_MOST_TEXT_MM, 0.7 * width_mm)
        turn = _upright_turn(middle, rim)
        # The baseline lies below the middle of the letters, seen along the text.
        drop = (-0.32 * size * math.sin(turn), 0.32 * size * math.cos(turn))
        place = (at[0] + drop[0], at[1] + drop[1])
        words = f"{name} {printed}".strip()
        names = [Text(place, words, size, ink, Anchor.MIDDLE, weight, math.degrees(turn))]
    else:
        size = min(_MOST_TEXT_MM, 0.78 * width_mm / (3.2 * LETTER_WIDTH))
        names = [Text((at[0], at[1] - 0.15 * size), name, size, ink, Anchor.MIDDLE)]
        if printed:
            below = (at[0], at[1] + size)
            names.append(Text(below, printed, size, ink, Anchor.MIDDLE, weight))
    if offset is not None and offset.offset_cents is None:
        box = text_box(names[0])
        half = ((box.right_mm - box.left_mm) / 2.0, 0.5 * size)
        centre = at if is_narrow else (at[0], at[1] - 0.48 * size)
        yield _turned_box(centre, half, names[0].rotation_degrees)
    yield from names


def _upright_turn(middle: Point, rim: Point) -> float:
    """Return the turn, in radians, of a text along a chamber that is never upside down."""
    turn = math.atan2(rim[1] - middle[1], rim[0] - middle[0])
    return turn if abs(turn) <= math.pi / 2.0 else turn - math.copysign(math.pi, turn)


def _turned_box(centre: Point, half: Point, degrees: float) -> Polygon:
    """Return a plain ground for a text on hatching."""
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    corners = ((-1, -1), (1, -1), (1, 1), (-1, 1))
    return Polygon(
        tuple(
            (
                centre[0] + x * half[0] * cos - y * half[1] * sin,
                centre[1] + x * half[0] * sin + y * half[1] * cos,
            )
            for x, y in corners
        ),
        "paper",
    )


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
