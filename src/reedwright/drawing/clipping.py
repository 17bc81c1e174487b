"""What a window shows of lines: cut off exactly at its edges."""

import itertools
import math
from collections.abc import Iterable

from reedwright.drawing.labels import Box
from reedwright.drawing.model import Point
from reedwright.drawing.template import Outline, Round

__all__ = ["clipped", "clipped_line"]

#: A circle cut by a window is followed in so many chords: 4 parts in a million inside it.
_CHORDS = 720


def clipped(outlines: Iterable[Outline | Round], window: Box) -> tuple[Outline | Round, ...]:
    """Return what lies in a window, whole outlines whole, others line by line."""
    found: list[Outline | Round] = []
    for outline in outlines:
        if isinstance(outline, Round):
            (x, y), r = outline.centre_mm, outline.radius_mm
            if Box(x - r, y - r, x + r, y + r).lies_within(window):
                found.append(outline)
                continue
            chain = [
                (
                    x + r * math.cos(2.0 * math.pi * step / _CHORDS),
                    y + r * math.sin(2.0 * math.pi * step / _CHORDS),
                )
                for step in range(_CHORDS + 1)
            ]
        else:
            if all(_holds(window, point) for point in outline.points_mm):
                found.append(outline)
                continue
            chain = [*outline.points_mm, *(outline.points_mm[:1] if outline.is_closed else ())]
        lines = (clipped_line(first, second, window) for first, second in itertools.pairwise(chain))
        found += [Outline(outline.layer, line, is_closed=False) for line in lines if line]
    return tuple(found)


def _holds(window: Box, point: Point) -> bool:
    x, y = point
    return window.left_mm <= x <= window.right_mm and window.top_mm <= y <= window.bottom_mm


def clipped_line(first: Point, second: Point, room: Box) -> tuple[Point, Point] | None:
    """Return the part of a line within a box, None where it has none (Liang and Barsky 1984)."""
    (x1, y1), (x2, y2) = first, second
    enter, leave = 0.0, 1.0
    for move, low, high in (
        (x2 - x1, room.left_mm - x1, room.right_mm - x1),
        (y2 - y1, room.top_mm - y1, room.bottom_mm - y1),
    ):
        if move == 0.0:
            if not low <= 0.0 <= high:
                return None
            continue
        ends = sorted((low / move, high / move))
        enter, leave = max(enter, ends[0]), min(leave, ends[1])
    if enter >= leave:
        return None

    def along(share: float) -> Point:
        return x1 + share * (x2 - x1), y1 + share * (y2 - y1)

    return (first if enter == 0.0 else along(enter)), (second if leave == 1.0 else along(leave))
