"""Outlines that are drawn again and again."""

import math

from reedwright.drawing.model import Point, Polygon
from reedwright.errors import InputError

__all__ = ["rectangle", "regular_outline"]


def rectangle(
    left_mm: float, top_mm: float, right_mm: float, bottom_mm: float, style: str
) -> Polygon:
    """Return an upright rectangle by its edges."""
    return Polygon(
        ((left_mm, top_mm), (right_mm, top_mm), (right_mm, bottom_mm), (left_mm, bottom_mm)), style
    )


def regular_outline(sides: int, *, centre_mm: Point, across_flats_mm: float, style: str) -> Polygon:
    """Return a regular outline standing on one of its flats.

    Raises
    ------
    InputError
        With fewer than three sides.
    """
    if sides < 3:
        raise InputError(f"an outline has at least 3 sides, got {sides}")
    radius = across_flats_mm / 2.0 / math.cos(math.pi / sides)
    first = math.pi / 2.0 - math.pi / sides
    return Polygon(
        tuple(
            (
                centre_mm[0] + radius * math.cos(first + 2.0 * math.pi * corner / sides),
                centre_mm[1] + radius * math.sin(first + 2.0 * math.pi * corner / sides),
            )
            for corner in range(sides)
        ),
        style,
    )
