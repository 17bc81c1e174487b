"""The drawing of one reed onto the disk."""

from pathlib import Path

from reedwright.documents.drawn_pages import drawn_pages_pdf, with_margin
from reedwright.documents.reed_drawing import reed_drawing
from reedwright.documents.svg import svg_of
from reedwright.errors import InputError
from reedwright.jobs.reed_picture import ReedPicture

__all__ = ["write_reed"]

_MARGIN_MM = 12.0


def write_reed(picture: ReedPicture, path: Path) -> Path:
    """Write the drawing of a reed as SVG or PDF and return where.

    Raises
    ------
    InputError
        If ``path`` has another ending, or cannot be written.
    """
    drawing = reed_drawing(picture)
    match path.suffix.lower():
        case ".svg":
            content = svg_of(drawing).encode()
        case ".pdf":
            content = drawn_pages_pdf(drawing.title, [with_margin(drawing, _MARGIN_MM)])
        case _:
            raise InputError(f"a reed is drawn as .svg or .pdf, got {path.name!r}; name it so")
    try:
        path.write_bytes(content)
    except OSError as error:
        raise InputError(
            f"a file must be written to a folder, {path} cannot be ({error.strerror}); name another"
        ) from error
    return path
