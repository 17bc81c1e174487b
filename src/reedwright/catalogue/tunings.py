"""Pitch standards and temperaments from a data file, shipped or the user's own."""

from dataclasses import dataclass, replace
from importlib.resources import files
from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field

from reedwright.catalogue.checked_file import Form, checked, file_text, toml_table
from reedwright.errors import CatalogueError, InputError, NotFound
from reedwright.tuning import (
    PitchStandard,
    Temperament,
    circulating,
    from_ratios,
    from_table,
    regular,
)
from reedwright.tuning.temperaments import (
    PURE_FIFTH_CENTS,
    PYTHAGOREAN_COMMA_CENTS,
    SCHISMA_CENTS,
    SYNTONIC_COMMA_CENTS,
)

__all__ = ["Tunings", "read_tunings"]

Comma = Literal["syntonic", "pythagorean"]
# TOML has lists only; strict checking of everything else is kept.
_Narrowing = Annotated[tuple[float, Comma], Field(strict=False)]
_Ratio = Annotated[
    tuple[Annotated[int, Field(gt=0)], Annotated[int, Field(gt=0)]], Field(strict=False)
]
_COMMA_CENTS = {"syntonic": SYNTONIC_COMMA_CENTS, "pythagorean": PYTHAGOREAN_COMMA_CENTS}


class _Standard(Form):
    pitch_standard: str
    title: str
    a4_hz: float = Field(gt=300, lt=600)
    evidence: str


class _Named(Form):
    temperament: str
    title: str
    evidence: str
    caution: str | None = None


class _Regular(_Named):
    kind: Literal["regular"]
    fifth_cents: float | None = None
    narrowed_by: _Narrowing | None = None

    def made(self) -> Temperament:
        if (self.fifth_cents is None) == (self.narrowed_by is None):
            raise InputError(
                "a regular temperament needs either fifth_cents or narrowed_by, "
                f"{self.temperament!r} has {'neither' if self.fifth_cents is None else 'both'}; "
                "give one of them"
            )
        fifth_cents = self.fifth_cents or 0.0
        if self.narrowed_by is not None:
            parts, comma = self.narrowed_by
            fifth_cents = PURE_FIFTH_CENTS - parts * _COMMA_CENTS[comma]
        made = regular(
            self.temperament, self.title, fifth_cents=fifth_cents, evidence=self.evidence
        )
        return replace(made, caution=self.caution)


class _Circulating(_Named):
    kind: Literal["circulating"]
    comma: Comma
    narrowed: list[float] = Field(min_length=12, max_length=12)
    schisma_at: int | None = Field(default=None, ge=0, le=11)

    def made(self) -> Temperament:
        tempering = [-parts * _COMMA_CENTS[self.comma] for parts in self.narrowed]
        if self.schisma_at is not None:
            tempering[self.schisma_at] -= SCHISMA_CENTS
        return circulating(
            self.temperament,
            self.title,
            tempering_cents=tempering,
            evidence=self.evidence,
            caution=self.caution,
        )


class _Just(_Named):
    kind: Literal["just"]
    ratios: dict[str, _Ratio]

    def made(self) -> Temperament:
        return from_ratios(
            self.temperament,
            self.title,
            ratios=self.ratios,
            evidence=self.evidence,
            caution=self.caution,
        )


class _Table(_Named):
    kind: Literal["table"]
    cents_above_c: dict[str, float]

    def made(self) -> Temperament:
        return from_table(
            self.temperament,
            self.title,
            cents_above_c=self.cents_above_c,
            evidence=self.evidence,
            caution=self.caution,
        )


_AnyTemperament = Annotated[_Regular | _Circulating | _Just | _Table, Field(discriminator="kind")]


class _File(Form):
    pitch_standard: list[_Standard] = Field(default_factory=list)
    temperament: list[_AnyTemperament] = Field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Tunings:
    """The pitch standards and temperaments that can be named."""

    pitch_standards: tuple[PitchStandard, ...]
    temperaments: tuple[Temperament, ...]

    def pitch_standard(self, name: str) -> PitchStandard:
        """Return the pitch standard of that name; NotFound if there is none."""
        for standard in self.pitch_standards:
            if standard.pitch_standard == name:
                return standard
        known = ", ".join(s.pitch_standard for s in self.pitch_standards)
        raise NotFound(f"there is no pitch standard {name!r}; choose one of {known}, or give hertz")

    def temperament(self, name: str) -> Temperament:
        """Return the temperament of that name; NotFound if there is none."""
        for temperament in self.temperaments:
            if temperament.temperament == name:
                return temperament
        known = ", ".join(t.temperament for t in self.temperaments)
        raise NotFound(f"there is no temperament {name!r}; choose one of {known}")


def read_tunings(own: Path | None = None) -> Tunings:
    """Return the shipped tunings, with the user's own file put before them.

    Raises
    ------
    CatalogueError
        If the file is not text, not TOML, or says something that cannot be.
    NotFound
        If there is no such file.
    """
    shipped = files("reedwright.catalogue").joinpath("tunings.toml").read_text("utf-8")
    tunings = _tunings(shipped, "tunings.toml")
    if own is None:
        return tunings
    text = file_text(own, error=CatalogueError)
    mine = _tunings(text, own.name)
    return Tunings(
        mine.pitch_standards + tunings.pitch_standards, mine.temperaments + tunings.temperaments
    )


def _tunings(text: str, name: str) -> Tunings:
    table = toml_table(text, place=name, error=CatalogueError)
    form = checked(_File, table, place=name, error=CatalogueError)
    standards = tuple(
        PitchStandard(s.pitch_standard, s.title, s.a4_hz, s.evidence) for s in form.pitch_standard
    )
    try:
        return Tunings(standards, tuple(temperament.made() for temperament in form.temperament))
    except InputError as error:
        raise CatalogueError(f"{name}: {error}") from error
