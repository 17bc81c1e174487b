"""What the marks of the maps mean: one line of marks and the scale of shades."""

from collections.abc import Iterable

from reedwright.documents.shades import SHADE_LIMITS_CENTS
from reedwright.drawing import Anchor, Drawing, Hatch, Polygon, Sector, Shape, Text, Weight
from reedwright.drawing.numbers import print_number
from reedwright.drawing.outlines import rectangle
from reedwright.tuning.model import Tolerance

__all__ = ["map_legend"]

_TEXT_MM = 2.9
_RADIUS_MM = 2.6
_MARKS_Y_MM = 2.8


def map_legend(tolerance: Tolerance, *, halves: str | None) -> Drawing:
    """Return the legend; ``halves`` says what the halves of a button are, None on a pan."""
    marks = _pan_marks() if halves is None else _button_marks(halves)
    return Drawing(
        240.0,
        17.0,
        "What the marks mean",
        "Bold rim: outside the tolerance; hatched: not heard; dotted: in doubt; shades by cents.",
        (*marks, *_shade_scale(tolerance, top_mm=9.0)),
    )


def _words(x_mm: float, text: str) -> Text:
    return Text((x_mm, _MARKS_Y_MM + 0.32 * _TEXT_MM), text, _TEXT_MM, "ink")


def _half(x_mm: float, from_degrees: float, style: str, radius_mm: float = _RADIUS_MM) -> Sector:
    return Sector((x_mm, _MARKS_Y_MM), radius_mm, from_degrees, from_degrees + 180.0, style)


def _button_marks(halves: str) -> Iterable[Shape]:
    x = _RADIUS_MM + 0.3
    yield from (_half(x, 90.0, "in-tune"), _half(x, 270.0, "in-tune"))
    yield _words(x + 4.0, f"{halves}: cents from target")
    x += 77.0
    yield from (_half(x, 90.0, "flat-2"), _half(x, 270.0, "in-tune"))
    yield Sector((x, _MARKS_Y_MM), _RADIUS_MM, 90.0, 270.0, "work-rim", is_arc_only=True)
    yield _words(x + 4.0, "bold rim: outside the tolerance")
    x += 53.0
    hatched = _half(x, 270.0, "unheard")
    yield from (_half(x, 90.0, "in-tune"), hatched)
    yield Hatch(hatched, 45.0, 0.22 * _RADIUS_MM, "unheard-hatch")
    yield _words(x + 4.0, "hatched: not heard")
    x += 37.0
    yield from (_half(x, 90.0, "in-tune"), _half(x, 270.0, "in-tune"))
    ring = 1.25 * _RADIUS_MM
    yield Sector((x, _MARKS_Y_MM), ring, 110.0, 250.0, "doubt-ring", is_arc_only=True)
    at = (x - 1.1 * _RADIUS_MM, _MARKS_Y_MM - 0.5 * _RADIUS_MM)
    yield Text(at, "?", 2.2, "ink", Anchor.END, Weight.SEMIBOLD)
    yield _words(x + 4.5, "dotted, ?: in doubt, see the list")


def _pan_marks() -> Iterable[Shape]:
    def sample(x_mm: float, style: str) -> Polygon:
        return rectangle(x_mm, _MARKS_Y_MM - 2.2, x_mm + 4.4, _MARKS_Y_MM + 2.2, style)

    yield _words(0.2, "Numbers: cents from target of the reed on this face")
    x = 75.0
    yield from (sample(x, "flat-2"), sample(x, "work-rim"))
    yield _words(x + 6.0, "bold edge: outside the tolerance")
    x += 55.0
    yield from (sample(x, "unheard"), Hatch(sample(x, "unheard"), 45.0, 0.8, "unheard-hatch"))
    yield _words(x + 6.0, "hatched: not heard")
    x += 38.0
    yield from (sample(x, "in-tune"), sample(x, "doubt-ring"))
    yield _words(x + 6.0, "dotted, ?: in doubt")


def _shade_scale(tolerance: Tolerance, *, top_mm: float) -> Iterable[Shape]:
    """Yield the shades from flat to sharp with the cents where each begins."""
    box_mm, height_mm = 17.0, 4.2
    limits = (tolerance.tolerance_cents, *SHADE_LIMITS_CENTS)
    shades = [f"flat-{step}" for step in (4, 3, 2, 1)]
    shades += ["in-tune"] + [f"sharp-{step}" for step in (1, 2, 3, 4)]
    edges = [-limit for limit in reversed(limits)] + list(limits)
    words = {0: ("flat", "white-ink"), 4: ("in tune", "ink"), 8: ("sharp", "white-ink")}
    for place, shade in enumerate(shades):
        left = 0.2 + place * box_mm
        yield rectangle(left, top_mm, left + box_mm, top_mm + height_mm, shade)
        if place in words:
            word, style = words[place]
            at = (left + box_mm / 2.0, top_mm + 0.5 * height_mm + 0.33 * _TEXT_MM)
            yield Text(at, word, _TEXT_MM, style, Anchor.MIDDLE)
    for place, edge in enumerate(edges, start=1):
        decimals = 0 if float(edge).is_integer() else 1
        yield Text(
            (0.2 + place * box_mm, top_mm + height_mm + 3.2),
            print_number(edge, decimals=decimals, is_offset=True),
            _TEXT_MM,
            "quiet-ink",
            Anchor.MIDDLE,
        )
    at = (0.2 + 9 * box_mm + 2.0, top_mm + 3.1)
    yield Text(at, "cents; drawn to be read, not to measure", _TEXT_MM, "quiet-ink")
