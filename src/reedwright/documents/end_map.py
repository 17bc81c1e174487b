"""Both ends of the instrument with the cents written in, and what the marks mean."""

from collections.abc import Sequence

from reedwright.documents.map_legend import map_legend
from reedwright.documents.model import reed_of
from reedwright.documents.split_button import ButtonOffsets, split_button
from reedwright.drawing import (
    Anchor,
    Circle,
    Drawing,
    Group,
    Point,
    Polygon,
    Shape,
    Text,
    Weight,
)
from reedwright.instrument.layout import Action, Direction, Layout, Reed, Side
from reedwright.instrument.target import ReedOffset
from reedwright.instrument.views import end_outline, end_view
from reedwright.tuning.model import Tolerance

__all__ = ["both_ends_map", "end_map", "widest_end_mm"]

_TITLE_MM = 3.6
_TEXT_MM = 2.9
_GAP_MM = 6.0
_LEGEND_GAP_MM = 5.0
#: Room for the name of the view.
_TOP_MM = 2.2 * _TITLE_MM


def end_map(
    layout: Layout,
    side: Side,
    offsets: Sequence[ReedOffset],
    *,
    width_mm: float,
    is_from_inside: bool = False,
) -> Drawing:
    """Return one end, drawn so wide, with its view named above it.

    Raises
    ------
    InputError
        If the layout has no keys on that end.
    """
    view = end_view(layout, side, is_from_inside=is_from_inside)
    xs = [x for x, _ in view.outline]
    ys = [y for _, y in view.outline]
    scale = (width_mm - 0.4) / (max(xs) - min(xs))
    top_mm = _TOP_MM
    height_mm = top_mm + scale * (max(ys) - min(ys)) + 0.4

    def placed(x: float, y: float) -> Point:
        return 0.2 + scale * (x - min(xs)), top_mm + scale * (y - min(ys))

    by_reed = {reed_of(offset): offset for offset in offsets}
    buttons = [
        split_button(
            ButtonOffsets(
                layout.key(place.key),
                by_reed.get(Reed(place.key, Direction.PRESS)),
                by_reed.get(Reed(place.key, Direction.DRAW)),
            ),
            # The name hangs below: the button sits a little above its place.
            centre_mm=placed(place.x_mm, place.y_mm - 0.3 * view.button_radius_mm),
            radius_mm=scale * view.button_radius_mm,
        )
        for place in view.places
    ]
    shapes: list[Shape] = [
        Text(
            (width_mm / 2.0, _TITLE_MM), view.view_name, _TITLE_MM, "ink", Anchor.MIDDLE,
            Weight.SEMIBOLD,
        ),
        Polygon(tuple(placed(x, y) for x, y in view.outline), "outline"),
        *buttons,
    ]  # fmt: skip
    if view.air_button is not None:
        at, radius_mm = placed(*view.air_button), scale * view.button_radius_mm
        shapes.append(Circle(at, 0.8 * radius_mm, "air"))
        baseline = (at[0], at[1] + 0.15 * radius_mm)
        shapes.append(Text(baseline, "air", 0.5 * radius_mm, "quiet-ink", Anchor.MIDDLE))
    return Drawing(
        width_mm,
        height_mm,
        view.view_name,
        "Each button with its offset from the target in cents: left half press, right half draw.",
        tuple(shapes),
    )


def both_ends_map(
    layout: Layout,
    offsets: Sequence[ReedOffset],
    *,
    tolerance: Tolerance,
    width_mm: float,
    most_height_mm: float,
    is_from_inside: bool = False,
) -> Drawing:
    """Return both ends side by side, thumb to thumb, over the legend.

    They are as large as the width and the height allow. An end that has no keys is
    left out; the other keeps its size.
    """
    sides = [side for side in Side if layout.side_keys(side)]
    legend = map_legend(tolerance, halves=_halves(layout))
    room_mm = most_height_mm - _LEGEND_GAP_MM - legend.height_mm
    one_mm = min((width_mm - _GAP_MM) / 2.0, widest_end_mm(layout, room_mm))
    ends = [
        end_map(layout, side, offsets, width_mm=one_mm, is_from_inside=is_from_inside)
        for side in sides
    ]
    height_mm = max(end.height_mm for end in ends)
    # Each end in the middle of its half of the sheet.
    half_mm = width_mm / 2.0
    lefts = [(place + 0.5) * half_mm - one_mm / 2.0 for place in range(len(ends))]
    shapes: list[Shape] = [
        Group(f"{side}-end", end.title, end.shapes, (left, 0.0))
        for side, end, left in zip(sides, ends, lefts, strict=True)
    ]
    below = (0.0, height_mm + _LEGEND_GAP_MM)
    shapes.append(Group("legend", legend.title, legend.shapes, below))
    titles = " and ".join(end.title.lower() for end in ends)
    return Drawing(
        width_mm,
        height_mm + _LEGEND_GAP_MM + legend.height_mm,
        "Map of the ends",
        f"The {titles}; each button with its offsets in cents, press on the left half.",
        tuple(shapes),
    )


def widest_end_mm(layout: Layout, height_mm: float) -> float:
    """Return how wide an end may be drawn to be no higher than that with its title."""
    outline = end_outline(sides=layout.sides, across_flats_mm=1.0)
    xs, ys = [x for x, _ in outline], [y for _, y in outline]
    return (height_mm - _TOP_MM - 0.4) * (max(xs) - min(xs)) / (max(ys) - min(ys))


def _halves(layout: Layout) -> str:
    if layout.action is Action.DOUBLE:
        return "left half press, right half draw"
    return "left half press, no draw reeds"
