"""The files of a bellows: templates, picture and plot, by the ending of their names."""

from collections.abc import Callable, Sequence
from pathlib import Path

from reedwright.bellows import bellows_templates
from reedwright.bellows.model import BellowsDesign, BellowsFigures, FoldsCompared
from reedwright.documents.bellows_comparison import comparison_plot
from reedwright.documents.bellows_picture import bellows_picture
from reedwright.documents.drawn_pages import drawn_pages_pdf, with_margin
from reedwright.documents.svg import svg_of
from reedwright.documents.template_files import templates_pdf, templates_svg
from reedwright.documents.template_packing import SheetSize
from reedwright.documents.template_pages import PatternPage
from reedwright.drawing import Drawing
from reedwright.errors import InputError

__all__ = ["write_bellows_picture", "write_bellows_templates", "write_fold_plot"]

_WIDTH_MM, _HEIGHT_MM = 180.0, 200.0
_MARGIN_MM = 12.0


def write_bellows_templates(
    design: BellowsDesign,
    figures: BellowsFigures,
    path: Path,
    *,
    page: str,
    packed_mm: tuple[float, float] | None,
    gap_mm: float,
) -> Path:
    """Write the templates as PDF, DXF or SVG and return where."""
    templates = bellows_templates(design, figures)
    sheet = None if packed_mm is None else SheetSize(*packed_mm, gap_mm)

    def dxf() -> bytes:
        # Slow to import, and nothing else needs it.
        from reedwright.documents.template_dxf import templates_dxf

        return templates_dxf(templates, sheet)

    return _write(
        path,
        {
            ".pdf": lambda: templates_pdf(templates, PatternPage(page), sheet),
            ".dxf": dxf,
            ".svg": lambda: templates_svg(templates, sheet).encode(),
        },
    )


def write_bellows_picture(design: BellowsDesign, path: Path, *, opening_deg: float) -> Path:
    """Write the picture of a bellows at an opening as SVG or PDF and return where."""
    drawing = bellows_picture(
        design, opening_deg=opening_deg, width_mm=_WIDTH_MM, most_height_mm=_HEIGHT_MM
    )
    return _write_drawing(drawing, path)


def write_fold_plot(rows: Sequence[FoldsCompared], path: Path, *, playing: str) -> Path:
    """Write the comparison of folds as SVG or PDF and return where."""
    return _write_drawing(comparison_plot(rows, playing=playing, width_mm=_WIDTH_MM), path)


def _write_drawing(drawing: Drawing, path: Path) -> Path:
    return _write(
        path,
        {
            ".svg": lambda: svg_of(drawing).encode(),
            ".pdf": lambda: drawn_pages_pdf(drawing.title, [with_margin(drawing, _MARGIN_MM)]),
        },
    )


def _write(path: Path, ways: dict[str, Callable[[], bytes]]) -> Path:
    way = ways.get(path.suffix.lower())
    if way is None:
        raise InputError(
            f"a file's ending says its kind, {', '.join(ways)}, got {path.name!r}; "
            f"write {path.stem or 'bellows'}{next(iter(ways))}"
        )
    content = way()
    try:
        path.write_bytes(content)
    except OSError as error:
        raise InputError(
            f"a file must be written to a folder, {path} cannot be ({error.strerror}); name another"
        ) from error
    return path
