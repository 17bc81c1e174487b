"""What a style name looks like: the one place where drawings get colour and stroke.

Black on white first: every difference that colour shows is also shown by a
number, a sign, a ring or a hatch. One blue for flat, one orange for sharp.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from reedwright.errors import NotFound

__all__ = ["PAPER_STYLES", "Style", "contrast_ratio", "style_of"]

INK = "#1f2328"
QUIET_INK = "#5b6470"
LINE = "#b9b2a4"
FAINT_LINE = "#ddd7cb"
WHITE = "#ffffff"


@dataclass(frozen=True, slots=True)
class Style:
    """Fill and stroke of a style; ``dash_mm`` is the length of dash and gap, 0 for a dot.

    ``fill`` and ``stroke`` are None or six-digit hexadecimal colours. Text takes the fill.
    """

    fill: str | None = None
    stroke: str | None = None
    stroke_mm: float = 0.0
    dash_mm: tuple[float, ...] = ()


def _area(fill: str) -> Style:
    return Style(fill=fill, stroke=LINE, stroke_mm=0.15)


def _shades(name: str, dark: str, light: str, steps: int = 6) -> dict[str, Style]:
    """Return a surface from dark to light; the stroke of its own colour closes the seams."""
    ends = [[int(colour[at : at + 2], 16) for at in (1, 3, 5)] for colour in (dark, light)]
    found = {}
    for step in range(steps):
        share = step / (steps - 1)
        mixed = (round(low + share * (high - low)) for low, high in zip(*ends, strict=True))
        colour = "#" + "".join(f"{value:02x}" for value in mixed)
        found[f"{name}-{step + 1}"] = Style(fill=colour, stroke=colour, stroke_mm=0.03)
    return found


def _ruled(stroke: str, stroke_mm: float, *dash_mm: float) -> Style:
    return Style(stroke=stroke, stroke_mm=stroke_mm, dash_mm=dash_mm)


#: Black on white first, warm quiet lines, colour as a help.
PAPER_STYLES: Mapping[str, Style] = MappingProxyType(
    {
        "ink": Style(fill=INK),
        "quiet-ink": Style(fill=QUIET_INK),
        "white-ink": Style(fill=WHITE),
        "paper": Style(fill=WHITE),
        "line": _ruled(LINE, 0.2),
        "faint-line": _ruled(FAINT_LINE, 0.15),
        "dashed-line": _ruled(QUIET_INK, 0.25, 1.6, 1.0),
        "ink-line": _ruled(INK, 0.25),
        "rule-line": _ruled(INK, 0.2),
        "outline": Style(fill=WHITE, stroke=LINE, stroke_mm=0.35),
        "flat-4": _area("#2f6fae"),
        "flat-3": _area("#6a9fd0"),
        "flat-2": _area("#a9c8e6"),
        "flat-1": _area("#dbe7f3"),
        "in-tune": _area("#f3f4ec"),
        "sharp-1": _area("#fbe6d0"),
        "sharp-2": _area("#f4c08c"),
        "sharp-3": _area("#e08e3c"),
        "sharp-4": _area("#b4540a"),
        "unheard": _area(WHITE),
        "unheard-hatch": _ruled(QUIET_INK, 0.2),
        "no-reed": _area(WHITE),
        "air": Style(fill=WHITE, stroke=LINE, stroke_mm=0.2, dash_mm=(0.8, 0.6)),
        "rim": _ruled(LINE, 0.2),
        "work-rim": _ruled(INK, 0.6),
        "doubt-ring": _ruled(INK, 0.35, 0.0, 0.8),
        "tolerance-band": Style(fill="#eef1e6"),
        "press-mark": Style(fill=INK, stroke=WHITE, stroke_mm=0.15),
        "press-line": _ruled(INK, 0.25),
        "draw-mark": Style(fill=WHITE, stroke="#7b3f72", stroke_mm=0.4),
        "draw-line": _ruled("#7b3f72", 0.25),
        "press-bar": Style(fill=QUIET_INK, stroke=WHITE, stroke_mm=0.1),
        "draw-bar": Style(fill=WHITE, stroke="#7b3f72", stroke_mm=0.3),
        "draw-hatch": _ruled("#7b3f72", 0.25),
        "pair-line": _ruled(FAINT_LINE, 0.3),
        "chamber": Style(fill=WHITE, stroke=LINE, stroke_mm=0.25),
        # Templates: the names of the layers of drawing.template.
        "cut": _ruled(INK, 0.25),
        "score": _ruled(INK, 0.2, 2.0, 1.0),
        "fold": _ruled(INK, 0.2, 4.0, 1.2, 0.0, 1.2),
        "mark": _ruled(QUIET_INK, 0.13),
        **_shades("bellows-card", "#b9b2a4", "#faf8f3"),
        **_shades("bellows-gusset", "#6b5a4a", "#b89f88"),
        **_shades("bellows-inside", "#7f786b", "#b9b2a4"),
        **_shades("bellows-frame", "#a07c4f", "#e3cba6"),
        "bellows-edge": _ruled(INK, 0.13),
    }
)


def style_of(name: str, styles: Mapping[str, Style]) -> Style:
    """Return the style of that name.

    Raises
    ------
    NotFound
        If the table has no such style: a shape is never drawn in a style that was guessed.
    """
    try:
        return styles[name]
    except KeyError:
        raise NotFound(
            f"no style is called {name!r}; add it to the table of styles, or use one of "
            f"{', '.join(sorted(styles))}"
        ) from None


def contrast_ratio(colour: str, against: str) -> float:
    """Return the contrast of two colours, 1 to 21.

    Source: Web Content Accessibility Guidelines 2.2, "relative luminance" and
    "contrast ratio". For sRGB colours written as six hexadecimal digits.
    """
    lighter, darker = sorted((_luminance(colour), _luminance(against)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def _luminance(colour: str) -> float:
    channels = [int(colour[place : place + 2], 16) / 255.0 for place in (1, 3, 5)]
    red, green, blue = (
        channel / 12.92 if channel <= 0.04045 else ((channel + 0.055) / 1.055) ** 2.4
        for channel in channels
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
