"""A layout as DXF R2010 in millimetres: layers cut, score, fold, mark; y upwards.

The file carries no date and no identifier of its own: the same layout gives the same bytes.
"""

import io

from ezdxf import options  # type: ignore[attr-defined]  # public, but not re-exported by name
from ezdxf.document import Drawing as DxfDocument
from ezdxf.enums import TextEntityAlignment
from ezdxf.filemanagement import new

from reedwright.documents.template_files import one_area
from reedwright.documents.template_layout import LaidOut
from reedwright.documents.template_packing import SheetSize
from reedwright.drawing import Anchor, Point
from reedwright.drawing.template import Layer, Round, TemplateSet

__all__ = ["dxf_of", "templates_dxf"]

#: AutoCAD colour index of each layer: white or black, red, blue, grey.
_COLOURS = {Layer.CUT: 7, Layer.SCORE: 1, Layer.FOLD: 5, Layer.MARK: 8}
#: Insert units: 4 is millimetres; measurement: 1 is metric (DXF reference, header variables).
_MILLIMETRES, _METRIC = 4, 1
_ALIGNMENTS = {
    Anchor.START: TextEntityAlignment.LEFT,
    Anchor.MIDDLE: TextEntityAlignment.CENTER,
    Anchor.END: TextEntityAlignment.RIGHT,
}
#: Height of capitals as a share of the type size, about: DXF gives that height.
_CAPITALS = 0.66


def templates_dxf(templates: TemplateSet, sheet: SheetSize | None = None) -> bytes:
    """Return one of each, or all packed sheets side by side, as one DXF in millimetres."""
    return dxf_of(one_area(templates, sheet))


def dxf_of(layout: LaidOut) -> bytes:
    """Return a layout as the bytes of a DXF file; its lower left corner is the origin."""
    # Read by the library at each write: the only way to leave date and identifiers out.
    kept = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        document = _document(layout)
        stream = io.StringIO()
        document.write(stream)
    finally:
        options.write_fixed_meta_data_for_testing = kept
    return stream.getvalue().encode(document.output_encoding, "dxfreplace")


def _document(layout: LaidOut) -> DxfDocument:
    document = new("R2010", units=_MILLIMETRES)
    document.header["$MEASUREMENT"] = _METRIC
    for layer in Layer:
        document.layers.add(layer.value, color=_COLOURS[layer])
    space = document.modelspace()

    def flipped(point: Point) -> Point:
        return point[0], layout.height_mm - point[1]

    for outline in layout.outlines:
        style = {"layer": outline.layer.value}
        if isinstance(outline, Round):
            space.add_circle(flipped(outline.centre_mm), outline.radius_mm, dxfattribs=style)
        elif len(outline.points_mm) == 2 and not outline.is_closed:
            first, second = outline.points_mm
            space.add_line(flipped(first), flipped(second), dxfattribs=style)
        else:
            space.add_lwpolyline(
                [flipped(point) for point in outline.points_mm],
                close=outline.is_closed,
                dxfattribs=style,
            )
    for text in layout.texts:
        written = space.add_text(
            text.text, height=_CAPITALS * text.size_mm, dxfattribs={"layer": Layer.MARK.value}
        )
        written.set_placement(flipped(text.at_mm), align=_ALIGNMENTS[text.anchor])
    return document
