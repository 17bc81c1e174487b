"""A set of templates as a PDF or an SVG; ``template_dxf`` makes the DXF."""

from reedwright.documents.drawn_pages import drawn_pages_pdf
from reedwright.documents.svg import svg_of
from reedwright.documents.template_cut_list import cut_list
from reedwright.documents.template_layout import LaidOut, lay_out_all, layer_groups
from reedwright.documents.template_packing import SheetSize, all_sheets, packed_layouts
from reedwright.documents.template_pages import (
    PageBody,
    PatternPage,
    page_drawing,
    pattern_bodies,
    tiled_pages,
)
from reedwright.drawing import Drawing
from reedwright.drawing.template import TemplateSet

__all__ = ["one_area", "templates_pages", "templates_pdf", "templates_svg"]

#: The width of a file that holds one of each.
_AREA_MM = 420.0


def templates_pages(
    templates: TemplateSet, page: PatternPage, sheet: SheetSize | None = None
) -> tuple[Drawing, ...]:
    """Return every page as a drawing: the cut list, then the patterns.

    With a ``sheet`` all pieces packed on sheets of that size instead of one of each; a sheet
    larger than the page goes on tiles, any other is a page of its own size.
    """
    width_mm, height_mm = page.body_mm
    listed = cut_list(templates, width_mm=width_mm, height_mm=height_mm)
    bodies = [PageBody("cut list", templates.facts, listed)]
    whole: list[Drawing] = []
    if sheet is None:
        bodies += pattern_bodies(templates, page)
    else:
        for packed in packed_layouts(templates, sheet):
            if _fits(packed.laid_out, page):
                whole.append(_as_page(packed.laid_out, packed.name, templates))
            else:
                bodies += tiled_pages(packed.laid_out, page, part=packed.name, facts=packed.words)
    count = len(bodies) + len(whole)
    pages = [
        page_drawing(body, page, title=templates.title, number=(number, count))
        for number, body in enumerate(bodies, start=1)
    ]
    return (*pages, *whole)


def templates_pdf(
    templates: TemplateSet, page: PatternPage, sheet: SheetSize | None = None
) -> bytes:
    """Return the pages as a PDF at true size."""
    return drawn_pages_pdf(templates.title, templates_pages(templates, page, sheet))


def templates_svg(templates: TemplateSet, sheet: SheetSize | None = None) -> str:
    """Return one of each, or all sheets side by side, as one SVG at true size."""
    return svg_of(_as_page(one_area(templates, sheet), "templates", templates))


def one_area(templates: TemplateSet, sheet: SheetSize | None = None) -> LaidOut:
    """Return one of each, or all packed sheets side by side, on one area."""
    if sheet is None:
        return lay_out_all(templates, width_mm=_AREA_MM)
    return all_sheets(packed_layouts(templates, sheet))


def _as_page(layout: LaidOut, name: str, templates: TemplateSet) -> Drawing:
    return Drawing(
        layout.width_mm,
        layout.height_mm,
        f"{templates.title}: {name}",
        f"{templates.facts}. True size.",
        layer_groups(layout),
    )


def _fits(layout: LaidOut, page: PatternPage) -> bool:
    sizes = sorted((layout.width_mm, layout.height_mm))
    room = sorted((page.width_mm, page.height_mm))
    return sizes[0] <= room[0] and sizes[1] <= room[1]
