"""Patterns of parts to be cut: outlines in layers, with count, material and grain.

A template is the shape of one part at its true size; where it goes on a sheet is decided in
``drawing.sheets``. Conventions are those of ``drawing.model``: millimetres, x to the right,
y downwards.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from reedwright.drawing.labels import Box
from reedwright.drawing.model import Point
from reedwright.errors import InputError

__all__ = ["Layer", "Outline", "Round", "Template", "TemplateSet", "area_mm2", "turned"]


class Layer(StrEnum):
    """What a line of a template asks for: names of the layers of a cutting file too.

    ``cut``: the knife. ``score``: crease before gluing. ``fold``: folds in use.
    ``mark``: drawn only, to lay things against.
    """

    CUT = "cut"
    SCORE = "score"
    FOLD = "fold"
    MARK = "mark"


@dataclass(frozen=True, slots=True)
class Outline:
    """A chain of straight lines in one layer, closed or open."""

    layer: Layer
    points_mm: tuple[Point, ...]
    is_closed: bool = True


@dataclass(frozen=True, slots=True)
class Round:
    """A full circle in one layer."""

    layer: Layer
    centre_mm: Point
    radius_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Template:
    """The pattern of one kind of part.

    ``number`` is what is written on the pieces ("B1"). ``count`` says how many are needed.
    ``grain_degrees`` is the direction of the material's grain across the pattern, clockwise
    from x, None where it does not matter; ``grain`` says it in words. The first outline of
    the layer ``cut`` is the edge of the part.
    """

    number: str
    title: str
    material: str
    count: int
    outlines: tuple[Outline | Round, ...]
    grain_degrees: float | None = None
    grain: str | None = None
    note: str = ""

    def __post_init__(self) -> None:
        if self.count < 1:
            raise InputError(
                f"a template is for 1 part or more, got {self.count} of {self.title}; leave it out"
            )
        if not any(outline.layer is Layer.CUT for outline in self.outlines):
            raise InputError(
                f"a template needs an outline to cut, {self.title} has none; give its edge"
            )

    @property
    def edge(self) -> Outline | Round:
        """The outline the part is cut out along."""
        return next(outline for outline in self.outlines if outline.layer is Layer.CUT)

    @property
    def box(self) -> Box:
        """The upright rectangle around the edge."""
        if isinstance(self.edge, Round):
            (x, y), radius = self.edge.centre_mm, self.edge.radius_mm
            return Box(x - radius, y - radius, x + radius, y + radius)
        xs, ys = zip(*self.edge.points_mm, strict=True)
        return Box(min(xs), min(ys), max(xs), max(ys))

    @property
    def width_mm(self) -> float:
        """Size along x."""
        return self.box.right_mm - self.box.left_mm

    @property
    def height_mm(self) -> float:
        """Size along y."""
        return self.box.bottom_mm - self.box.top_mm


@dataclass(frozen=True, slots=True)
class TemplateSet:
    """The templates of one thing: what it is, the facts that every sheet repeats, the parts."""

    title: str
    facts: str
    templates: tuple[Template, ...]


def area_mm2(outline: Outline | Round) -> float:
    """Return the area within a closed outline."""
    if isinstance(outline, Round):
        return math.pi * outline.radius_mm**2
    points = outline.points_mm
    twice = sum(
        x1 * y2 - x2 * y1
        for (x1, y1), (x2, y2) in zip(points, points[1:] + points[:1], strict=True)
    )
    return abs(twice) / 2.0


def turned(
    outlines: Iterable[Outline | Round], degrees: float, moved_mm: Point = (0.0, 0.0)
) -> tuple[Outline | Round, ...]:
    """Return outlines turned clockwise about the origin and then moved.

    Quarter turns are exact.
    """
    quarter, rest = divmod(degrees % 360.0, 90.0)
    if rest == 0.0:
        cos, sin = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarter)]
    else:
        cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))

    def placed(point: Point) -> Point:
        x, y = point
        return x * cos - y * sin + moved_mm[0], x * sin + y * cos + moved_mm[1]

    return tuple(
        Round(outline.layer, placed(outline.centre_mm), outline.radius_mm)
        if isinstance(outline, Round)
        else Outline(
            outline.layer, tuple(placed(point) for point in outline.points_mm), outline.is_closed
        )
        for outline in outlines
    )
