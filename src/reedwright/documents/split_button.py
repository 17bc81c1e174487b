"""A button as every map draws it: left half press, right half draw, offset written in."""

from collections.abc import Iterable
from dataclasses import dataclass

from reedwright.documents.shades import is_dark, shade_of
from reedwright.drawing import (
    Anchor,
    Circle,
    Group,
    Hatch,
    Line,
    Point,
    Sector,
    Shape,
    Text,
    Weight,
)
from reedwright.drawing.numbers import print_with_doubt
from reedwright.instrument.layout import Direction, Key
from reedwright.instrument.target import ReedOffset

__all__ = ["ButtonOffsets", "split_button"]

#: Where each half begins, in degrees clockwise from three o'clock, and its side.
_HALVES = {Direction.PRESS: (90.0, -1.0), Direction.DRAW: (270.0, 1.0)}
#: Width of a digit and of a sign of the shipped face, as a share of its size.
_DIGIT = 0.5


@dataclass(frozen=True, slots=True)
class ButtonOffsets:
    """A key and what is known of its reeds; None where nothing was asked or heard of one."""

    key: Key
    press: ReedOffset | None
    draw: ReedOffset | None

    def offset(self, direction: Direction) -> ReedOffset | None:
        """Return what is known of the reed in a direction."""
        return self.press if direction is Direction.PRESS else self.draw


def split_button(button: ButtonOffsets, *, centre_mm: Point, radius_mm: float) -> Group:
    """Return a button with its offsets in whole cents and its note names below.

    Shade, number and sign say how far off; a bold rim what is outside its
    tolerance; a hatch what was not heard; a dotted ring with a question mark what
    is in doubt. A half without a reed stays empty.
    """
    x, y = centre_mm
    shapes: list[Shape] = []
    for direction in Direction:
        shapes += _half(button, direction, centre_mm, radius_mm)
    shapes.append(Circle(centre_mm, radius_mm, "rim"))
    shapes.append(Line((x, y - radius_mm), (x, y + radius_mm), "rim"))
    for direction in Direction:
        shapes += _rims(button.offset(direction), direction, centre_mm, radius_mm)
    shapes += _names(button.key, centre_mm, radius_mm)
    return Group(button.key.key, _in_words(button), tuple(shapes))


def _half(
    button: ButtonOffsets, direction: Direction, centre_mm: Point, radius_mm: float
) -> Iterable[Shape]:
    """Yield one half: its shade, and its number or hatch."""
    start, side = _HALVES[direction]
    offset = button.offset(direction)
    if button.key.note(direction) is None or offset is None:
        yield Sector(centre_mm, radius_mm, start, start + 180.0, "no-reed")
        return
    within = offset.is_within_tolerance is True
    shade = shade_of(offset.offset_cents, is_within_tolerance=within)
    half = Sector(centre_mm, radius_mm, start, start + 180.0, shade)
    yield half
    if offset.offset_cents is None:
        yield Hatch(half, 45.0, 0.22 * radius_mm, "unheard-hatch")
        return
    printed = print_with_doubt(
        offset.offset_cents, offset.doubt_cents or 0.0, finest=1.0, is_offset=True
    ).value
    # As large as the half disc takes it: its radius, less a little for the curve.
    size = min(0.6, 0.76 / (_DIGIT * len(printed))) * radius_mm
    yield Text(
        (centre_mm[0] + side * 0.45 * radius_mm, centre_mm[1] + 0.33 * size),
        printed,
        size,
        "white-ink" if is_dark(shade) else "ink",
        Anchor.MIDDLE,
        Weight.REGULAR if within else Weight.SEMIBOLD,
    )


def _rims(
    offset: ReedOffset | None, direction: Direction, centre_mm: Point, radius_mm: float
) -> Iterable[Shape]:
    """Yield the bold rim of work to do and the dotted ring of doubt."""
    if offset is None:
        return
    start, side = _HALVES[direction]
    if offset.is_within_tolerance is False:
        yield Sector(centre_mm, radius_mm, start, start + 180.0, "work-rim", is_arc_only=True)
    if offset.doubt is not None:
        ring = 1.17 * radius_mm
        # Not quite half a turn: above and below stand the names of this button and the next.
        arc = (start + 20.0, start + 160.0)
        yield Sector(centre_mm, ring, *arc, "doubt-ring", is_arc_only=True)
        size = 0.6 * radius_mm
        at = (centre_mm[0] + side * 1.12 * radius_mm, centre_mm[1] - 0.68 * radius_mm)
        anchor = Anchor.END if side < 0.0 else Anchor.START
        yield Text(at, "?", size, "ink", anchor, Weight.SEMIBOLD)


def _names(key: Key, centre_mm: Point, radius_mm: float) -> Iterable[Shape]:
    """Yield the names below: one where both halves sound it, else one under each half."""
    x, y = centre_mm
    size = 0.52 * radius_mm
    base = y + radius_mm + 1.05 * size
    if key.press is None and key.draw is None:
        yield Text((x, base), key.key, size, "quiet-ink", Anchor.MIDDLE)
        return
    if key.is_unisonoric:
        note = key.press or key.draw
        if note is not None:
            yield Text((x, base), note.printed, size, "ink", Anchor.MIDDLE)
        return
    for direction, (_, side) in _HALVES.items():
        note = key.note(direction)
        if note is not None:
            at = (x + side * 0.1 * radius_mm, base)
            anchor = Anchor.END if side < 0.0 else Anchor.START
            yield Text(at, note.printed, size, "ink", anchor)


def _in_words(button: ButtonOffsets) -> str:
    """Return the button for those who hear the drawing."""
    said = []
    for direction in Direction:
        note, offset = button.key.note(direction), button.offset(direction)
        if note is None:
            continue
        if offset is None:
            state = "not asked for"
        elif offset.offset_cents is None:
            state = "not heard"
        else:
            printed = print_with_doubt(
                offset.offset_cents, offset.doubt_cents or 0.0, finest=0.1, is_offset=True
            )
            state = f"{printed} cents" + (", in doubt" if offset.doubt is not None else "")
        said.append(f"{note.printed} {direction} {state}")
    return f"{button.key.key}: " + ("; ".join(said) or "note not known yet")
