"""Tongue profiles, metals, the scale of tongues by pitch and the rules of filing, from TOML.

The shipped files (``metals.toml``, ``tongue_scale.toml``, ``filing_rules.toml``)
stand beside this module; the user's own have the same form. Forms and figures:
docs/theory/tongue.md.
"""

import math
from importlib.resources import files
from pathlib import Path
from typing import Annotated, TypeVar

from pydantic import Field, model_validator

from reedwright.catalogue.checked_file import Form, checked, file_text, toml_table
from reedwright.errors import CatalogueError, ModelError
from reedwright.reedwork.model import (
    FilingRules,
    Metal,
    Station,
    Tongue,
    TongueScale,
    TongueScaleRow,
)
from reedwright.reedwork.tongue import tongue_as_bar

__all__ = [
    "load_filing_rules",
    "load_metal",
    "load_metals",
    "load_tongue_scale",
    "read_tongue_profile",
]

_SHIPPED = files("reedwright.catalogue")

FormType = TypeVar("FormType", bound=Form)

#: The one-sigma doubt of a measured profile unless the file says otherwise: a
#: micrometer on a narrow, rough, tapering tongue, and a rule (from memory).
THICKNESS_DOUBT_FRACTION = 0.03
LENGTH_DOUBT_FRACTION = 0.01

Positive = Annotated[float, Field(gt=0.0, allow_inf_nan=False)]
Fraction = Annotated[float, Field(gt=0.0, lt=1.0)]
Doubt = Annotated[float, Field(ge=0.0, lt=1.0)]
Said = Annotated[str, Field(min_length=1)]


class _MetalFigures(Form):
    youngs_modulus_pa: float
    density_kg_m3: float
    temperature_coefficient_cents_per_k: float | None = Field(default=None, ge=-2.0, le=2.0)
    temperature_coefficient_doubt_cents_per_k: float | None = Field(default=None, ge=0.0, le=2.0)

    @model_validator(mode="after")
    def _figures_are_those_of_a_metal(self) -> "_MetalFigures":
        if not 1e9 <= self.youngs_modulus_pa <= 1e12:
            raise ValueError(
                "a Young's modulus lies between 1e9 and 1e12 Pa, got "
                f"{self.youngs_modulus_pa:g}; write pascals (200 GPa is 200e9)"
            )
        if not 500.0 <= self.density_kg_m3 <= 25000.0:
            raise ValueError(
                f"a density lies between 500 and 25000 kg/m3, got {self.density_kg_m3:g}; write "
                "kilograms per cubic metre (7.85 g/cm3 is 7850)"
            )
        given = (
            self.temperature_coefficient_cents_per_k is not None,
            self.temperature_coefficient_doubt_cents_per_k is not None,
        )
        if given in ((True, False), (False, True)):
            raise ValueError(
                "a temperature coefficient and its doubt go together, got one of them; add the "
                "other, in cents per kelvin"
            )
        return self


class _MetalForm(_MetalFigures):
    metal: Said
    evidence: Said


class _MetalsForm(Form):
    metal: list[_MetalForm] = Field(min_length=1)


class _StationForm(Form):
    x_mm: float
    thickness_mm: float
    width_mm: float


class _ProfileForm(_MetalFigures):
    station: list[_StationForm] = Field(min_length=2)
    tip_mass_mg: float = 0.0
    metal: Said = "metal not named"
    evidence: Said = "given with the profile"
    thickness_doubt_fraction: Doubt = THICKNESS_DOUBT_FRACTION
    length_doubt_fraction: Doubt = LENGTH_DOUBT_FRACTION


class _RowForm(Form):
    note: Said
    frequency_hz: Positive
    shortest_mm: Positive
    longest_mm: Positive
    root_width_mm: Positive
    tip_width_mm: Positive
    thickness_shape: list[Positive] = Field(min_length=2)
    evidence: Said

    @model_validator(mode="after")
    def _range_runs_upwards(self) -> "_RowForm":
        if self.longest_mm < self.shortest_mm:
            raise ValueError(
                f"the longest tongue is not shorter than the shortest, got {self.longest_mm:g} mm "
                f"after {self.shortest_mm:g} mm; swap them"
            )
        return self


class _ScaleForm(Form):
    scale: Said
    thickness_doubt_fraction: Doubt
    evidence: Said
    row: list[_RowForm] = Field(min_length=2)

    @model_validator(mode="after")
    def _rows_are_in_order(self) -> "_ScaleForm":
        pitches = [row.frequency_hz for row in self.row]
        if sorted(set(pitches)) != pitches:
            raise ValueError("rows go from low to high, each pitch once; put them in order")
        lengths = {len(row.thickness_shape) for row in self.row}
        if len(lengths) > 1:
            raise ValueError(
                "every thickness_shape has as many figures, got "
                f"{' and '.join(map(str, sorted(lengths)))}; give them all alike"
            )
        return self


class _PositiveFigure(Form):
    value: Positive
    evidence: Said


class _FractionFigure(Form):
    value: Fraction
    evidence: Said


class _CountFigure(Form):
    value: int = Field(ge=0, le=10)
    evidence: Said


class _RulesForm(Form):
    largest_change_cents: _PositiveFigure
    largest_tip_weight_change_cents: _PositiveFigure
    largest_tip_cut_fraction: _FractionFigure
    largest_root_cut_fraction: _FractionFigure
    thinnest_mm: _PositiveFigure
    zone_fraction: _FractionFigure
    clamp_clearance_mm: _PositiveFigure
    whole_model_above_fraction: _FractionFigure
    model_doubt_fraction: _FractionFigure
    doubts_to_act: _PositiveFigure
    step_fraction: _FractionFigure
    most_stops: _CountFigure
    first_stop_sigmas: _PositiveFigure
    least_first_fraction: _FractionFigure
    largest_calibration_cents: _PositiveFigure
    crack_warning_cents: _PositiveFigure


def read_tongue_profile(path: Path) -> Tongue:
    """Return the measured tongue a profile file describes.

    The TOML has ``youngs_modulus_pa``, ``density_kg_m3`` and ``[[station]]`` tables
    of ``x_mm``, ``thickness_mm``, ``width_mm`` from root to tip; optionally
    ``tip_mass_mg``, ``metal`` (its name), ``evidence``, the temperature coefficient
    with its doubt, and the doubts of thickness and length as fractions.

    Raises
    ------
    NotFound
        If there is no such file.
    CatalogueError
        If it is not that, or the stations describe no tongue.
    """
    form = _read(_ProfileForm, path)
    tongue = Tongue(
        metal=_metal(form, metal=form.metal, evidence=form.evidence),
        stations=tuple(
            Station(each.x_mm, each.thickness_mm, each.width_mm) for each in form.station
        ),
        tip_mass_mg=form.tip_mass_mg,
        is_assumed=False,
        thickness_doubt_fraction=form.thickness_doubt_fraction,
        length_doubt_fraction=form.length_doubt_fraction,
    )
    try:
        tongue_as_bar(tongue)
    except ModelError as reason:
        raise CatalogueError(f"{path}: {reason}") from None
    return tongue


def load_metals(path: Path | None = None) -> tuple[Metal, ...]:
    """Return the metals of a file, or the shipped ones.

    Raises
    ------
    NotFound, CatalogueError
        If there is no such file, or it is not a metals file.
    """
    form = _read(_MetalsForm, path, "metals.toml")
    names = [each.metal for each in form.metal]
    for name in names:
        if names.count(name) > 1:
            raise CatalogueError(f"each metal is named once, got {name!r} twice; rename one")
    return tuple(_metal(each, metal=each.metal, evidence=each.evidence) for each in form.metal)


def load_metal(metal: str, path: Path | None = None) -> Metal:
    """Return the metal of that name.

    Raises
    ------
    NotFound, CatalogueError
        As ``load_metals``; CatalogueError too if the file has no such metal.
    """
    metals = {each.metal: each for each in load_metals(path)}
    if metal not in metals:
        raise CatalogueError(
            f"a metal is one of {', '.join(metals)}, got {metal!r}; choose one, or add it to a "
            "metals file"
        )
    return metals[metal]


def load_tongue_scale(path: Path | None = None) -> TongueScale:
    """Return the scale of tongues by pitch of a file, or the shipped one.

    Raises
    ------
    NotFound, CatalogueError
        If there is no such file, or it is not a scale.
    """
    form = _read(_ScaleForm, path, "tongue_scale.toml")
    return TongueScale(
        scale=form.scale,
        rows=tuple(
            TongueScaleRow(
                note=row.note,
                frequency_hz=row.frequency_hz,
                length_mm=(row.shortest_mm + row.longest_mm) / 2.0,
                # Evenly likely over the range: half of it over sqrt(3) is one sigma.
                length_doubt_fraction=(row.longest_mm - row.shortest_mm)
                / (row.longest_mm + row.shortest_mm)
                / math.sqrt(3.0),
                root_width_mm=row.root_width_mm,
                tip_width_mm=row.tip_width_mm,
                thickness_shape=tuple(row.thickness_shape),
                evidence=row.evidence,
            )
            for row in form.row
        ),
        thickness_doubt_fraction=form.thickness_doubt_fraction,
        evidence=form.evidence,
    )


def load_filing_rules(path: Path | None = None) -> FilingRules:
    """Return the rules of filing of a file, or the shipped ones.

    Raises
    ------
    NotFound, CatalogueError
        If there is no such file, or it is not a file of rules.
    """
    form = _read(_RulesForm, path, "filing_rules.toml")
    return FilingRules(**{rule: getattr(form, rule).value for rule in _RulesForm.model_fields})


def _metal(form: _MetalFigures, *, metal: str, evidence: str) -> Metal:
    return Metal(
        metal=metal,
        youngs_modulus_pa=form.youngs_modulus_pa,
        density_kg_m3=form.density_kg_m3,
        temperature_coefficient_cents_per_k=form.temperature_coefficient_cents_per_k,
        temperature_coefficient_doubt_cents_per_k=form.temperature_coefficient_doubt_cents_per_k,
        evidence=evidence.strip(),
    )


def _read(form: type[FormType], path: Path | None, shipped: str = "") -> FormType:
    """Return the checked contents of the user's file, or of the shipped one."""
    if path is None:
        text, place = (_SHIPPED / shipped).read_text("utf-8"), shipped
    else:
        text, place = file_text(path, error=CatalogueError), str(path)
    table = toml_table(text, place=place, error=CatalogueError)
    return checked(form, table, place=place, error=CatalogueError)
