"""Shapes on a flat surface, as frozen values in millimetres.

Conventions: x runs to the right and y downwards from the top left corner of the
drawing, in millimetres. Angles are degrees, clockwise as seen, 0 at three
o'clock. A shape wears the *name* of a style (``flat-3``, ``unheard``); what
colour and stroke that is, is decided where the drawing is put on paper or on a
screen. Nothing here knows of either.
"""

from dataclasses import dataclass
from enum import StrEnum

__all__ = [
    "Anchor",
    "Circle",
    "Drawing",
    "Group",
    "Hatch",
    "Line",
    "Point",
    "Polygon",
    "Polyline",
    "Sector",
    "Shape",
    "Text",
    "Weight",
]

#: x and y in millimetres.
Point = tuple[float, float]


class Anchor(StrEnum):
    """Which point of a text lies at its place."""

    START = "start"
    MIDDLE = "middle"
    END = "end"


class Weight(StrEnum):
    """How heavy a text is set."""

    REGULAR = "regular"
    SEMIBOLD = "semibold"


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line between two points."""

    from_mm: Point
    to_mm: Point
    style: str


@dataclass(frozen=True, slots=True)
class Polyline:
    """An open chain of straight lines."""

    points_mm: tuple[Point, ...]
    style: str


@dataclass(frozen=True, slots=True)
class Polygon:
    """A closed outline of straight sides."""

    points_mm: tuple[Point, ...]
    style: str


@dataclass(frozen=True, slots=True)
class Circle:
    """A full circle."""

    centre_mm: Point
    radius_mm: float
    style: str


@dataclass(frozen=True, slots=True)
class Sector:
    """A slice of a disc, clockwise from one angle to the other, less than a full turn.

    A half disc is a sector of 180 degrees. ``is_arc_only`` leaves the two radii
    undrawn: the rim alone.
    """

    centre_mm: Point
    radius_mm: float
    from_degrees: float
    to_degrees: float
    style: str
    is_arc_only: bool = False


@dataclass(frozen=True, slots=True)
class Hatch:
    """Parallel lines inside a shape, at an angle and a spacing; the outline is not drawn."""

    inside: Polygon | Circle | Sector
    angle_degrees: float
    spacing_mm: float
    style: str


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text standing on its baseline at a place.

    ``size_mm`` is the height of the type body (the em). ``rotation_degrees`` turns
    it clockwise about its place.
    """

    at_mm: Point
    text: str
    size_mm: float
    style: str
    anchor: Anchor = Anchor.START
    weight: Weight = Weight.REGULAR
    rotation_degrees: float = 0.0


@dataclass(frozen=True, slots=True)
class Group:
    """Shapes that belong together, moved by ``offset_mm``; ``name`` finds them again.

    ``title`` says in words what the group shows, for those who cannot see it.
    """

    name: str
    title: str
    shapes: tuple["Shape", ...]
    offset_mm: Point = (0.0, 0.0)


Shape = Line | Polyline | Polygon | Circle | Sector | Hatch | Text | Group


@dataclass(frozen=True, slots=True)
class Drawing:
    """A picture of a fixed size: what it is called, what it shows, and its shapes."""

    width_mm: float
    height_mm: float
    title: str
    description: str
    shapes: tuple[Shape, ...]
