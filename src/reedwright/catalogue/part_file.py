"""Masses and sizes of parts, from the shipped file or the user's own."""

from importlib.resources import files
from itertools import pairwise
from pathlib import Path
from typing import Literal

from pydantic import Field

from reedwright.catalogue.checked_file import Form, checked, file_text, toml_table
from reedwright.errors import CatalogueError, InputError
from reedwright.instrument.evidence import EvidenceMark
from reedwright.instrument.note import SpelledNote
from reedwright.instrument.part_mass import FrameMetal, Growth, PartFigures, PartMass, ReedSize
from reedwright.instrument.parts import PARTS

__all__ = ["load_part_figures"]

_SHIPPED = files("reedwright.catalogue") / "parts" / "part-figures.toml"
_BY_NOTE = {"reed_tongue", "reed_frame", "valve"}
_Mark = Literal["published", "common practice", "memory", "derived", "taught", "own"]


class _DensityForm(Form):
    tongue: float = Field(gt=0.0)
    frame_brass: float = Field(gt=0.0)
    frame_aluminium: float = Field(gt=0.0)
    valve: float = Field(gt=0.0)


class _SizeForm(Form):
    note: str
    tongue_length_mm: float = Field(gt=0.0)
    tongue_width_mm: float = Field(gt=0.0)
    tongue_thickness_mm: float = Field(gt=0.0)
    frame_thickness_mm: float = Field(gt=0.0)
    valve_thickness_mm: float = Field(gt=0.0)


class _ReedForm(Form):
    evidence_mark: _Mark
    working: str
    frame_longer_mm: float = Field(ge=0.0)
    frame_wider_mm: float = Field(ge=0.0)
    valve_longer_mm: float = Field(ge=0.0)
    valve_wider_mm: float = Field(ge=0.0)
    size: list[_SizeForm] = Field(min_length=1)


class _PartForm(Form):
    mass_g: float = Field(ge=0.0)
    grows: Literal["fixed", "side", "perimeter", "area"]
    evidence_mark: _Mark
    working: str


class _FiguresForm(Form):
    doubt_fraction: float = Field(gt=0.0, lt=1.0)
    density_g_cm3: _DensityForm
    reed: _ReedForm
    part: dict[str, _PartForm]


def load_part_figures(path: str | Path | None = None) -> PartFigures:
    """Return the figures of the parts list, shipped or from a whole file of the user's own.

    Raises
    ------
    NotFound
        If there is no such file.
    CatalogueError
        If it is not such a file, a part is unknown or missing, or the notes of the
        sizes do not go up.
    """
    if path is None:
        text, place = _SHIPPED.read_text("utf-8"), _SHIPPED.name
    else:
        text, place = file_text(Path(path), error=CatalogueError), Path(path).name
    table = toml_table(text, place=place, error=CatalogueError)
    form = checked(_FiguresForm, table, place=place, error=CatalogueError)
    wanted = set(PARTS) - _BY_NOTE
    for part in sorted(wanted ^ set(form.part)):
        fault = "is missing" if part in wanted else "is none of them"
        raise CatalogueError(
            f"{place}: the file gives the mass of each part once, {part} {fault}; "
            f"the parts are {', '.join(part for part in PARTS if part in wanted)}"
        )
    density = form.density_g_cm3
    return PartFigures(
        parts={
            name: PartMass(
                part.mass_g, Growth(part.grows), EvidenceMark(part.evidence_mark), part.working
            )
            for name, part in form.part.items()
        },
        reed_sizes=_sizes(form.reed.size, place),
        reed_working=form.reed.working,
        reed_evidence_mark=EvidenceMark(form.reed.evidence_mark),
        frame_longer_mm=form.reed.frame_longer_mm,
        frame_wider_mm=form.reed.frame_wider_mm,
        valve_longer_mm=form.reed.valve_longer_mm,
        valve_wider_mm=form.reed.valve_wider_mm,
        tongue_density_g_cm3=density.tongue,
        frame_density_g_cm3={
            FrameMetal.BRASS: density.frame_brass,
            FrameMetal.ALUMINIUM: density.frame_aluminium,
        },
        valve_density_g_cm3=density.valve,
        doubt_fraction=form.doubt_fraction,
    )


def _sizes(written: list[_SizeForm], place: str) -> tuple[ReedSize, ...]:
    sizes = []
    for number, size in enumerate(written, start=1):
        try:
            note = SpelledNote.parse(size.note)
        except InputError as reason:
            raise CatalogueError(f"{place}, reed, size {number}, note: {reason}") from None
        sizes.append(
            ReedSize(
                note,
                size.tongue_length_mm,
                size.tongue_width_mm,
                size.tongue_thickness_mm,
                size.frame_thickness_mm,
                size.valve_thickness_mm,
            )
        )
    for low, high in pairwise(sizes):
        if low.note.semitone >= high.note.semitone:
            raise CatalogueError(
                f"{place}, reed: the sizes go up in pitch, {high.note} comes after {low.note}; "
                "put them in order"
            )
    return tuple(sizes)
