"""All pieces of a set of templates packed on sheets of one size, ready to cut."""

from collections.abc import Sequence
from dataclasses import dataclass

from reedwright.documents.template_layout import LaidOut, moved_text, piece, rule_outlines
from reedwright.drawing import Text
from reedwright.drawing.labels import LETTER_WIDTH
from reedwright.drawing.numbers import print_number
from reedwright.drawing.packing import PackedSheets, pack_equal
from reedwright.drawing.template import Layer, Outline, Round, TemplateSet, turned
from reedwright.errors import InputError

__all__ = ["EDGE_MM", "PackedLayout", "SheetSize", "all_sheets", "packed_layouts", "packed_sheets"]

#: Left free all round; the rule and the words stand in it.
EDGE_MM = 7.0
#: The rule stands so far from the lower edge: printers leave about this much white.
_FOOT_MM = 3.4
_TEXT_MM, _LEAST_TEXT_MM = 2.2, 1.5
#: Narrower than this a sheet has no room for its rule and its number.
_LEAST_MM = 140.0
_BETWEEN_MM = 20.0


@dataclass(frozen=True, slots=True)
class SheetSize:
    """A sheet to cut from; its grain runs along its longer side."""

    width_mm: float
    height_mm: float
    gap_mm: float = 2.0

    def __post_init__(self) -> None:
        if not (min(self.width_mm, self.height_mm) >= _LEAST_MM and self.gap_mm >= 0.0):
            raise InputError(
                f"a sheet to cut from is {_LEAST_MM:g} mm or more each way, so that its rule fits, "
                f"with a gap of 0 mm or more, got {self.width_mm:g} by {self.height_mm:g} mm and "
                f"{self.gap_mm:g} mm; A3 is 297 by 420 mm"
            )


@dataclass(frozen=True, slots=True)
class PackedLayout:
    """One packed sheet: its name, what it holds in words, and its lines and texts."""

    name: str
    words: str
    laid_out: LaidOut


def packed_sheets(templates: TemplateSet, size: SheetSize) -> tuple[PackedSheets, ...]:
    """Return every template's pieces on sheets of a size, each kind on sheets of its own.

    Raises
    ------
    InputError
        If a part is larger than the sheet.
    """
    return tuple(
        pack_equal(
            template,
            width_mm=size.width_mm,
            height_mm=size.height_mm,
            edge_mm=EDGE_MM,
            gap_mm=size.gap_mm,
            grain_along_width=size.width_mm > size.height_mm,
        )
        for template in templates.templates
    )


def packed_layouts(templates: TemplateSet, size: SheetSize) -> tuple[PackedLayout, ...]:
    """Return each sheet, with a rule of 100 mm and what it holds in its lower edge."""
    layouts = []
    for packed in packed_sheets(templates, size):
        template = packed.template
        for number in range(1, packed.sheets + 1):
            placed = packed.on_sheet(number)
            name = f"{template.number} {template.title}, sheet {number} of {packed.sheets}"
            use = print_number(100.0 * packed.utilisation, decimals=0)
            words = (
                f"{len(placed)} of {template.count} pieces; {template.material}; "
                f"{use} % of all sheets used"
            )
            foot = size.height_mm - _FOOT_MM
            parts = [piece(place) for place in placed]
            outlines = [outline for part in parts for outline in part.outlines]
            outlines += rule_outlines((EDGE_MM, foot), is_upright=False)
            texts = [text for part in parts for text in part.texts]
            # As small as the edge asks for; on a narrow sheet less is said.
            told = f"measure: 100 mm; {name}; {words}"
            room_mm = size.width_mm - 2.0 * EDGE_MM - 102.0
            if room_mm < LETTER_WIDTH * _LEAST_TEXT_MM * len(told):
                told = f"measure 100 mm; {template.number} {number}/{packed.sheets}"
            text_mm = min(_TEXT_MM, room_mm / (LETTER_WIDTH * len(told)))
            texts.append(Text((EDGE_MM + 102.0, foot), told, text_mm, "ink"))
            laid_out = LaidOut(size.width_mm, size.height_mm, tuple(outlines), tuple(texts))
            layouts.append(PackedLayout(name, words, laid_out))
    return tuple(layouts)


def all_sheets(layouts: Sequence[PackedLayout]) -> LaidOut:
    """Return sheets side by side on one area, each with its border as a mark."""
    from_mm = _BETWEEN_MM
    high = max(packed.laid_out.height_mm for packed in layouts)
    outlines: list[Outline | Round] = []
    texts: list[Text] = []
    for packed in layouts:
        layout = packed.laid_out
        wide, tall = layout.width_mm, layout.height_mm
        border = Outline(Layer.MARK, ((0.0, 0.0), (wide, 0.0), (wide, tall), (0.0, tall)))
        outlines += turned([border, *layout.outlines], 0.0, (from_mm, _BETWEEN_MM))
        texts += [moved_text(text, from_mm, _BETWEEN_MM) for text in layout.texts]
        from_mm += wide + _BETWEEN_MM
    return LaidOut(from_mm, high + 2.0 * _BETWEEN_MM, tuple(outlines), tuple(texts))
