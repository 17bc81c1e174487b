"""Points, outlines, labels and hatches in millimetres: no paper, no backend.

Also the one way in which a measured number becomes text (``numbers``), and the
geometry of graphs (``axes``).
"""

from reedwright.drawing.model import (
    Anchor,
    Circle,
    Drawing,
    Group,
    Hatch,
    Line,
    Point,
    Polygon,
    Polyline,
    Sector,
    Shape,
    Text,
    Weight,
)

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
