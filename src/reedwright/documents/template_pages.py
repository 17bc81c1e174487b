"""Templates on pages at true size: cut list, patterns, tiles, packed sheets, each with its rule.

Every page is a drawing of the whole sheet of paper, so that the same drawing goes on paper
and on a screen. Nothing is scaled: what does not fit is turned, or goes on tiles.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from reedwright.documents.template_layout import (
    LaidOut,
    cell_size_mm,
    layer_groups,
    moved_text,
    rule_outlines,
    with_caption,
)
from reedwright.drawing import Anchor, Drawing, Text, Weight
from reedwright.drawing.clipping import clipped
from reedwright.drawing.labels import text_box
from reedwright.drawing.sheets import Tile, flow, tiles
from reedwright.drawing.template import Layer, Outline, Round, Template, TemplateSet, turned

__all__ = ["PageBody", "PatternPage", "page_drawing", "pattern_bodies", "tiled_pages"]

#: Printers leave this much white; the rule upright stands in it.
MARGIN_MM = 10.0
_HEAD_MM = 12.0
_FOOT_MM = 8.0
_GAP_MM = 7.0
#: The strip that neighbouring tiles share.
_OVERLAP_MM = 12.0
_REGISTER_MM = 3.0
#: Under a tile: which it is.
_TILE_WORDS_MM = 5.0
_ADVICE = "Measure both rules: 100 mm. If not, print again at 100 %, not fitted to the page."


class PatternPage(StrEnum):
    """The sheet in the printer (ISO 216; ANSI Y14.1: 8.5 by 11 in)."""

    A4 = "a4"
    LETTER = "letter"
    A3 = "a3"

    @property
    def width_mm(self) -> float:
        """Width of the upright sheet."""
        return {"a4": 210.0, "letter": 215.9, "a3": 297.0}[self.value]

    @property
    def height_mm(self) -> float:
        """Height of the upright sheet."""
        return {"a4": 297.0, "letter": 279.4, "a3": 420.0}[self.value]

    @property
    def body_mm(self) -> tuple[float, float]:
        """Width and height between head, foot and margins."""
        return (
            self.width_mm - 2.0 * MARGIN_MM,
            self.height_mm - 2.0 * MARGIN_MM - _HEAD_MM - _FOOT_MM,
        )


@dataclass(frozen=True, slots=True)
class PageBody:
    """What stands on a page between head and foot, and what its head says of it."""

    part: str
    facts: str
    laid_out: LaidOut


def pattern_bodies(templates: TemplateSet, page: PatternPage) -> list[PageBody]:
    """Return the bodies of the pages with one of each template.

    One that is too large for the page, either way round, comes in tiles.
    """
    width_mm, height_mm = page.body_mm
    cells: list[tuple[LaidOut, tuple[float, float]]] = []
    for template in templates.templates:
        for is_turned in (False, True):
            size = cell_size_mm(template, is_turned=is_turned)
            if size[0] <= width_mm and size[1] <= height_mm:
                turn = 90.0 if is_turned else 0.0
                cells.append((with_caption(template, (0.0, 0.0), turned_degrees=turn), size))
                break
        else:
            cells += _tiled_cells(template, page)
    pages = flow(
        [size for _, size in cells], width_mm=width_mm, height_mm=height_mm, gap_mm=_GAP_MM
    )
    return [
        PageBody(
            "templates",
            templates.facts,
            _together([(cells[number][0], corner) for number, corner in group], page),
        )
        for group in pages
    ]


def _tiled_cells(
    template: Template, page: PatternPage
) -> list[tuple[LaidOut, tuple[float, float]]]:
    """Return a large template in tiles as low as it is, each told which it is."""
    width_mm, height_mm = page.body_mm
    part = with_caption(template, (0.0, 0.0))
    wide, high = cell_size_mm(template)
    whole = LaidOut(max(wide, part.width_mm), high, part.outlines, part.texts)
    tile_mm = min(high, height_mm - _TILE_WORDS_MM)
    shares = tiles(
        width_mm=whole.width_mm,
        height_mm=whole.height_mm,
        page_width_mm=width_mm,
        page_height_mm=tile_mm,
        overlap_mm=_OVERLAP_MM,
    )
    cells = []
    for tile in shares:
        shown = _tile(whole, tile)
        words = f"{template.number}: {_tile_words(tile, shares)}; lay cross on cross"
        at = (0.0, tile_mm + _TILE_WORDS_MM - 1.0)
        text = Text(at, words, 2.4, "ink", weight=Weight.SEMIBOLD)
        cells.append(
            (
                LaidOut(shown.width_mm, shown.height_mm, shown.outlines, (*shown.texts, text)),
                (width_mm, tile_mm + _TILE_WORDS_MM),
            )
        )
    return cells


def tiled_pages(whole: LaidOut, page: PatternPage, *, part: str, facts: str) -> list[PageBody]:
    """Return the bodies of the pages that each show a share of something large."""
    width_mm, height_mm = page.body_mm
    shares = tiles(
        width_mm=whole.width_mm,
        height_mm=whole.height_mm,
        page_width_mm=width_mm,
        page_height_mm=height_mm,
        overlap_mm=_OVERLAP_MM,
    )
    return [
        PageBody(f"{part}, {_tile_words(tile, shares)}", facts, _tile(whole, tile))
        for tile in shares
    ]


def _tile_words(tile: Tile, shares: Sequence[Tile]) -> str:
    columns, rows = shares[-1].column, shares[-1].row
    return f"tile {tile.column} of {columns} across, {tile.row} of {rows} down"


def page_drawing(
    body: PageBody, page: PatternPage, *, title: str, number: tuple[int, int]
) -> Drawing:
    """Return a whole page: head, body, foot with the rule, and the rule upright at its side."""
    width_mm, height_mm = page.width_mm, page.height_mm
    left, top = MARGIN_MM, MARGIN_MM + _HEAD_MM
    foot_mm = height_mm - MARGIN_MM
    rules = (
        *rule_outlines((left, foot_mm), is_upright=False),
        *rule_outlines((left - 3.5, top), is_upright=True),
    )
    texts = (
        Text((left, MARGIN_MM + 3.6), title, 4.2, "ink", weight=Weight.SEMIBOLD),
        Text((width_mm - MARGIN_MM, MARGIN_MM + 3.6), body.part, 3.0, "ink", Anchor.END),
        Text((left, MARGIN_MM + 7.8), body.facts, 2.6, "quiet-ink"),
        Text((left + 102.0, foot_mm), _ADVICE, 2.0, "ink"),
        Text(
            (width_mm - MARGIN_MM, foot_mm - 3.0),
            f"page {number[0]} of {number[1]}",
            2.4,
            "quiet-ink",
            Anchor.END,
        ),
        *(moved_text(text, left, top) for text in body.laid_out.texts),
    )
    outlines = (*rules, *turned(body.laid_out.outlines, 0.0, (left, top)))
    return Drawing(
        width_mm,
        height_mm,
        f"{title}: {body.part}",
        f"{body.facts}. True size; rules of 100 mm below and at the left.",
        layer_groups(LaidOut(width_mm, height_mm, outlines, texts)),
    )


def _tile(whole: LaidOut, tile: Tile) -> LaidOut:
    """Return what a tile shows, its corner at the origin, with its crosses."""
    window = tile.window
    outlines = [*clipped(whole.outlines, window)]
    for x, y in tile.registers_mm:
        for dx, dy in ((_REGISTER_MM, 0.0), (0.0, _REGISTER_MM)):
            outlines.append(Outline(Layer.MARK, ((x - dx, y - dy), (x + dx, y + dy)), False))
        outlines.append(Round(Layer.MARK, (x, y), _REGISTER_MM / 2.0))
    # A text stands on the tile where it starts, unless that is in a strip of the next one, and
    # is left out where it would run past the tile: the page's head says what matters.
    right = window.right_mm - (_OVERLAP_MM if window.right_mm < whole.width_mm else 0.0)
    bottom = window.bottom_mm - (_OVERLAP_MM if window.bottom_mm < whole.height_mm else 0.0)
    shown = [
        text
        for text in whole.texts
        if window.left_mm <= text.at_mm[0] < right
        and window.top_mm <= text.at_mm[1] < bottom
        and text_box(text).right_mm <= window.right_mm
    ]
    left, top = window.left_mm, window.top_mm
    return LaidOut(
        window.right_mm - left,
        window.bottom_mm - top,
        turned(outlines, 0.0, (-left, -top)),
        tuple(moved_text(text, -left, -top) for text in shown),
    )


def _together(parts: Sequence[tuple[LaidOut, tuple[float, float]]], page: PatternPage) -> LaidOut:
    width_mm, height_mm = page.body_mm
    return LaidOut(
        width_mm,
        height_mm,
        tuple(outline for part, corner in parts for outline in turned(part.outlines, 0.0, corner)),
        tuple(moved_text(text, *corner) for part, corner in parts for text in part.texts),
    )
