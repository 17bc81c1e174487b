"""Tools for filing and the habits of the bench, from TOML.

The shipped files (``tools.toml``, ``bench_rules.toml``) stand beside this module; the
user's own have the same form.
"""

from importlib.resources import files
from pathlib import Path
from typing import Annotated, Any, TypeVar

from pydantic import Field, model_validator

from reedwright.catalogue.checked_file import Form, checked, file_text, toml_table
from reedwright.errors import CatalogueError
from reedwright.reedwork.bench_kit import BenchKit, BenchMinutes, Grade
from reedwright.reedwork.bench_offset import OffsetRules
from reedwright.reedwork.scrapes import FilingTool, LearningRules, VisitRules

__all__ = ["load_bench_kit", "load_filing_tools"]

_SHIPPED = files("reedwright.catalogue")

FormType = TypeVar("FormType", bound=Form)

Positive = Annotated[float, Field(gt=0.0, allow_inf_nan=False)]
Said = Annotated[str, Field(min_length=1)]


class _ToolForm(Form):
    tool: Said
    title: Said
    depth_um_per_stroke: Annotated[float, Field(gt=0.0, le=100.0)]
    stroke_s: Annotated[float, Field(gt=0.0, le=60.0)]
    evidence: Said
    metal_factors: dict[str, Annotated[float, Field(gt=0.0, le=20.0)]] = Field(default_factory=dict)


class _ToolsForm(Form):
    tool: list[_ToolForm] = Field(min_length=1)

    @model_validator(mode="after")
    def _each_is_named_once(self) -> "_ToolsForm":
        names = [each.tool for each in self.tool]
        repeated = [name for name in names if names.count(name) > 1]
        if repeated:
            raise ValueError(f"each tool is named once, got {repeated[0]!r} twice; rename one")
        return self


class _GradeForm(Form):
    grade: Said
    title: Said
    tolerance_cents: Positive
    outer_tolerance_cents: Positive
    evidence: Said


class _Figure(Form):
    value: Positive
    evidence: Said


class _Chance(Form):
    value: Annotated[float, Field(gt=0.0, lt=1.0)]
    evidence: Said


class _Count(Form):
    value: Annotated[int, Field(ge=1, le=10_000)]
    evidence: Said


class _AboveOne(Form):
    value: Annotated[float, Field(gt=1.0, allow_inf_nan=False)]
    evidence: Said


class _LearningForm(Form):
    tool: _Figure
    tool_in_metal: _Figure
    tool_in_octave: _Figure
    zone: _Figure
    reed: _Figure
    reed_at_zone: _Figure
    stroke: _Figure


class _VisitsForm(Form):
    most_chance_within: _Chance
    least_chance_within: _Chance
    most_readings: _Count
    doubt_per_way: _Figure
    stroke_cost: _Figure
    most_strokes: _Count
    overshoot_cost: _Figure
    undecided_cents: _Figure
    undecided_cost: _Figure
    off_centre_cost: _Figure
    nearer_per_visit: _AboveOne
    finish_from: _Figure
    warm_cents: _Figure
    warm_doubt_cents: _Figure
    warm_minutes: _Figure


class _OffsetsForm(Form):
    level_cents: _Figure
    curve_cents: _Figure
    curve_octaves: _Figure
    direction_cents: _Figure
    own_cents: _Figure
    seating_cents: _Figure


class _MinutesForm(Form):
    end_minutes: _Figure
    pan_minutes: _Figure
    shoe_minutes: _Figure
    visit_minutes: _Figure
    reading_minutes: _Figure
    cool_minutes: _Figure
    settle_days: _Figure
    rough_cents: _Figure


class _BenchForm(Form):
    grade: list[_GradeForm] = Field(min_length=1)
    learning: _LearningForm
    visits: _VisitsForm
    offsets: _OffsetsForm
    minutes: _MinutesForm


def load_filing_tools(path: Path | None = None) -> tuple[FilingTool, ...]:
    """Return the tools of a file, or the shipped ones.

    Raises
    ------
    NotFound, CatalogueError
        If there is no such file, or it is not a file of tools.
    """
    form = _read(_ToolsForm, path, "tools.toml")
    return tuple(
        FilingTool(
            tool=each.tool,
            title=each.title,
            depth_um_per_stroke=each.depth_um_per_stroke,
            metal_factors=tuple(each.metal_factors.items()),
            stroke_s=each.stroke_s,
            evidence=each.evidence,
        )
        for each in form.tool
    )


def load_bench_kit(tools: Path | None = None, rules: Path | None = None) -> BenchKit:
    """Return tools and habits of the bench from two files, or the shipped ones.

    Raises
    ------
    NotFound, CatalogueError
        If there is no such file, or it is not what it should be.
    """
    form = _read(_BenchForm, rules, "bench_rules.toml")

    return BenchKit(
        tools=load_filing_tools(tools),
        learning=LearningRules(**_values(form.learning)),
        visits=VisitRules(**_values(form.visits)),
        offsets=OffsetRules(**_values(form.offsets)),
        minutes=BenchMinutes(**_values(form.minutes)),
        grades=tuple(Grade(**grade.model_dump()) for grade in form.grade),
    )


def _values(rules: Form) -> dict[str, Any]:
    """Return the figures of a table of rules without their evidence."""
    return {name: getattr(rules, name).value for name in type(rules).model_fields}


def _read(form: type[FormType], path: Path | None, shipped: str) -> FormType:
    """Return the checked contents of the user's file, or of the shipped one."""
    if path is None:
        text, place = (_SHIPPED / shipped).read_text("utf-8"), shipped
    else:
        text, place = file_text(path, error=CatalogueError), str(path)
    table = toml_table(text, place=place, error=CatalogueError)
    return checked(form, table, place=place, error=CatalogueError)
