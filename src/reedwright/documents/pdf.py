"""Turns a page template, its values and its drawings into a PDF at true page size.

Values reach the template as JSON, which it reads as data: no text of a person is
ever taken for a command of the template. Drawings are embedded as vectors. The
fonts are the ones shipped here, whatever the machine has, and the file carries no
date of its own: the same values give the same bytes.
"""

import json
import tempfile
from collections.abc import Mapping
from functools import cache
from importlib.resources import as_file, files
from pathlib import Path

import typst

from reedwright.documents.print_scaling import ask_for_true_size
from reedwright.documents.styles import PAPER_STYLES
from reedwright.documents.svg import svg_of
from reedwright.drawing import Drawing

__all__ = ["Json", "compile_pages"]

#: What JSON can hold; mappings and sequences are not changed.
Json = str | int | float | bool | None | Mapping[str, "Json"] | list["Json"]


def compile_pages(
    template: str, data: Mapping[str, Json], drawings: Mapping[str, Drawing]
) -> bytes:
    """Return the PDF that a template of this package makes of its values.

    Parameters
    ----------
    template : str
        Name of a file in ``templates/`` without its ending.
    data : mapping
        What the template prints; it also gets ``colours`` and ``pictures``.
    drawings : mapping
        The template's pictures by name; each keeps its size in millimetres.
    """
    rooms = files("reedwright.documents")
    pictures: dict[str, Json] = {
        name: {
            "file": f"{name}.svg",
            "width_mm": drawing.width_mm,
            "height_mm": drawing.height_mm,
            "alt": f"{drawing.title}. {drawing.description}",
        }
        for name, drawing in drawings.items()
    }
    values = {**data, "colours": _colours(), "pictures": pictures}
    with (
        as_file(rooms / "templates") as templates,
        tempfile.TemporaryDirectory(prefix="reedwright-pages-") as folder,
    ):
        room = Path(folder)
        for source in templates.glob("*.typ"):
            (room / source.name).write_bytes(source.read_bytes())
        for name, drawing in drawings.items():
            (room / f"{name}.svg").write_text(svg_of(drawing), encoding="utf-8")
        (room / "data.json").write_text(
            json.dumps(values, ensure_ascii=False, allow_nan=False), encoding="utf-8"
        )
        pdf = typst.compile(
            str(room / f"{template}.typ"),
            root=str(room),
            font_paths=_fonts(),
            ignore_system_fonts=True,
            pdf_standards=["ua-1"],
        )
    return ask_for_true_size(pdf)


@cache
def _fonts() -> typst.Fonts:
    """Return the shipped faces and no others, read once."""
    with as_file(files("reedwright.documents") / "fonts") as folder:
        return typst.Fonts(
            include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(folder)]
        )


def _colours() -> dict[str, Json]:
    """Return the colour of each style: its fill, or its stroke where it has none."""
    return {name: style.fill or style.stroke for name, style in PAPER_STYLES.items()}
