"""A drawing as SVG: one user unit is one millimetre, nothing is loaded from elsewhere."""

import math
from collections.abc import Mapping
from xml.sax.saxutils import escape, quoteattr

from reedwright.documents.styles import PAPER_STYLES, Style, style_of
from reedwright.drawing import (
    Circle,
    Drawing,
    Group,
    Hatch,
    Line,
    Point,
    Polygon,
    Polyline,
    Sector,
    Shape,
    Text,
    Weight,
)
from reedwright.drawing.hatching import hatch_lines

__all__ = ["FONT_FAMILIES", "svg_of"]

#: The shipped faces first; a screen without them takes what it has.
FONT_FAMILIES = "'Source Sans 3', 'Reedwright Signs', 'DejaVu Sans', sans-serif"

_WEIGHTS = {Weight.REGULAR: 400, Weight.SEMIBOLD: 600}


def svg_of(
    drawing: Drawing, *, styles: Mapping[str, Style] = PAPER_STYLES, id_prefix: str = ""
) -> str:
    """Return a drawing as a whole SVG file, at its true size in millimetres.

    Lengths are written to 0.0001 mm. The title and the description are read out by
    screen readers; the names of groups become ``data-name``. ``id_prefix`` keeps the
    identifiers of several drawings on one page apart.

    Raises
    ------
    NotFound
        If a shape wears a style the table does not have.
    """
    writer = _Writer(styles)
    body = "".join(writer.shape(shape) for shape in drawing.shapes)
    width, height = _number(drawing.width_mm), _number(drawing.height_mm)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
        f'viewBox="0 0 {width} {height}" role="img" font-family="{FONT_FAMILIES}" '
        f'aria-labelledby="{id_prefix}title {id_prefix}desc">'
        f'<title id="{id_prefix}title">{escape(drawing.title)}</title>'
        f'<desc id="{id_prefix}desc">{escape(drawing.description)}</desc>'
        f"{body}</svg>\n"
    )


class _Writer:
    """Writes shapes in the look that a table of styles gives them."""

    def __init__(self, styles: Mapping[str, Style]) -> None:
        self._styles = styles

    def shape(self, shape: Shape) -> str:
        match shape:
            case Group():
                return self._group(shape)
            case Text():
                return self._text(shape)
            case Hatch():
                return self._hatch(shape)
            case Line() | Polyline():
                return f"<{_geometry(shape)} {self._paint(shape.style, is_filled=False)}/>"
            case Sector(is_arc_only=True):
                return f"<{_geometry(shape)} {self._paint(shape.style, is_filled=False)}/>"
            case Polygon() | Circle() | Sector():
                return f"<{_geometry(shape)} {self._paint(shape.style, is_filled=True)}/>"

    def _group(self, group: Group) -> str:
        moved = (
            ""
            if group.offset_mm == (0.0, 0.0)
            else f' transform="translate({_pair(group.offset_mm, " ")})"'
        )
        title = f"<title>{escape(group.title)}</title>" if group.title else ""
        inner = "".join(self.shape(shape) for shape in group.shapes)
        return f"<g data-name={quoteattr(group.name)}{moved}>{title}{inner}</g>"

    def _text(self, text: Text) -> str:
        x, y = text.at_mm
        turned = (
            f' transform="rotate({_number(text.rotation_degrees)} {_pair(text.at_mm, " ")})"'
            if text.rotation_degrees
            else ""
        )
        return (
            f'<text x="{_number(x)}" y="{_number(y)}" font-size="{_number(text.size_mm)}" '
            f'font-weight="{_WEIGHTS[text.weight]}" text-anchor="{text.anchor}" '
            f"{self._paint(text.style, is_filled=True)}{turned}>{escape(text.text)}</text>"
        )

    def _paint(self, name: str, *, is_filled: bool) -> str:
        style = style_of(name, self._styles)
        fill = style.fill if is_filled and style.fill is not None else "none"
        if style.stroke is None or style.stroke_mm <= 0.0:
            return f'fill="{fill}"'
        dash = ""
        if style.dash_mm:
            lengths = " ".join(_number(length) for length in style.dash_mm)
            dash = f' stroke-dasharray="{lengths}" stroke-linecap="round"'
        return (
            f'fill="{fill}" stroke="{style.stroke}" stroke-width="{_number(style.stroke_mm)}"{dash}'
        )

    def _hatch(self, hatch: Hatch) -> str:
        path = "".join(
            f"M{_pair(line.from_mm, ' ')}L{_pair(line.to_mm, ' ')}" for line in hatch_lines(hatch)
        )
        return f'<path d="{path}" {self._paint(hatch.style, is_filled=False)}/>' if path else ""


def _geometry(shape: Line | Polyline | Polygon | Circle | Sector) -> str:
    """Return the element's name and its geometry."""
    match shape:
        case Line(from_mm=(x1, y1), to_mm=(x2, y2)):
            ends = (("x1", x1), ("y1", y1), ("x2", x2), ("y2", y2))
            return "line " + " ".join(f'{name}="{_number(value)}"' for name, value in ends)
        case Polyline() | Polygon():
            tag = "polyline" if isinstance(shape, Polyline) else "polygon"
            points = " ".join(_pair(point, ",") for point in shape.points_mm)
            return f'{tag} points="{points}"'
        case Circle(centre_mm=(x, y), radius_mm=radius):
            return f'circle cx="{_number(x)}" cy="{_number(y)}" r="{_number(radius)}"'
        case Sector():
            return f'path d="{_sector_path(shape)}"'


def _sector_path(sector: Sector) -> str:
    x, y = sector.centre_mm

    def on_rim(degrees: float) -> str:
        angle = math.radians(degrees)
        return _pair(
            (x + sector.radius_mm * math.cos(angle), y + sector.radius_mm * math.sin(angle)), " "
        )

    sweep = (sector.to_degrees - sector.from_degrees) % 360.0
    is_large = 1 if sweep > 180.0 else 0
    radius = _number(sector.radius_mm)
    arc = (
        f"M{on_rim(sector.from_degrees)} A{radius} {radius} 0 {is_large} 1 "
        f"{on_rim(sector.to_degrees)}"
    )
    return arc if sector.is_arc_only else f"{arc} L{_pair(sector.centre_mm, ' ')} Z"


def _pair(point: Point, between: str) -> str:
    return f"{_number(point[0])}{between}{_number(point[1])}"


def _number(value: float) -> str:
    """Return a plain decimal number, to 0.0001, without idle zeros."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
