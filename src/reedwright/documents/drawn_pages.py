"""Drawings as the pages of a PDF, each page the size of its drawing."""

from collections.abc import Sequence

from reedwright.documents.pdf import Json, compile_pages
from reedwright.drawing import Drawing, Group

__all__ = ["drawn_pages_pdf", "with_margin"]


def drawn_pages_pdf(title: str, pages: Sequence[Drawing]) -> bytes:
    """Return a PDF with a page for each drawing, in order, at true size."""
    names = [f"page-{number}" for number in range(1, len(pages) + 1)]
    listed: list[Json] = [*names]
    return compile_pages(
        "drawn_pages", {"title": title, "pages": listed}, dict(zip(names, pages, strict=True))
    )


def with_margin(drawing: Drawing, margin_mm: float) -> Drawing:
    """Return a drawing with white all round."""
    return Drawing(
        drawing.width_mm + 2.0 * margin_mm,
        drawing.height_mm + 2.0 * margin_mm,
        drawing.title,
        drawing.description,
        (Group("drawing", "", drawing.shapes, (margin_mm, margin_mm)),),
    )
