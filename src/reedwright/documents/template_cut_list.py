"""The first page of a set of templates: every part, how many, of what; and what the lines mean."""

import math
import textwrap
from collections.abc import Sequence

from reedwright.documents.template_layout import LaidOut, size_words
from reedwright.drawing import Text, Weight
from reedwright.drawing.labels import LETTER_WIDTH
from reedwright.drawing.numbers import print_number
from reedwright.drawing.template import Layer, Outline, Template, TemplateSet, area_mm2

__all__ = ["cut_list"]

_TEXT_MM = 2.6
_LINE_MM = 3.6
#: Title of each column and its share of the width.
_COLUMNS = (
    ("no.", 0.06),
    ("part", 0.17),
    ("pieces", 0.08),
    ("size of one", 0.18),
    ("all, cm²", 0.09),
    ("material", 0.20),
    ("grain, remarks", 0.22),
)
_MEANINGS = (
    (Layer.CUT, "cut"),
    (Layer.SCORE, "score: crease before gluing"),
    (Layer.FOLD, "fold: folds in play"),
    (Layer.MARK, "mark: lay against; arrow: grain"),
)


def cut_list(templates: TemplateSet, *, width_mm: float, height_mm: float) -> LaidOut:
    """Return the list of all parts, with what the lines of the templates mean below it."""
    outlines: list[Outline] = []
    texts: list[Text] = []
    y = _LINE_MM
    y = _row(texts, [name for name, _ in _COLUMNS], y, width_mm, weight=Weight.SEMIBOLD)
    for template in templates.templates:
        outlines.append(_level(y - _LINE_MM + 0.6, width_mm))
        y = _row(texts, _cells(template), y, width_mm)
    outlines.append(_level(y - _LINE_MM + 0.6, width_mm))
    y += 2.0 * _LINE_MM
    for material, area_cm2, pieces in _materials(templates.templates):
        words = (
            f"{material}: {pieces} pieces, {print_number(area_cm2, decimals=0)} cm² without waste"
        )
        texts.append(Text((0.0, y), words, _TEXT_MM, "ink"))
        y += _LINE_MM
    y += _LINE_MM
    for layer, meaning in _MEANINGS:
        outlines.append(Outline(layer, ((0.0, y - 0.8), (22.0, y - 0.8)), is_closed=False))
        texts.append(Text((25.0, y), meaning, _TEXT_MM, "ink"))
        y += 1.3 * _LINE_MM
    return LaidOut(width_mm, max(y, height_mm), tuple(outlines), tuple(texts))


def _cells(template: Template) -> list[str]:
    area_cm2 = template.count * area_mm2(template.edge) / 100.0
    return [
        template.number,
        template.title,
        str(template.count),
        size_words(template),
        print_number(area_cm2, decimals=0),
        template.material,
        "; ".join(words for words in (template.grain, template.note) if words),
    ]


def _row(
    texts: list[Text],
    cells: Sequence[str],
    y: float,
    width_mm: float,
    *,
    weight: Weight = Weight.REGULAR,
) -> float:
    """Write a row whose first baseline is y; return that of the next."""
    x, most = 0.0, 1
    for cell, (_, share) in zip(cells, _COLUMNS, strict=True):
        room = math.floor((share * width_mm - 1.5) / (LETTER_WIDTH * _TEXT_MM))
        lines = textwrap.wrap(cell, max(4, room)) or [""]
        for number, line in enumerate(lines):
            at = (x, y + number * _LINE_MM)
            texts.append(Text(at, line, _TEXT_MM, "ink", weight=weight))
        most = max(most, len(lines))
        x += share * width_mm
    return y + most * _LINE_MM + 1.4


def _level(y: float, width_mm: float) -> Outline:
    return Outline(Layer.MARK, ((0.0, y), (width_mm, y)), is_closed=False)


def _materials(templates: Sequence[Template]) -> list[tuple[str, float, int]]:
    """Return each material with the area and the pieces cut of it."""
    found: dict[str, tuple[float, int]] = {}
    for template in templates:
        area, pieces = found.get(template.material, (0.0, 0))
        found[template.material] = (
            area + template.count * area_mm2(template.edge) / 100.0,
            pieces + template.count,
        )
    return [(material, area, pieces) for material, (area, pieces) in found.items()]
