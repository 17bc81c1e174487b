"""The figures of bellows, from TOML: materials, allowances, openings, playing and hours.

The shipped file is ``bellows.toml`` beside this module; a file of the user's has the same
form and replaces it whole.
"""

from importlib.resources import files
from pathlib import Path
from typing import Annotated

from pydantic import Field, model_validator

from reedwright.bellows.model import (
    Allowances,
    BellowsFigures,
    Figure,
    Layers,
    Material,
)
from reedwright.catalogue.checked_file import Form, checked, file_text, toml_table
from reedwright.errors import CatalogueError
from reedwright.instrument.evidence import EvidenceMark

__all__ = ["load_bellows_figures"]

_MATERIALS = ("card", "cloth", "strip leather", "gusset leather", "paper", "frame wood")
_FIGURES = (
    "strip_margin_mm", "gusset_margin_mm", "strip_overlap_mm", "peak_gap_mm", "valley_gap_mm",
    "end_run_on_frame_mm", "paper_under_leather_mm", "frame_wall_mm", "usual_opening_deg",
    "cautious_opening_deg", "chord_notes", "air_l_s_per_note", "stroke_share", "hours_low",
    "hours_high", "hours_cards",
)  # fmt: skip
_DIVISORS = {"chord_notes", "air_l_s_per_note", "hours_cards"}

Said = Annotated[str, Field(min_length=1)]
Mark = Annotated[EvidenceMark, Field(strict=False)]


class _MaterialForm(Form):
    material: Said
    title: Said
    thickness_mm: float = Field(ge=0.0, le=200.0)
    grain: Said | None = None
    evidence_mark: Mark
    evidence: Said


class _FigureForm(Form):
    figure: Said
    value: float = Field(ge=0.0, allow_inf_nan=False)
    evidence_mark: Mark
    evidence: Said


class _BellowsForm(Form):
    material: list[_MaterialForm]
    figure: list[_FigureForm]

    @model_validator(mode="after")
    def _nothing_is_missing_or_unknown(self) -> "_BellowsForm":
        for names, known, kind in (
            ([entry.material for entry in self.material], _MATERIALS, "material"),
            ([entry.figure for entry in self.figure], _FIGURES, "figure"),
        ):
            if sorted(names) != sorted(known):
                odd = sorted(set(names) ^ set(known)) or names
                raise ValueError(
                    f"every {kind} stands in the file once and no other, which fails for "
                    f"{', '.join(odd)}; the {kind}s are {', '.join(known)}"
                )
        for entry in self.figure:
            if entry.figure in _DIVISORS and entry.value == 0.0:
                raise ValueError(f"{entry.figure} divides and is above 0, got 0; correct it")
        return self


def load_bellows_figures(own: Path | None = None) -> BellowsFigures:
    """Return the figures, shipped or of the user's own file.

    Raises
    ------
    CatalogueError
        If the file is not readable, or a material or figure is missing, unknown or given twice.
    NotFound
        If the user's file is not there.
    """
    if own is None:
        place = "bellows.toml"
        text = (files("reedwright.catalogue") / place).read_text(encoding="utf-8")
    else:
        place, text = str(own), file_text(own, error=CatalogueError)
    table = toml_table(text, place=place, error=CatalogueError)
    form = checked(_BellowsForm, table, place=place, error=CatalogueError)
    materials = {entry.material: entry for entry in form.material}
    value = {entry.figure: entry.value for entry in form.figure}
    return BellowsFigures(
        layers=Layers(
            card_mm=materials["card"].thickness_mm,
            cloth_mm=materials["cloth"].thickness_mm,
            strip_mm=materials["strip leather"].thickness_mm,
            gusset_mm=materials["gusset leather"].thickness_mm,
        ),
        allowances=Allowances(
            strip_margin_mm=value["strip_margin_mm"],
            gusset_margin_mm=value["gusset_margin_mm"],
            strip_overlap_mm=value["strip_overlap_mm"],
            peak_gap_mm=value["peak_gap_mm"],
            valley_gap_mm=value["valley_gap_mm"],
            end_run_on_frame_mm=value["end_run_on_frame_mm"],
            paper_under_leather_mm=value["paper_under_leather_mm"],
            frame_wall_mm=value["frame_wall_mm"],
            frame_depth_mm=materials["frame wood"].thickness_mm,
        ),
        usual_opening_deg=value["usual_opening_deg"],
        cautious_opening_deg=value["cautious_opening_deg"],
        chord_notes=value["chord_notes"],
        air_l_s_per_note=value["air_l_s_per_note"],
        stroke_share=value["stroke_share"],
        hours_low=value["hours_low"],
        hours_high=value["hours_high"],
        hours_cards=value["hours_cards"],
        materials=tuple(
            Material(
                entry.material,
                entry.title,
                entry.thickness_mm,
                entry.grain,
                entry.evidence_mark,
                entry.evidence,
            )
            for entry in form.material
        ),
        figures=tuple(
            Figure(entry.figure, entry.value, entry.evidence_mark, entry.evidence)
            for entry in form.figure
        ),
    )
