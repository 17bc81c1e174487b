"""All pieces of a set of templates packed on sheets of one size, ready to cut."""

from dataclasses import dataclass

from reedwright.documents.template_layout import LaidOut, moved_text, piece, rule_outlines
from reedwright.drawing import Text
from reedwright.drawing.model import Point
from reedwright.drawing.numbers import print_number
from reedwright.drawing.packing import PackedSheets, pack_equal
from reedwright.drawing.template import Layer, Outline, Round, TemplateSet, turned
from reedwright.errors import InputError

__all__ = ["EDGE_MM", "SheetSize", "all_sheets", "packed_layouts", "packed_sheets"]

#: Left free all round; the rule and the words stand in it.
EDGE_MM = 7.0
#: Narrower than this a sheet has no room for its rule.
_LEAST_MM = 120.0
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


def packed_layouts(templates: TemplateSet, size: SheetSize) -> tuple[tuple[str, LaidOut], ...]:
    """Return each sheet with its name, a rule of 100 mm and the words in its lower edge."""
    layouts = []
    for packed in packed_sheets(templates, size):
        template = packed.template
        for number in range(1, packed.sheets + 1):
            placed = packed.on_sheet(number)
            name = f"{template.number} {template.title}, sheet {number} of {packed.sheets}"
            words = (
                f"measure: 100 mm · {name}, {len(placed)} of {template.count} pieces · "
                f"{template.material} · "
                f"{print_number(100.0 * packed.utilisation, decimals=0)} % used"
            )
            foot = size.height_mm - 1.8
            parts = [piece(place) for place in placed]
            outlines = [outline for part in parts for outline in part.outlines]
            outlines += rule_outlines((EDGE_MM, foot), is_upright=False)
            # As small as the edge asks for, and not past the sheet.
            room_mm = size.width_mm - EDGE_MM - 105.0
            text_mm = min(2.2, room_mm / (0.5 * len(words)))
            at: Point = (EDGE_MM + 102.0, foot)
            if text_mm < 1.6:
                # Too narrow a sheet: above the rule's ticks, over the whole width.
                at, text_mm = (EDGE_MM, foot - 2.2), 2.0
            texts = [text for part in parts for text in part.texts]
            texts.append(Text(at, words, text_mm, "ink"))
            layouts.append(
                (name, LaidOut(size.width_mm, size.height_mm, tuple(outlines), tuple(texts)))
            )
    return tuple(layouts)


def all_sheets(layouts: tuple[tuple[str, LaidOut], ...]) -> LaidOut:
    """Return sheets side by side on one area, each with its border as a mark."""
    from_mm = _BETWEEN_MM
    high = max(layout.height_mm for _, layout in layouts)
    outlines: list[Outline | Round] = []
    texts: list[Text] = []
    for _, layout in layouts:
        wide, tall = layout.width_mm, layout.height_mm
        border = Outline(Layer.MARK, ((0.0, 0.0), (wide, 0.0), (wide, tall), (0.0, tall)))
        outlines += turned([border, *layout.outlines], 0.0, (from_mm, _BETWEEN_MM))
        texts += [moved_text(text, from_mm, _BETWEEN_MM) for text in layout.texts]
        from_mm += wide + _BETWEEN_MM
    return LaidOut(from_mm, high + 2.0 * _BETWEEN_MM, tuple(outlines), tuple(texts))
