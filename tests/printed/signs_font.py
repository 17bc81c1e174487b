"""Draws the little font of musical signs that the papers ship, and checks that it is the one.

The text face has no sharps and flats. These are drawn here to its cap height and
stem weights, so that a flat is as easy to see on the bench as the letter beside it.

To write the files anew: ``python -m tests.printed.signs_font`` from the project's root.
"""

import io
import math
from importlib.resources import files
from pathlib import Path
from typing import Protocol

from fontTools.fontBuilder import FontBuilder  # type: ignore[import-untyped]
from fontTools.pens.t2CharStringPen import T2CharStringPen  # type: ignore[import-untyped]

FAMILY = "Reedwright Signs"
#: Style name, weight class, stem in thousandths of the type body.
FACES = (("Regular", 400, 74), ("Semibold", 600, 104))


class Pen(Protocol):
    """What a sign is drawn with: outlines of lines and cubic curves."""

    def moveTo(self, point: tuple[float, float], /) -> None: ...  # noqa: D102, N802

    def lineTo(self, point: tuple[float, float], /) -> None: ...  # noqa: D102, N802

    def curveTo(self, *points: tuple[float, float]) -> None: ...  # noqa: D102, N802

    def closePath(self) -> None: ...  # noqa: D102, N802


def _slab(pen: Pen, corners: list[tuple[float, float]]) -> None:
    """Draw one closed outline of straight sides."""
    pen.moveTo(corners[0])
    for corner in corners[1:]:
        pen.lineTo(corner)
    pen.closePath()


def _upright(pen: Pen, x: float, bottom: float, top: float, width: float) -> None:
    _slab(pen, [(x, bottom), (x + width, bottom), (x + width, top), (x, top)])


def _bar(pen: Pen, *, left: float, right: float, y: float, rise: float, thick: float) -> None:
    _slab(
        pen,
        [(left, y), (right, y + rise), (right, y + rise + thick), (left, y + thick)],
    )


def draw_sharp(pen: Pen, stem: float) -> float:
    """Draw a sharp sign; return its advance."""
    thin = 0.72 * stem
    for x, lift in ((138.0, 0.0), (290.0, 34.0)):
        _upright(pen, x - thin / 2, -78.0 + lift, 700.0 + lift, thin)
    for y in (176.0, 404.0):
        _bar(pen, left=36.0, right=392.0, y=y - 0.1 * stem, rise=68.0, thick=1.15 * stem)
    return 428.0


def draw_natural(pen: Pen, stem: float) -> float:
    """Draw a natural sign; return its advance."""
    thin = 0.78 * stem
    _upright(pen, 62.0, 150.0, 742.0, thin)
    _upright(pen, 288.0 - thin, -92.0, 500.0, thin)
    for y in (150.0, 372.0):
        _bar(pen, left=62.0, right=288.0, y=y, rise=56.0, thick=1.1 * stem)
    return 350.0


def _flat(pen: Pen, stem: float, x: float, width: float) -> None:
    thin = 0.78 * stem
    _upright(pen, x, -8.0, 764.0, thin)
    left, right = x, x + width
    # The bowl: out along its upper edge, round, and down to the foot of the stem.
    pen.moveTo((left, -8.0))
    pen.curveTo((left + 0.30 * width, 40.0), (right, 190.0), (right, 308.0))
    pen.curveTo((right, 402.0), (right - 0.22 * width, 440.0), (right - 0.40 * width, 440.0))
    pen.curveTo((left + 0.42 * width, 440.0), (left + 0.24 * width, 408.0), (left, 352.0))
    pen.closePath()
    inner_left, inner_right = left + thin, right - 1.28 * stem
    middle = (inner_left + inner_right) / 2
    top = 440.0 - 0.86 * stem
    pen.moveTo((inner_left, 352.0 - 0.62 * stem))
    pen.curveTo((inner_left + 20.0, top - 14.0), (middle - 14.0, top), (middle + 6.0, top))
    pen.curveTo((middle + 50.0, top), (inner_right, top - 26.0), (inner_right, 296.0))
    pen.curveTo((inner_right, 232.0), (middle + 24.0, 140.0), (inner_left, 84.0))
    pen.closePath()


def draw_flat(pen: Pen, stem: float) -> float:
    """Draw a flat sign; return its advance."""
    _flat(pen, stem, 50.0, 318.0)
    return 392.0


def draw_double_flat(pen: Pen, stem: float) -> float:
    """Draw a double flat; return its advance."""
    _flat(pen, stem, 48.0, 262.0)
    _flat(pen, stem, 48.0 + 262.0 - 0.4 * stem, 262.0)
    return 372.0 + 224.0


def draw_double_sharp(pen: Pen, stem: float) -> float:
    """Draw a double sharp: two crossed strokes with square ends; return its advance."""
    centre_x, centre_y, reach, half = 215.0, 330.0, 150.0, 0.36 * stem / math.sqrt(2.0)
    for turn in (1.0, -1.0):
        ends = [
            (centre_x - reach - half, centre_y - turn * (reach - half)),
            (centre_x - reach + half, centre_y - turn * (reach + half)),
            (centre_x + reach + half, centre_y + turn * (reach - half)),
            (centre_x + reach - half, centre_y + turn * (reach + half)),
        ]
        _slab(pen, ends if turn > 0.0 else ends[::-1])
    square = 0.62 * stem
    for x in (centre_x - reach, centre_x + reach):
        for y in (centre_y - reach, centre_y + reach):
            _upright(pen, x - square, y - square, y + square, 2.0 * square)
    return 430.0


SIGNS = {
    "flat": (0x266D, draw_flat),
    "natural": (0x266E, draw_natural),
    "sharp": (0x266F, draw_sharp),
    "doublesharp": (0x1D12A, draw_double_sharp),
    "doubleflat": (0x1D12B, draw_double_flat),
}


def build_signs_font(style: str, weight: int, stem: float) -> bytes:
    """Return one face of the signs font as OpenType, the same bytes every time."""
    names = [".notdef", *SIGNS]
    builder = FontBuilder(1000, isTTF=False)
    # A moment in 1996 as the file format counts it: the file carries no date of its making.
    builder.updateHead(created=2_900_000_000, modified=2_900_000_000)
    builder.font.recalcTimestamp = False
    builder.setupGlyphOrder(names)
    builder.setupCharacterMap({code: name for name, (code, _) in SIGNS.items()})
    charstrings, metrics = {}, {}
    for name in names:
        pen = T2CharStringPen(500, None)
        advance = SIGNS[name][1](pen, stem) if name in SIGNS else 500.0
        # The advance stands in the charstring too, so the pen is asked again with it.
        pen = T2CharStringPen(round(advance), None)
        if name in SIGNS:
            SIGNS[name][1](pen, stem)
        charstrings[name] = pen.getCharString()
        metrics[name] = (round(advance), 0)
    full_name = f"{FAMILY} {style}"
    builder.setupCFF(full_name.replace(" ", ""), {"FullName": full_name}, charstrings, {})
    builder.setupHorizontalMetrics(metrics)
    builder.setupHorizontalHeader(ascent=984, descent=-273)
    builder.setupNameTable(
        {
            "familyName": FAMILY,
            "styleName": style,
            "fullName": full_name,
            "psName": full_name.replace(" ", "-"),
        },
        mac=False,
    )
    builder.setupOS2(
        usWeightClass=weight, sTypoAscender=750, sTypoDescender=-250, usWinAscent=984,
        usWinDescent=273, sCapHeight=660, sxHeight=486,
    )  # fmt: skip
    builder.setupPost()
    written = io.BytesIO()
    builder.save(written)
    return written.getvalue()


def shipped_path(style: str) -> Path:
    """Return where the package keeps a face."""
    return Path(str(files("reedwright.documents"))) / "fonts" / f"ReedwrightSigns-{style}.otf"


if __name__ == "__main__":
    for face in FACES:
        shipped_path(face[0]).write_bytes(build_signs_font(*face))
