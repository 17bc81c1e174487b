"""Surveys: all readings of one recording, what is missing, what could not be placed.

The tones of a survey are numbered, the readings' first, in their order, then the
unplaced ones; a reading has the number of its tone.
"""

from sqlalchemy import Connection, ForeignKeyConstraint, delete

from reedwright.instrument.reading import Conditions, DoubtBudget, Missing, Reading, Survey
from reedwright.jobs.ports import BenchPass, SurveyRecord
from reedwright.store.columns import flag, identifier, number, pointer, table, text, whole
from reedwright.store.instruments import INSTRUMENTS
from reedwright.store.recordings import RECORDINGS
from reedwright.store.records import (
    Shelf,
    add,
    add_children,
    change,
    children,
    find,
    identifiers,
    require,
)
from reedwright.store.rows import checked_moment, from_row, to_row
from reedwright.store.tones import TONES, add_tones, tones_of

__all__ = ["MISSING_REEDS", "READINGS", "SURVEYS", "SurveyShelf"]

SURVEYS = table(
    "surveys",
    identifier("survey_id"),
    pointer("instrument_id", "instruments.instrument_id"),
    pointer("recording_id", "recordings.recording_id", nullable=True),
    text("made_at"),
    text("bench_pass"),
    text("operator"),
    text("comment"),
    text("layout"),
    text("order"),
    number("duration_s"),
    number("sample_rate_hz"),
    number("shift_cents"),
    text("cautions"),
    number("clock_ppm"),
    number("clock_doubt_ppm"),
    number("temperature_c", nullable=True),
    number("reference_temperature_c"),
    text("metal", nullable=True),
    number("bellows_pressure_pa", nullable=True),
    flag("is_on_bench"),
    flag("is_end_on", nullable=True),
    whole("version"),
)

READINGS = table(
    "readings",
    whole("survey_id", primary_key=True),
    whole("number", primary_key=True),
    text("key"),
    text("side"),
    text("note"),
    text("direction"),
    number("confidence"),
    text("doubt", nullable=True),
    text("also_possible"),
    number("estimator_cents"),
    number("drift_cents"),
    number("pressure_cents"),
    number("repeatability_cents"),
    number("clock_cents"),
    number("temperature_cents"),
    ForeignKeyConstraint(["survey_id", "number"], ["tones.survey_id", "tones.number"]),
)

MISSING_REEDS = table(
    "missing_reeds",
    pointer("survey_id", "surveys.survey_id", primary_key=True),
    whole("number", primary_key=True),
    text("key"),
    text("side"),
    text("note"),
    text("direction"),
)

_ELSEWHERE = {"readings", "missing", "unplaced", "conditions"}


class SurveyShelf(Shelf):
    """The surveys of a workshop; what each call does is said in ``jobs.ports``."""

    def save_survey(
        self,
        instrument_id: int,
        survey: Survey,
        *,
        recording_id: int | None,
        made_at: str,
        bench_pass: BenchPass = BenchPass.FOUND,
        operator: str = "",
        comment: str = "",
    ) -> SurveyRecord:
        """Keep a survey of an instrument."""
        record = SurveyRecord(
            survey_id=0,
            instrument_id=instrument_id,
            recording_id=recording_id,
            made_at=made_at,
            bench_pass=bench_pass,
            operator=operator,
            comment=comment,
            survey=survey,
            version=1,
        )
        with self.atomic() as connection:
            require(connection, INSTRUMENTS, instrument_id)
            require(connection, RECORDINGS, recording_id)
            survey_id = add(connection, SURVEYS, _values(record))
            _add_heard(connection, survey_id, survey)
            return self.survey(survey_id)

    def survey(self, survey_id: int) -> SurveyRecord:
        """Return one survey, equal to what was kept."""
        with self.snapshot() as connection:
            row = find(connection, SURVEYS, survey_id)
            tones = tones_of(connection, survey_id)
            readings = tuple(
                from_row(Reading, reading, tone=tone, doubt_budget=from_row(DoubtBudget, reading))
                for reading, tone in zip(
                    children(connection, READINGS, survey_id=survey_id), tones, strict=False
                )
            )
            missing = children(connection, MISSING_REEDS, survey_id=survey_id)
            survey = from_row(
                Survey,
                row,
                readings=readings,
                missing=tuple(from_row(Missing, reed) for reed in missing),
                unplaced=tuple(tones[len(readings) :]),
                conditions=from_row(Conditions, row),
            )
            return from_row(SurveyRecord, row, survey=survey)

    def surveys(self, instrument_id: int) -> tuple[SurveyRecord, ...]:
        """Return the surveys of an instrument, the first kept first."""
        with self.snapshot() as connection:
            require(connection, INSTRUMENTS, instrument_id)
            found = identifiers(connection, SURVEYS, instrument_id=instrument_id)
            return tuple(self.survey(survey_id) for survey_id in found)

    def latest_survey(self, instrument_id: int) -> SurveyRecord | None:
        """Return the survey kept last, None if there is none."""
        with self.snapshot() as connection:
            require(connection, INSTRUMENTS, instrument_id)
            found = identifiers(connection, SURVEYS, instrument_id=instrument_id)
            return self.survey(found[-1]) if found else None

    def update_survey(self, survey: SurveyRecord) -> SurveyRecord:
        """Keep a survey whose doubts a person settled; Conflict if it was changed since read."""
        values = _values(survey)
        del values["version"]
        with self.atomic() as connection:
            require(connection, INSTRUMENTS, survey.instrument_id)
            require(connection, RECORDINGS, survey.recording_id)
            change(connection, SURVEYS, survey.survey_id, survey.version, values)
            for kept in (READINGS, MISSING_REEDS, TONES):
                connection.execute(delete(kept).filter_by(survey_id=survey.survey_id))
            _add_heard(connection, survey.survey_id, survey.survey)
            return self.survey(survey.survey_id)


def _values(record: SurveyRecord) -> dict[str, object]:
    checked_moment(record.made_at, "made_at")
    return (
        to_row(record, without={"survey_id", "survey"})
        | to_row(record.survey, without=_ELSEWHERE)
        | to_row(record.survey.conditions)
    )


def _add_heard(connection: Connection, survey_id: int, survey: Survey) -> None:
    heard = [reading.tone for reading in survey.readings]
    add_tones(connection, survey_id, [*heard, *survey.unplaced])
    readings = [
        to_row(reading, without={"tone", "doubt_budget"}) | to_row(reading.doubt_budget)
        for reading in survey.readings
    ]
    add_children(connection, READINGS, readings, survey_id=survey_id)
    missing = [to_row(reed) for reed in survey.missing]
    add_children(connection, MISSING_REEDS, missing, survey_id=survey_id)
