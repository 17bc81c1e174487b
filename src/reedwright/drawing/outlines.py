"""Outlines that are drawn again and again."""

from reedwright.drawing.model import Polygon

__all__ = ["rectangle"]


def rectangle(
    left_mm: float, top_mm: float, right_mm: float, bottom_mm: float, style: str
) -> Polygon:
    """Return an upright rectangle by its edges."""
    return Polygon(
        ((left_mm, top_mm), (right_mm, top_mm), (right_mm, bottom_mm), (left_mm, bottom_mm)), style
    )
