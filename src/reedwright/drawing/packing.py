"""Many equal parts on sheets of one size, in rows.

Every second part of a row is turned half round, so that slanting ends share their room.
For trapezoids a row holds ``floor((W - (L - l) / 2 + g) / ((L + l) / 2 + g))`` with L and l
the parallel edges and g the gap along the row.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from reedwright.drawing.model import Point
from reedwright.drawing.sheets import Placed
from reedwright.drawing.template import Outline, Round, Template, area_mm2, turned
from reedwright.errors import InputError

__all__ = ["PackedSheets", "pack_equal", "row_step_mm"]


@dataclass(frozen=True, slots=True)
class PackedSheets:
    """Equal parts packed on sheets of one size.

    ``pieces`` are those of a full sheet; the last sheet takes the first ``on_last`` of them.
    ``utilisation`` is the area of the parts over that of all sheets begun.
    """

    template: Template
    width_mm: float
    height_mm: float
    pieces: tuple[Placed, ...]
    sheets: int
    on_last: int
    utilisation: float

    def on_sheet(self, number: int) -> tuple[Placed, ...]:
        """Return the pieces on a sheet, the first being 1."""
        return self.pieces if number < self.sheets else self.pieces[: self.on_last]


def pack_equal(
    template: Template,
    *,
    width_mm: float,
    height_mm: float,
    edge_mm: float,
    gap_mm: float,
    grain_along_width: bool,
) -> PackedSheets:
    """Return all pieces of a template on sheets of one size, in rows, every second one turned.

    Parts are laid along the sheet and across it, and the better is kept; a part with a grain
    is laid only with its grain along the sheet's. ``edge_mm`` is left free all round,
    ``gap_mm`` between any two parts.

    Raises
    ------
    InputError
        If not even one fits.
    """
    ways = []
    for quarter in (0.0, 90.0):
        lies_along_width = (template.grain_degrees or 0.0) + quarter
        if template.grain_degrees is not None and (
            (lies_along_width % 180.0 == 0.0) != grain_along_width
        ):
            continue
        room = (width_mm - 2.0 * edge_mm, height_mm - 2.0 * edge_mm)
        across, down = room if quarter == 0.0 else room[::-1]
        rows = _rows(template, across, down, gap_mm)
        if quarter:
            # Laid out on the sheet turned a quarter: x becomes y.
            rows = [(y, x, way) for x, y, way in rows]
        ways.append([(x, y, (way + quarter) % 360.0) for x, y, way in rows])
    best = max(ways, key=len)
    if not best:
        grain = "" if template.grain_degrees is None else " with its grain along the sheet's"
        raise InputError(
            f"a sheet must hold its part, {template.title} of {template.width_mm:.1f} by "
            f"{template.height_mm:.1f} mm does not fit {width_mm:g} by {height_mm:g} mm less "
            f"{edge_mm:g} mm at the edges{grain}; take a larger sheet, or turn it"
        )
    sheets = math.ceil(template.count / len(best))
    return PackedSheets(
        template=template,
        width_mm=width_mm,
        height_mm=height_mm,
        pieces=tuple(Placed(template, (edge_mm + x, edge_mm + y), way) for x, y, way in best),
        sheets=sheets,
        on_last=template.count - (sheets - 1) * len(best),
        utilisation=template.count * area_mm2(template.edge) / (sheets * width_mm * height_mm),
    )


def row_step_mm(
    template: Template, gap_mm: float, *, turns: tuple[float, float] = (0.0, 180.0)
) -> float:
    """Return how far a part stands from the one before it in a row, corner to corner.

    ``turns`` are those of the first and of the second, half turns. Found by halving, to
    1e-9 mm. Curves and hollows count as the convex hull of the corners.
    """
    first, second = (_hull(turned([template.edge], turn)[0]) for turn in turns)
    near, far = 0.0, template.width_mm + gap_mm
    shift = min(x for x, _ in first) - min(x for x, _ in second)
    drop = min(y for _, y in first) - min(y for _, y in second)
    while far - near > 1e-9:
        middle = (near + far) / 2.0
        moved = [(x + shift + middle, y + drop) for x, y in second]
        if _distance_mm(first, moved) >= gap_mm:
            far = middle
        else:
            near = middle
    return far


def _rows(
    template: Template, across_mm: float, down_mm: float, gap_mm: float
) -> list[tuple[float, float, float]]:
    """Return corner and turn of every part in a room, in rows of alternating parts."""
    wide, high = template.width_mm, template.height_mm
    if wide > across_mm or high > down_mm:
        return []
    plain = row_step_mm(template, gap_mm, turns=(0.0, 0.0))
    there = row_step_mm(template, gap_mm)
    # Back again, and far enough for the part before last, which lies the same way.
    back = max(row_step_mm(template, gap_mm, turns=(180.0, 0.0)), plain - there)
    steps, turns = ((there, back), (0.0, 180.0))
    if there + back > 2.0 * plain:
        steps, turns = ((plain, plain), (0.0, 0.0))
    row: list[tuple[float, float]] = []
    x = 0.0
    while x + wide <= across_mm + 1e-9:
        row.append((x, turns[len(row) % 2]))
        x += steps[(len(row) - 1) % 2]
    rows = math.floor((down_mm + gap_mm) / (high + gap_mm) + 1e-9)
    return [(x, number * (high + gap_mm), turn) for number in range(rows) for x, turn in row]


def _hull(outline: Outline | Round) -> list[Point]:
    """Return the convex hull of an outline, a circle as its square (Andrew's monotone chain)."""
    if isinstance(outline, Round):
        (x, y), r = outline.centre_mm, outline.radius_mm
        return [(x - r, y - r), (x + r, y - r), (x + r, y + r), (x - r, y + r)]
    points = sorted(set(outline.points_mm))

    def half(ordered: Sequence[Point]) -> list[Point]:
        chain: list[Point] = []
        for point in ordered:
            while len(chain) > 1 and _turn(chain[-2], chain[-1], point) <= 0.0:
                chain.pop()
            chain.append(point)
        return chain[:-1]

    return half(points) + half(points[::-1])


def _turn(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _distance_mm(first: Sequence[Point], second: Sequence[Point]) -> float:
    """Return the distance of two convex polygons, below 0 where they overlap."""
    if not any(_parts(line, second) for line in _edges(first)) and not any(
        _parts(line, first) for line in _edges(second)
    ):
        return -1.0
    return min(
        min(_point_line_mm(point, line) for line in _edges(other) for point in polygon)
        for polygon, other in ((first, second), (second, first))
    )


def _edges(polygon: Sequence[Point]) -> Iterator[tuple[Point, Point]]:
    yield from zip(polygon, (*polygon[1:], polygon[0]), strict=True)


def _parts(line: tuple[Point, Point], polygon: Sequence[Point]) -> bool:
    """Whether a polygon lies wholly on the outer side of an edge of a counter-clockwise one."""
    return all(_turn(*line, point) <= 0.0 for point in polygon)


def _point_line_mm(point: Point, line: tuple[Point, Point]) -> float:
    (x1, y1), (x2, y2) = line
    dx, dy = x2 - x1, y2 - y1
    length2 = dx * dx + dy * dy
    share = min(max(((point[0] - x1) * dx + (point[1] - y1) * dy) / length2, 0.0), 1.0)
    return math.dist(point, (x1 + share * dx, y1 + share * dy))
