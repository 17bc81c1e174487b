"""Templates laid out on a flat area at true size, with what is written in and under them.

The lines keep their layer; texts stand apart. PDF, SVG and DXF are all made from this.
"""

import textwrap
from dataclasses import dataclass

from reedwright.drawing import Anchor, Group, Line, Point, Polygon, Polyline, Shape, Text, Weight
from reedwright.drawing.free_places import box_around, edge_box, free_place
from reedwright.drawing.labels import LETTER_WIDTH, Box
from reedwright.drawing.model import Circle
from reedwright.drawing.numbers import print_number
from reedwright.drawing.sheets import Placed, flow, placed_outlines
from reedwright.drawing.template import Layer, Outline, Round, Template, TemplateSet

__all__ = [
    "LaidOut",
    "caption_height_mm",
    "cell_size_mm",
    "lay_out_all",
    "layer_groups",
    "moved_text",
    "piece",
    "size_words",
    "with_caption",
]

_NUMBER_MM = 3.0
_TITLE_MM = 3.0
_TEXT_MM = 2.4
_LEADING = 1.3
#: A caption is at least so wide, however narrow its part.
_LEAST_CAPTION_MM = 52.0
_ARROW_MM, _ARROW_HEAD_MM = 14.0, 1.0


@dataclass(frozen=True, slots=True)
class LaidOut:
    """Lines and texts on an area of a size."""

    width_mm: float
    height_mm: float
    outlines: tuple[Outline | Round, ...]
    texts: tuple[Text, ...]


def lay_out_all(templates: TemplateSet, *, width_mm: float, gap_mm: float = 6.0) -> LaidOut:
    """Return one of each template on one area as wide as asked, wider if a part is.

    With a title above and two rules of 100 mm.
    """
    cells = [cell_size_mm(template) for template in templates.templates]
    width_mm = max([width_mm, 2.0 * gap_mm + 110.0, *(wide + 2.0 * gap_mm for wide, _ in cells)])
    (page,) = flow(cells, width_mm=width_mm - 2.0 * gap_mm, height_mm=float("inf"), gap_mm=gap_mm)
    top_mm = 24.0
    outlines: list[Outline | Round] = []
    texts = [
        Text((gap_mm, 6.0), templates.title, 4.2, "ink", weight=Weight.SEMIBOLD),
        Text((gap_mm, 10.5), templates.facts, 2.8, "quiet-ink"),
        Text((gap_mm + 103.0, 18.0), "measure both rules: 100 mm", 2.8, "ink"),
    ]
    outlines += rule_outlines((gap_mm, 18.0), is_upright=False)
    outlines += rule_outlines((gap_mm / 2.0, top_mm), is_upright=True)
    bottom_mm = top_mm + 100.0
    for number, (x, y) in page:
        part = with_caption(templates.templates[number], (gap_mm + x, top_mm + y))
        outlines += part.outlines
        texts += part.texts
        bottom_mm = max(bottom_mm, top_mm + y + cells[number][1])
    return LaidOut(width_mm, bottom_mm + gap_mm, tuple(outlines), tuple(texts))


def rule_outlines(start_mm: Point, *, is_upright: bool) -> tuple[Outline, ...]:
    """Return a rule of 100 mm with a tick each 10 mm, to the right or downwards, as marks."""

    def at(along: float, across: float) -> Point:
        x, y = start_mm
        return (x + across, y + along) if is_upright else (x + along, y - across)

    ticks = [
        (at(10.0 * step, 0.0), at(10.0 * step, 1.8 if step % 5 == 0 else 1.1)) for step in range(11)
    ]
    lines = [(at(0.0, 0.0), at(100.0, 0.0)), *ticks]
    return tuple(Outline(Layer.MARK, line, is_closed=False) for line in lines)


def piece(placed: Placed) -> LaidOut:
    """Return a part where it lies, with its number and the arrow of its grain inside."""
    template = placed.template
    outlines = placed_outlines(placed)
    edge = outlines[template.outlines.index(template.edge)]
    box = edge_box(edge)
    texts: list[Text] = []
    taken: list[Box] = []
    wide = LETTER_WIDTH * _NUMBER_MM * len(template.number)
    place = free_place(outlines, edge, (wide + 0.6, _NUMBER_MM), taken)
    if place is not None:
        at = (place[0], place[1] + 0.35 * _NUMBER_MM)
        texts.append(Text(at, template.number, _NUMBER_MM, "ink", Anchor.MIDDLE, Weight.SEMIBOLD))
        taken.append(box_around(place, (wide + 1.5, _NUMBER_MM)))
    arrow: tuple[Outline, ...] = ()
    if template.grain_degrees is not None:
        is_upright = (template.grain_degrees + placed.turned_degrees) % 180.0 == 90.0
        size = (2.0 * _ARROW_HEAD_MM, _ARROW_MM) if is_upright else (
            _ARROW_MM, 2.0 * _ARROW_HEAD_MM
        )  # fmt: skip
        place = free_place(outlines, edge, size, taken)
        if place is not None:
            arrow = _arrow(place, is_upright=is_upright)
    return LaidOut(
        box.right_mm - box.left_mm, box.bottom_mm - box.top_mm, (*outlines, *arrow), tuple(texts)
    )


def with_caption(template: Template, corner_mm: Point, *, turned_degrees: float = 0.0) -> LaidOut:
    """Return a part with its corner at a place, and under it what it is."""
    part = piece(Placed(template, corner_mm, turned_degrees))
    x, y = corner_mm[0], corner_mm[1] + part.height_mm + 1.0
    texts = list(part.texts)
    for size_mm, weight, line in _caption(template, part.width_mm):
        y += _LEADING * size_mm
        style = "ink" if weight is Weight.SEMIBOLD else "quiet-ink"
        texts.append(Text((x, y), line, size_mm, style, weight=weight))
    return LaidOut(part.width_mm, part.height_mm, part.outlines, tuple(texts))


def cell_size_mm(template: Template, *, is_turned: bool = False) -> tuple[float, float]:
    """Return the room a part takes with its caption."""
    wide, high = template.width_mm, template.height_mm
    if is_turned:
        wide, high = high, wide
    return max(wide, _LEAST_CAPTION_MM), high + caption_height_mm(template, wide)


def caption_height_mm(template: Template, part_width_mm: float) -> float:
    """Return the height of what is written under a part so wide."""
    return 1.6 + sum(_LEADING * size_mm for size_mm, _, _ in _caption(template, part_width_mm))


def size_words(template: Template) -> str:
    """Return the size of a part in millimetres, to 0.01, not to be broken over lines."""
    wide, high = (
        print_number(size, decimals=2) for size in (template.width_mm, template.height_mm)
    )
    return f"{wide} × {high} mm".replace(" ", "\N{NO-BREAK SPACE}")


def layer_groups(laid_out: LaidOut) -> tuple[Shape, ...]:
    """Return the shapes of a layout, a group for each layer and one for the texts."""
    groups: list[Shape] = [
        Group(
            layer.value,
            "",
            tuple(_shape(outline) for outline in laid_out.outlines if outline.layer is layer),
        )
        for layer in Layer
    ]
    return (*groups, Group("text", "", laid_out.texts))


def moved_text(text: Text, x_mm: float, y_mm: float) -> Text:
    """Return a text moved."""
    at = (text.at_mm[0] + x_mm, text.at_mm[1] + y_mm)
    return Text(at, text.text, text.size_mm, text.style, text.anchor, text.weight)


def _shape(outline: Outline | Round) -> Shape:
    style = outline.layer.value
    if isinstance(outline, Round):
        return Circle(outline.centre_mm, outline.radius_mm, style)
    if outline.is_closed:
        return Polygon(outline.points_mm, style)
    if len(outline.points_mm) == 2:
        return Line(*outline.points_mm, style)
    return Polyline(outline.points_mm, style)


def _caption(template: Template, part_width_mm: float) -> list[tuple[float, Weight, str]]:
    wide = max(part_width_mm, _LEAST_CAPTION_MM)
    title = f"{template.number} {template.title}, {template.count} pieces"
    facts = [template.material, template.grain, size_words(template), template.note]
    lines = [(_TITLE_MM, Weight.SEMIBOLD, line) for line in _wrapped(title, wide, _TITLE_MM)]
    text = "; ".join(fact for fact in facts if fact)
    return lines + [(_TEXT_MM, Weight.REGULAR, line) for line in _wrapped(text, wide, _TEXT_MM)]


def _wrapped(text: str, width_mm: float, size_mm: float) -> list[str]:
    return textwrap.wrap(text, max(8, int(width_mm / (LETTER_WIDTH * size_mm))))


def _arrow(centre: Point, *, is_upright: bool) -> tuple[Outline, ...]:
    """Return a line with heads at both ends: the grain has no sense."""

    def at(along: float, across: float) -> Point:
        x, y = centre
        return (x + across, y + along) if is_upright else (x + along, y + across)

    end, head = _ARROW_MM / 2.0, _ARROW_HEAD_MM
    chains = [
        (at(-end, 0.0), at(end, 0.0)),
        (at(end - head, -head), at(end, 0.0), at(end - head, head)),
        (at(head - end, -head), at(-end, 0.0), at(head - end, head)),
    ]
    return tuple(Outline(Layer.MARK, chain, is_closed=False) for chain in chains)
