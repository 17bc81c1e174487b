"""Labels beside marks, put where they cover nothing, or left out."""

from collections.abc import Iterable
from dataclasses import dataclass

from reedwright.drawing.model import Anchor, Point, Text, Weight

__all__ = ["LETTER_WIDTH", "Box", "WantedLabel", "place_labels", "text_box"]

#: Width of a letter as a share of the type size: a generous mean of a sans serif face.
LETTER_WIDTH = 0.56


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle, edges in millimetres."""

    left_mm: float
    top_mm: float
    right_mm: float
    bottom_mm: float

    def overlaps(self, other: "Box") -> bool:
        """Whether the two share more than an edge."""
        return (
            self.left_mm < other.right_mm
            and other.left_mm < self.right_mm
            and self.top_mm < other.bottom_mm
            and other.top_mm < self.bottom_mm
        )

    def lies_within(self, other: "Box") -> bool:
        """Whether no part of this box is outside the other."""
        return (
            self.left_mm >= other.left_mm
            and self.right_mm <= other.right_mm
            and self.top_mm >= other.top_mm
            and self.bottom_mm <= other.bottom_mm
        )


@dataclass(frozen=True, slots=True)
class WantedLabel:
    """What to write beside a mark that reaches so far up and down."""

    mark_mm: Point
    half_height_mm: float
    text: str


def text_box(text: Text) -> Box:
    """Return the room an upright text takes, about: letters are counted, not measured."""
    width = LETTER_WIDTH * text.size_mm * len(text.text)
    x, y = text.at_mm
    left = {Anchor.START: x, Anchor.MIDDLE: x - width / 2.0, Anchor.END: x - width}[text.anchor]
    return Box(left, y - 0.76 * text.size_mm, left + width, y + 0.2 * text.size_mm)


def place_labels(
    wanted: Iterable[WantedLabel],
    *,
    within: Box,
    taken: Iterable[Box],
    size_mm: float,
    style: str,
) -> tuple[Text, ...]:
    """Return the labels that find room, the first ones first.

    A label is tried to the right of its mark, to the left, above and below; one
    that would cover a mark, another label or the edge is left out.
    """
    occupied = list(taken)
    placed: list[Text] = []
    gap = 0.45 * size_mm
    for label in wanted:
        x, y = label.mark_mm
        tries = (
            (x + gap + 0.3, y + 0.28 * size_mm, Anchor.START),
            (x - gap - 0.3, y + 0.28 * size_mm, Anchor.END),
            (x, y - label.half_height_mm - 0.3 * size_mm, Anchor.MIDDLE),
            (x, y + label.half_height_mm + 0.9 * size_mm, Anchor.MIDDLE),
        )
        for label_x, label_y, anchor in tries:
            text = Text((label_x, label_y), label.text, size_mm, style, anchor, Weight.SEMIBOLD)
            box = text_box(text)
            if box.lies_within(within) and not any(box.overlaps(other) for other in occupied):
                placed.append(text)
                occupied.append(box)
                break
    return tuple(placed)
