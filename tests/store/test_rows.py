"""Columns and fields are the same list, and JSON stays readable by a newer program."""

import json
from dataclasses import dataclass, fields, replace
from enum import StrEnum

import pytest
from benchmarks.invented_records import invented_layout, invented_survey
from sqlalchemy import Table

from reedwright.instrument.layout import Layout, Reed
from reedwright.instrument.note import SpelledNote
from reedwright.instrument.reading import (
    Conditions,
    DoubtBudget,
    Missing,
    Reading,
    SecondReed,
    Survey,
    Tone,
)
from reedwright.instrument.target import Target
from reedwright.jobs.ports import (
    BenchRow,
    InstrumentRecord,
    JobRecord,
    OffsetRecord,
    PlanRecord,
    RecordingRecord,
    ScrapeRecord,
    SurveyRecord,
    TargetRecord,
    TypedTableRecord,
)
from reedwright.reedwork.bench_offset import PairedReading, PlacedReed
from reedwright.reedwork.model import FilingPlan, FilingStep
from reedwright.reedwork.scrapes import BenchReading, Scrape
from reedwright.store.columns import METADATA
from reedwright.store.rows import from_json, to_json, to_row
from reedwright.tuning.model import Scheme, Tolerance

_TABLES = METADATA.tables


def _names(*kinds: type, without: tuple[str, ...] = ()) -> set[str]:
    """Return the fields of dataclasses."""
    every = {field.name for kind in kinds for field in fields(kind)}
    return every - set(without)


@pytest.mark.parametrize(
    ("table", "expected"),
    [
        ("jobs", _names(JobRecord)),
        ("instruments", _names(InstrumentRecord) | {"layout_snapshot", "action"}),
        ("recordings", _names(RecordingRecord)),
        ("recording_pieces", {"recording_id", "number", "piece"}),
        (
            "surveys",
            _names(
                SurveyRecord,
                Survey,
                Conditions,
                without=("survey", "readings", "missing", "unplaced", "conditions"),
            ),
        ),
        (
            "tones",
            _names(Tone, without=("second",))
            | {"survey_id", "number"}
            | {f"second_{name}" for name in _names(SecondReed)},
        ),
        (
            "readings",
            _names(Reading, DoubtBudget, without=("tone", "doubt_budget"))
            | {"survey_id", "number"},
        ),
        ("missing_reeds", _names(Missing) | {"survey_id", "number"}),
        (
            "target_sets",
            _names(TargetRecord, Scheme, Tolerance, without=("scheme", "tolerance", "targets"))
            | {"temperament_snapshot"},
        ),
        ("targets", _names(Target) | {"target_set_id", "number"}),
        ("plan_sets", _names(PlanRecord, without=("plans",)) | {"instrument_id"}),
        ("filing_plans", _names(FilingPlan, without=("steps",)) | {"plan_set_id", "number"}),
        ("filing_steps", _names(FilingStep) | {"plan_set_id", "plan_number", "number"}),
        ("typed_tables", _names(TypedTableRecord, without=("rows",))),
        ("typed_rows", _names(BenchRow) | {"typed_table_id", "number"}),
        (
            "scrapes",
            _names(ScrapeRecord, Scrape, Reed, without=("scrape", "reed", "before", "after"))
            | {f"before_{name}" for name in _names(BenchReading)}
            | {f"after_{name}" for name in _names(BenchReading)},
        ),
        ("offset_sets", _names(OffsetRecord, without=("pairs",))),
        (
            "offset_pairs",
            _names(PairedReading, PlacedReed, Reed, without=("place", "reed"))
            | {"offset_set_id", "number"},
        ),
    ],
)
def test_every_field_has_its_column(table: str, expected: set[str]) -> None:
    """A field that a dataclass gains wants a migration: until then this fails and says which."""
    assert set(_TABLES[table].columns.keys()) == expected


def test_the_list_above_names_every_table() -> None:
    """No table is left out of the comparison."""
    (mark,) = (
        mark
        for mark in test_every_field_has_its_column.pytestmark  # type: ignore[attr-defined]
        if mark.name == "parametrize"
    )
    assert {table for table, _ in mark.args[1]} == _TABLES.keys()


@pytest.mark.parametrize("table", _TABLES.values(), ids=lambda table: str(table.name))
def test_nothing_is_deleted_by_itself(table: Table) -> None:
    """No reference takes children along when a row is deleted."""
    assert {key.ondelete for key in table.foreign_keys} <= {None}


class _Kind(StrEnum):
    ONE = "one"
    TWO = "two"


@dataclass(frozen=True, slots=True)
class _Inner:
    number: float
    kind: _Kind


@dataclass(frozen=True, slots=True)
class _Old:
    """A record as an earlier program knew it."""

    name: str
    note: SpelledNote | None
    pairs: tuple[tuple[str, float], ...]
    inner: tuple[_Inner, ...]
    whole: int
    is_so: bool


@dataclass(frozen=True, slots=True)
class _New(_Old):
    """The same record, grown."""

    added: float = 1.5


OLD = _Old(
    name="ein Körper ♯",
    note=SpelledNote.parse("Bb3"),
    pairs=(("a", 0.1), ("b", float("-inf"))),
    inner=(_Inner(1e-320, _Kind.TWO),),
    whole=3,
    is_so=True,
)


def test_json_comes_back_equal() -> None:
    """Every kind of value, nested, none of it there, infinite: equal after the way through text."""
    assert from_json(_Old, to_json(OLD)) == OLD
    empty = replace(OLD, note=None, pairs=(), inner=(), is_so=False)
    assert from_json(_Old, to_json(empty)) == empty
    assert from_json(Layout, to_json(invented_layout())) == invented_layout()


def test_json_is_json_and_compact() -> None:
    """It is what any reader of JSON takes: no bare infinity, no blanks, notes by their names."""
    text = to_json(OLD)
    assert json.loads(text, parse_constant=pytest.fail)["note"] == "Bb3"
    assert json.loads(text)["pairs"] == [["a", 0.1], ["b", "-inf"]]
    assert " ♯" in text
    assert text.count(" ") == 2  # those of the name


def test_a_field_gained_since_takes_its_default() -> None:
    """What an earlier program wrote is read by a later one; not so the other way round."""
    assert from_json(_New, to_json(OLD)).added == 1.5
    new = from_json(_New, to_json(OLD))
    with pytest.raises((TypeError, KeyError), match="added"):
        from_json(_Old, to_json(new))


def test_a_trace_is_kept_as_compact_json() -> None:
    """The trace is one column of text, its numbers with every digit."""
    tone = invented_survey(invented_layout(2)).readings[0].tone
    row = to_row(tone, without={"second"})
    assert json.loads(row["trace"])["offsets_cents"] == list(tone.trace.offsets_cents)
    assert row["frequency_hz"] == tone.frequency_hz


def test_a_value_of_no_known_kind_is_our_mistake() -> None:
    """What is neither number, text, choice nor note cannot be kept, and is not guessed at."""
    odd = replace(OLD, name=b"bytes")  # type: ignore[arg-type]
    with pytest.raises(TypeError, match="no way to keep a bytes"):
        to_row(odd)
