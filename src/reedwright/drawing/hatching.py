"""Hatching worked out as lines, so that it prints without seams at any size."""

import math

from reedwright.drawing.model import Circle, Hatch, Line, Point, Polygon, Sector
from reedwright.errors import InputError

__all__ = ["hatch_lines", "outline_points"]

#: Curves are followed in chords of this many degrees: 0.4 % of the radius inside the curve
#: at the most, far less than a stroke at the sizes drawn here.
_CHORD_DEGREES = 10.0


def outline_points(shape: Polygon | Circle | Sector) -> tuple[Point, ...]:
    """Return the corners of a shape's outline, curves as short chords."""
    match shape:
        case Polygon():
            return shape.points_mm
        case Circle():
            return _arc(shape.centre_mm, shape.radius_mm, 0.0, 360.0)[:-1]
        case Sector():
            sweep = (shape.to_degrees - shape.from_degrees) % 360.0
            rim = _arc(shape.centre_mm, shape.radius_mm, shape.from_degrees, sweep)
            return (*rim, shape.centre_mm)


def hatch_lines(hatch: Hatch) -> tuple[Line, ...]:
    """Return the parallel lines of a hatch, cut off at its outline.

    Lines are counted from the drawing's corner, so that hatches of one angle and
    spacing line up across shapes.

    Raises
    ------
    InputError
        If the spacing is not above 0.
    """
    if not hatch.spacing_mm > 0.0:
        raise InputError(f"hatch lines need a spacing above 0 mm, got {hatch.spacing_mm}")
    angle = math.radians(hatch.angle_degrees)
    along, across = (math.cos(angle), math.sin(angle)), (-math.sin(angle), math.cos(angle))
    # Corners as (along, across) the direction of the lines.
    corners = [
        (x * along[0] + y * along[1], x * across[0] + y * across[1])
        for x, y in outline_points(hatch.inside)
    ]
    first = math.ceil(min(v for _, v in corners) / hatch.spacing_mm)
    last = math.floor(max(v for _, v in corners) / hatch.spacing_mm)
    lines = []
    for count in range(first, last + 1):
        level = count * hatch.spacing_mm
        crossings = _crossings(corners, level)
        for u_from, u_to in zip(crossings[::2], crossings[1::2], strict=False):
            if u_to > u_from:
                ends = [
                    (u * along[0] + level * across[0], u * along[1] + level * across[1])
                    for u in (u_from, u_to)
                ]
                lines.append(Line(ends[0], ends[1], hatch.style))
    return tuple(lines)


def _crossings(corners: list[Point], level: float) -> list[float]:
    """Return where a line crosses the outline, in order; corners are crossed once."""
    found = []
    for (u1, v1), (u2, v2) in zip(corners, corners[1:] + corners[:1], strict=True):
        if (v1 <= level) != (v2 <= level):
            found.append(u1 + (level - v1) / (v2 - v1) * (u2 - u1))
    return sorted(found)


def _arc(centre: Point, radius: float, from_degrees: float, sweep: float) -> tuple[Point, ...]:
    steps = max(1, math.ceil(sweep / _CHORD_DEGREES))
    angles = [math.radians(from_degrees + sweep * step / steps) for step in range(steps + 1)]
    return tuple(
        (centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle))
        for angle in angles
    )
