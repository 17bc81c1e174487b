"""Templates on sheets: one of each in rows, large ones in tiles. Nothing is ever scaled.

Many equal ones: ``drawing.packing``.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from reedwright.drawing.labels import Box
from reedwright.drawing.model import Point
from reedwright.drawing.template import Outline, Round, Template, turned
from reedwright.errors import InputError

__all__ = ["Placed", "Tile", "flow", "placed_outlines", "tiles"]


@dataclass(frozen=True, slots=True)
class Placed:
    """A template on a sheet: turned clockwise, then put where its box's corner is to lie."""

    template: Template
    corner_mm: Point
    turned_degrees: float = 0.0


@dataclass(frozen=True, slots=True)
class Tile:
    """One page's share of a drawing too large for a page; column and row count from 1.

    ``window`` is what the page shows. ``registers_mm`` are the crosses in the strips that it
    shares with its neighbours: the same places on both pages.
    """

    column: int
    row: int
    window: Box
    registers_mm: tuple[Point, ...]


def placed_outlines(placed: Placed) -> tuple[Outline | Round, ...]:
    """Return the outlines of a template where it lies on its sheet."""
    outlines = turned(placed.template.outlines, placed.turned_degrees)
    left, top = _corner(turned([placed.template.edge], placed.turned_degrees)[0])
    return turned(outlines, 0.0, (placed.corner_mm[0] - left, placed.corner_mm[1] - top))


def flow(
    sizes_mm: Sequence[tuple[float, float]], *, width_mm: float, height_mm: float, gap_mm: float
) -> tuple[tuple[tuple[int, Point], ...], ...]:
    """Return for each page which boxes stand on it and where: in rows, in the order given.

    A box larger than the page is refused; tile it.

    Raises
    ------
    InputError
        If a box is larger than the page.
    """
    pages: list[list[tuple[int, Point]]] = [[]]
    x = y = row_mm = 0.0
    for number, (wide, high) in enumerate(sizes_mm):
        if wide > width_mm or high > height_mm:
            raise InputError(
                f"a part must fit its page of {width_mm:.1f} by {height_mm:.1f} mm, got "
                f"{wide:.1f} by {high:.1f} mm; lay it out in tiles"
            )
        if x > 0.0 and x + wide > width_mm:
            x, y, row_mm = 0.0, y + row_mm + gap_mm, 0.0
        if y + high > height_mm:
            pages.append([])
            x = y = row_mm = 0.0
        pages[-1].append((number, (x, y)))
        x, row_mm = x + wide + gap_mm, max(row_mm, high)
    return tuple(tuple(page) for page in pages)


def tiles(
    *, width_mm: float, height_mm: float, page_width_mm: float, page_height_mm: float,
    overlap_mm: float,
) -> tuple[Tile, ...]:  # fmt: skip
    """Return the pages that show a drawing of a size, neighbours sharing a strip.

    Two register crosses stand in the middle of each shared strip, an eighth and seven
    eighths along it.

    Raises
    ------
    InputError
        If the overlap leaves nothing of the page.
    """
    if not 0.0 <= overlap_mm < min(page_width_mm, page_height_mm):
        raise InputError(
            f"tiles share a strip of 0 mm or more and less than the page of {page_width_mm:g} by "
            f"{page_height_mm:g} mm, got {overlap_mm:g} mm; 10 mm is enough"
        )
    columns = _pieces(width_mm, page_width_mm, overlap_mm)
    rows = _pieces(height_mm, page_height_mm, overlap_mm)
    step_x, step_y = page_width_mm - overlap_mm, page_height_mm - overlap_mm
    found = []
    for row in range(rows):
        for column in range(columns):
            window = Box(
                column * step_x,
                row * step_y,
                column * step_x + page_width_mm,
                row * step_y + page_height_mm,
            )
            registers = [
                (border * step_x + overlap_mm / 2.0, window.top_mm + share * page_height_mm)
                for border in (column, column + 1)
                if 0 < border < columns
                for share in (0.125, 0.875)
            ]
            registers += [
                (window.left_mm + share * page_width_mm, border * step_y + overlap_mm / 2.0)
                for border in (row, row + 1)
                if 0 < border < rows
                for share in (0.125, 0.875)
            ]
            found.append(Tile(column + 1, row + 1, window, tuple(registers)))
    return tuple(found)


def _pieces(size_mm: float, page_mm: float, overlap_mm: float) -> int:
    return max(1, math.ceil((size_mm - overlap_mm) / (page_mm - overlap_mm) - 1e-9))


def _corner(outline: Outline | Round) -> Point:
    if isinstance(outline, Round):
        (x, y), radius = outline.centre_mm, outline.radius_mm
        return x - radius, y - radius
    return min(x for x, _ in outline.points_mm), min(y for _, y in outline.points_mm)
