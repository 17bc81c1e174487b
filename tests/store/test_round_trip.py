"""What goes in comes out equal, on both databases."""

import math
import struct
from dataclasses import replace

import pytest
from benchmarks.invented_records import (
    invented_layout,
    invented_pairs,
    invented_plans,
    invented_scrapes,
    invented_survey,
    invented_targets,
    invented_typed_rows,
)
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import update

from reedwright.errors import Conflict, InputError, NotFound
from reedwright.instrument.layout import Action, Key, Layout, Side
from reedwright.instrument.note import SpelledNote
from reedwright.instrument.reading import Conditions, Survey, Trace
from reedwright.jobs.ports import BenchPass, InstrumentRecord, WorkshopStore
from reedwright.store import Workshop
from reedwright.store.targets import TARGETS
from reedwright.tuning.model import Kind, Scheme, Temperament, Tolerance

LAYOUT = invented_layout(8)
SURVEY = invented_survey(LAYOUT)
MEANTONE = Temperament(
    temperament="fifth-comma",
    title="Fifth-comma meantone",
    kind=Kind.REGULAR,
    fifth_cents=697.6537,
    deviations_cents=(),
    evidence="invented for a test",
    note_deviations_cents=(("G#4", 1.25),),
)
NOW = "2026-11-25T14:03:00+00:00"


@pytest.fixture
def instrument(workshop: Workshop) -> InstrumentRecord:
    """Return an instrument in a job of a new workshop."""
    job = workshop.add_job(name="treble", opened_on="2026-11-25")
    return workshop.add_instrument(
        job.job_id, title="A treble", layout=LAYOUT, metal="steel", frame_metal="brass"
    )


def test_a_workshop_is_what_jobs_ask_for(workshop: Workshop) -> None:
    """The workshop is a WorkshopStore, as the type checker confirms, with every call of it."""
    store: WorkshopStore = workshop
    calls = [name for name in dir(WorkshopStore) if not name.startswith("_")]
    assert len(calls) > 25
    assert all(callable(getattr(store, name)) for name in calls)


def test_a_job_comes_back_as_it_was_opened(workshop: Workshop) -> None:
    """A job keeps its name, its day, its owner and its notes, signs of every script included."""
    job = workshop.add_job(
        name="Wheezy treble – 48 ♯♭",
        opened_on="2026-11-25",
        owner_reference="card 17, '); --",
        notes="leaks\nbadly",
    )
    assert (job.name, job.opened_on) == ("Wheezy treble – 48 ♯♭", "2026-11-25")
    assert (job.owner_reference, job.notes, job.version) == ("card 17, '); --", "leaks\nbadly", 1)
    assert workshop.job(job.job_id) == job
    assert workshop.jobs() == (job,)


def test_an_instrument_keeps_its_whole_layout(workshop: Workshop) -> None:
    """The layout comes back key by key, single-action and with blanks, not as a mere name."""
    layout = Layout(
        layout="invented-bass",
        title="Invented bass",
        action=Action.SINGLE,
        keys=(
            Key("L1.1", Side.LEFT, 1, 1, SpelledNote.parse("Ab2"), None),
            Key("R1.1", Side.RIGHT, 1, 1, None, None),
        ),
        evidence="invented for a test",
        air_button=Side.RIGHT,
    )
    job = workshop.add_job(name="bass", opened_on="2026-11-25")
    kept = workshop.add_instrument(
        job.job_id, title="Bass", layout=layout, metal="steel", frame_metal="brass", a4_hz=452.5
    )
    assert kept.layout == layout
    assert kept.a4_hz == 452.5
    assert workshop.instrument(kept.instrument_id) == kept
    assert workshop.instruments(job.job_id) == workshop.instruments() == (kept,)


def test_a_survey_comes_back_equal(workshop: Workshop, instrument: InstrumentRecord) -> None:
    """Readings, missing reeds, unplaced tones, conditions: all equal, every digit of them."""
    kept = workshop.save_survey(
        instrument.instrument_id,
        SURVEY,
        recording_id=None,
        made_at=NOW,
        bench_pass=BenchPass.AFTER_1,
        operator="me",
        comment="ends on",
    )
    assert kept.survey == SURVEY
    assert (kept.bench_pass, kept.operator, kept.comment) == (BenchPass.AFTER_1, "me", "ends on")
    assert workshop.survey(kept.survey_id) == kept


def test_an_empty_survey_comes_back_empty(workshop: Workshop, instrument: InstrumentRecord) -> None:
    """A recording in which nothing was heard is a survey too."""
    empty = Survey("invented-8", "ascending", 1.0, 8000.0, 0.0, (), (), (), (), Conditions())
    kept = workshop.save_survey(instrument.instrument_id, empty, recording_id=None, made_at=NOW)
    assert kept.survey == empty


def test_the_latest_survey_is_the_one_kept_last(
    workshop: Workshop, instrument: InstrumentRecord
) -> None:
    """Surveys add up in the order they were kept; before the first there is none."""
    assert workshop.latest_survey(instrument.instrument_id) is None
    first, second = (
        workshop.save_survey(
            instrument.instrument_id,
            invented_survey(LAYOUT, seed=seed),
            recording_id=None,
            made_at=NOW,
        )
        for seed in (2, 3)
    )
    assert first.survey != second.survey
    assert workshop.surveys(instrument.instrument_id) == (first, second)
    assert workshop.latest_survey(instrument.instrument_id) == second


def test_targets_come_back_with_their_scheme(
    workshop: Workshop, instrument: InstrumentRecord
) -> None:
    """Pitch, temperament with the user's own notes, reference, tolerance and every reed's pitch."""
    targets = invented_targets(LAYOUT)
    scheme = Scheme(a4_hz=443.2, temperament=MEANTONE, reference="C")
    kept = workshop.save_targets(
        instrument.instrument_id,
        targets,
        scheme=scheme,
        tolerance=Tolerance(1.5, 2.5),
        made_at=NOW,
        pitch_standard="continental",
    )
    assert (kept.scheme, kept.tolerance, kept.targets) == (scheme, Tolerance(1.5, 2.5), targets)
    assert kept.pitch_standard == "continental"
    assert workshop.target_sets(instrument.instrument_id) == (kept,)
    assert workshop.latest_targets(instrument.instrument_id) == kept


def test_rows_come_back_by_their_numbers(workshop: Workshop, instrument: InstrumentRecord) -> None:
    """The order is the kept one, whatever order the database would give by itself."""
    kept = workshop.save_targets(
        instrument.instrument_id,
        invented_targets(LAYOUT),
        scheme=Scheme(440.0, MEANTONE),
        tolerance=Tolerance(),
        made_at=NOW,
    )
    last = len(kept.targets) - 1
    with workshop.atomic() as connection:
        connection.execute(update(TARGETS).where(TARGETS.c.number == last).values(number=-1))
    assert workshop.target_set(kept.target_set_id).targets == (
        kept.targets[-1],
        *kept.targets[:-1],
    )


def test_plans_come_back_with_their_steps(workshop: Workshop, instrument: InstrumentRecord) -> None:
    """Every plan has its own steps again, and a reed to be left has none."""
    survey = workshop.save_survey(instrument.instrument_id, SURVEY, recording_id=None, made_at=NOW)
    targets = workshop.save_targets(
        instrument.instrument_id,
        invented_targets(LAYOUT),
        scheme=Scheme(440.0, MEANTONE),
        tolerance=Tolerance(),
        made_at=NOW,
        survey_id=survey.survey_id,
    )
    plans = invented_plans(LAYOUT)
    assert {len(plan.steps) for plan in plans} == {0, 1, 2}
    kept = workshop.save_plans(
        plans, survey_id=survey.survey_id, target_set_id=targets.target_set_id, made_at=NOW
    )
    assert kept.plans == plans
    assert workshop.plan_sets(instrument.instrument_id) == (kept,)
    assert workshop.latest_plans(instrument.instrument_id) == kept


def test_a_typed_sheet_comes_back_line_by_line(
    workshop: Workshop, instrument: InstrumentRecord
) -> None:
    """Cells left empty stay empty and ticks stay ticks, in the order typed."""
    rows = invented_typed_rows(LAYOUT)
    kept = workshop.save_typed_table(instrument.instrument_id, rows, typed_at=NOW, comment="x")
    assert kept.rows == rows
    assert workshop.typed_tables(instrument.instrument_id) == (kept,)
    assert workshop.latest_typed_table(instrument.instrument_id) == kept


def test_scrapes_come_back_equal(workshop: Workshop, instrument: InstrumentRecord) -> None:
    """Every scrape with its readings, in the order logged, of one instrument or of all."""
    scrapes = invented_scrapes(LAYOUT)
    kept = [
        workshop.save_scrape(
            instrument.instrument_id, scrape, survey_id=None, scraped_at=NOW, comment="x"
        )
        for scrape in scrapes
    ]
    assert tuple(record.scrape for record in kept) == scrapes
    assert workshop.scrapes(instrument.instrument_id) == workshop.scrapes() == tuple(kept)
    other = workshop.add_instrument(
        instrument.job_id, title="Other", layout=LAYOUT, metal="steel", frame_metal="brass"
    )
    assert workshop.scrapes(other.instrument_id) == ()


def test_a_scrape_can_be_withdrawn(workshop: Workshop, instrument: InstrumentRecord) -> None:
    """Logged in error, it stays and says so; a second change of the old record is a conflict."""
    (scrape, *_) = invented_scrapes(LAYOUT)
    survey = workshop.save_survey(instrument.instrument_id, SURVEY, recording_id=None, made_at=NOW)
    kept = workshop.save_scrape(
        instrument.instrument_id, scrape, survey_id=survey.survey_id, scraped_at=NOW
    )
    assert kept.survey_id == survey.survey_id
    withdrawn = workshop.update_scrape(replace(kept, is_withdrawn=True))
    assert withdrawn == replace(kept, is_withdrawn=True, version=2)
    with pytest.raises(Conflict, match="was read at version 1 and is at 2"):
        workshop.update_scrape(replace(kept, comment="late"))
    with pytest.raises(InputError, match="at least 1 stroke, got 0"):
        workshop.save_scrape(
            instrument.instrument_id, replace(scrape, strokes=0), survey_id=None, scraped_at=NOW
        )
    with pytest.raises(NotFound, match="no survey number 99"):
        workshop.save_scrape(instrument.instrument_id, scrape, survey_id=99, scraped_at=NOW)


def test_paired_readings_come_back_equal(workshop: Workshop, instrument: InstrumentRecord) -> None:
    """Pairs keep their order and the two surveys they are of; those of two instruments do not."""
    bench, closed = (
        workshop.save_survey(instrument.instrument_id, SURVEY, recording_id=None, made_at=NOW)
        for _ in range(2)
    )
    kept = workshop.save_offset_pairs(
        invented_pairs(LAYOUT),
        bench_survey_id=bench.survey_id,
        instrument_survey_id=closed.survey_id,
        made_at=NOW,
    )
    assert kept.pairs == invented_pairs(LAYOUT)
    assert kept.instrument_id == instrument.instrument_id
    assert workshop.offset_sets(instrument.instrument_id) == (kept,)
    other = workshop.add_instrument(
        instrument.job_id, title="Other", layout=LAYOUT, metal="steel", frame_metal="brass"
    )
    stranger = workshop.save_survey(other.instrument_id, SURVEY, recording_id=None, made_at=NOW)
    with pytest.raises(InputError, match="pair surveys of one instrument"):
        workshop.save_offset_pairs(
            (),
            bench_survey_id=bench.survey_id,
            instrument_survey_id=stranger.survey_id,
            made_at=NOW,
        )


@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(value=st.floats(allow_nan=False))
def test_floats_keep_every_bit(
    workshop: Workshop, instrument: InstrumentRecord, value: float
) -> None:
    """A number comes back bit for bit, subnormal and infinite too; of zero only the sign may go."""
    tone = SURVEY.readings[0].tone
    trace = Trace((value,), (-value,), (0.0,), (1.0,))
    odd = replace(tone, frequency_hz=value, level_dbfs=-value, hum_hz=value, trace=trace)
    survey = replace(SURVEY, readings=(), unplaced=(odd,), shift_cents=value)
    kept = workshop.save_survey(
        instrument.instrument_id, survey, recording_id=None, made_at=NOW
    ).survey
    (back,) = kept.unplaced
    assert back.hum_hz is not None
    for number in (
        kept.shift_cents,
        back.frequency_hz,
        -back.level_dbfs,
        back.hum_hz,
        back.trace.times_s[0],
        -back.trace.offsets_cents[0],
    ):
        assert number == value
        # A SQLite column holds a whole number as an integer, which has one zero only.
        assert value == 0.0 or struct.pack("<d", number) == struct.pack("<d", value)


@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(text=st.text(st.characters(exclude_characters="\0", exclude_categories=["Cs"])))
def test_texts_keep_every_sign(workshop: Workshop, instrument: InstrumentRecord, text: str) -> None:
    """Any text comes back as typed, in a column of its own and inside JSON."""
    survey = replace(SURVEY, readings=(), unplaced=(), missing=(), cautions=(text,))
    kept = workshop.save_survey(
        instrument.instrument_id, survey, recording_id=None, made_at=NOW, comment=text
    )
    assert kept.comment == text
    assert kept.survey.cautions == (text,)


@pytest.mark.parametrize("text", ["a\0b", "copied\udcff.wav"])
def test_text_that_no_database_keeps_is_refused(workshop: Workshop, text: str) -> None:
    """A zero byte, or the remains of an unreadable file name, are refused with a remedy."""
    with pytest.raises(InputError, match=r"name of a JobRecord: text must .* retype it"):
        workshop.add_job(name=text, opened_on="2026-11-25")
    assert workshop.jobs() == ()


def test_what_is_no_number_is_refused(workshop: Workshop, instrument: InstrumentRecord) -> None:
    """NaN equals nothing, not even itself, so it could not come back equal: refused."""
    survey = replace(SURVEY, shift_cents=math.nan)
    with pytest.raises(InputError, match="shift_cents of a Survey: a number must be kept, got NaN"):
        workshop.save_survey(instrument.instrument_id, survey, recording_id=None, made_at=NOW)
    assert workshop.surveys(instrument.instrument_id) == ()


@pytest.mark.parametrize("day", ["25.11.2026", "2026-11-31", ""])
def test_a_day_is_a_day(workshop: Workshop, day: str) -> None:
    """A day is year, month and day, and one that the calendar has."""
    with pytest.raises(InputError, match=r"opened_on must be a date, .* write it like 2026-11-25"):
        workshop.add_job(name="x", opened_on=day)


@pytest.mark.parametrize("moment", ["2026-11-25", "2026-11-25T14:03:00", "yesterday"])
def test_a_time_says_how_far_it_is_from_utc(
    workshop: Workshop, instrument: InstrumentRecord, moment: str
) -> None:
    """A time without its offset from UTC could mean any of a day's hours: refused."""
    with pytest.raises(InputError, match="typed_at must be a date and time with its offset"):
        workshop.save_typed_table(instrument.instrument_id, (), typed_at=moment)


def test_a_note_that_could_not_be_read_back_is_refused(
    workshop: Workshop, instrument: InstrumentRecord
) -> None:
    """An octave of two digits has no ASCII name that the program reads."""
    reading = replace(SURVEY.readings[0], note=SpelledNote("C", 0, 12))
    survey = replace(SURVEY, readings=(reading,))
    with pytest.raises(InputError, match="note of a Reading"):
        workshop.save_survey(instrument.instrument_id, survey, recording_id=None, made_at=NOW)


def test_a_plan_across_two_instruments_is_refused(
    workshop: Workshop, instrument: InstrumentRecord
) -> None:
    """Targets of one instrument and a survey of another make no plan."""
    other = workshop.add_instrument(
        instrument.job_id, title="Other", layout=LAYOUT, metal="steel", frame_metal="brass"
    )
    survey = workshop.save_survey(instrument.instrument_id, SURVEY, recording_id=None, made_at=NOW)
    targets = workshop.save_targets(
        other.instrument_id,
        (),
        scheme=Scheme(440.0, MEANTONE),
        tolerance=Tolerance(),
        made_at=NOW,
    )
    with pytest.raises(InputError, match="one instrument"):
        workshop.save_plans(
            (), survey_id=survey.survey_id, target_set_id=targets.target_set_id, made_at=NOW
        )


def test_a_reed_typed_twice_is_refused(workshop: Workshop, instrument: InstrumentRecord) -> None:
    """Two lines for one reed cannot both be true."""
    row = invented_typed_rows(LAYOUT)[0]
    with pytest.raises(InputError, match=r"one line per reed, L1\.1 press has 2"):
        workshop.save_typed_table(instrument.instrument_id, (row, row), typed_at=NOW)


def test_what_is_not_there_is_said_by_its_noun(workshop: Workshop) -> None:
    """An unknown number raises NotFound with the noun, whether asked for or pointed to."""
    for noun, ask in {
        "job": workshop.job,
        "instrument": workshop.instrument,
        "recording": workshop.recording,
        "survey": workshop.survey,
        "target set": workshop.target_set,
        "plan set": workshop.plan_set,
        "typed table": workshop.typed_table,
    }.items():
        with pytest.raises(NotFound, match=f"no {noun} number 7 "):
            ask(7)
    with pytest.raises(NotFound, match="no job number 7 "):
        workshop.add_instrument(7, title="x", layout=LAYOUT, metal="steel", frame_metal="brass")
    with pytest.raises(NotFound, match="no instrument number 7 "):
        workshop.save_survey(7, SURVEY, recording_id=None, made_at=NOW)
    with pytest.raises(NotFound, match="no instrument number 7 "):
        workshop.surveys(7)
