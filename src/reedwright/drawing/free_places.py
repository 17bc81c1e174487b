"""Places inside a part where a word or a sign lies on no line."""

import itertools
from collections.abc import Sequence

from reedwright.drawing.clipping import clipped_line
from reedwright.drawing.labels import Box
from reedwright.drawing.model import Point
from reedwright.drawing.template import Layer, Outline, Round

__all__ = ["box_around", "edge_box", "free_place"]

#: Where a place is tried, as shares of the part: the middle first.
_TRIES = (0.5, 0.25, 0.75, 0.12, 0.88)


def free_place(
    outlines: Sequence[Outline | Round],
    edge: Outline | Round,
    size_mm: tuple[float, float],
    taken: Sequence[Box],
) -> Point | None:
    """Return a place inside the edge, in no hole, where a box of a size lies on no line, or None.

    ``outlines`` are all lines of the part, the edge among them.
    """
    holes = [other for other in outlines if other.layer is Layer.CUT and other != edge]
    box = edge_box(edge)
    for down in _TRIES:
        for across in _TRIES:
            centre = (
                box.left_mm + across * (box.right_mm - box.left_mm),
                box.top_mm + down * (box.bottom_mm - box.top_mm),
            )
            room = box_around(centre, size_mm)
            if (
                not any(room.overlaps(other) for other in taken)
                and _is_inside(centre, edge)
                and not any(_is_inside(centre, hole) for hole in holes)
                and not any(_crosses(outline, room) for outline in outlines)
            ):
                return centre
    return None


def box_around(centre: Point, size_mm: tuple[float, float]) -> Box:
    """Return the upright rectangle of a width and height about a place."""
    (x, y), (wide, high) = centre, size_mm
    return Box(x - wide / 2.0, y - high / 2.0, x + wide / 2.0, y + high / 2.0)


def edge_box(edge: Outline | Round) -> Box:
    """Return the upright rectangle around an outline."""
    if isinstance(edge, Round):
        return box_around(edge.centre_mm, (2.0 * edge.radius_mm, 2.0 * edge.radius_mm))
    xs, ys = zip(*edge.points_mm, strict=True)
    return Box(min(xs), min(ys), max(xs), max(ys))


def _is_inside(point: Point, edge: Outline | Round) -> bool:
    x, y = point
    if isinstance(edge, Round):
        cx, cy = edge.centre_mm
        return (x - cx) ** 2 + (y - cy) ** 2 < edge.radius_mm**2
    inside = False
    points = edge.points_mm
    for (x1, y1), (x2, y2) in zip(points, points[1:] + points[:1], strict=True):
        if (y1 > y) != (y2 > y) and x < x1 + (y - y1) / (y2 - y1) * (x2 - x1):
            inside = not inside
    return inside


def _crosses(outline: Outline | Round, room: Box) -> bool:
    if isinstance(outline, Round):
        # Nearest and farthest corner of the room from the centre.
        cx, cy = outline.centre_mm
        xs, ys = (room.left_mm - cx, room.right_mm - cx), (room.top_mm - cy, room.bottom_mm - cy)
        near = (0.0 if xs[0] < 0.0 < xs[1] else min(map(abs, xs))) ** 2 + (
            0.0 if ys[0] < 0.0 < ys[1] else min(map(abs, ys))
        ) ** 2
        far = max(map(abs, xs)) ** 2 + max(map(abs, ys)) ** 2
        return near < outline.radius_mm**2 < far
    points = outline.points_mm
    chain = (*points, points[0]) if outline.is_closed else points
    return any(
        clipped_line(first, second, room) is not None for first, second in itertools.pairwise(chain)
    )
