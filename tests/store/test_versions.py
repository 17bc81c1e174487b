"""Changes: counted, refused when stale, all or nothing."""

from dataclasses import replace

import pytest
from benchmarks.invented_records import invented_layout, invented_survey, invented_typed_rows
from sqlalchemy import delete
from sqlalchemy.exc import DatabaseError

from reedwright.errors import Conflict, NotFound
from reedwright.jobs.ports import InstrumentRecord
from reedwright.store import Workshop, open_workshop
from reedwright.store.jobs import JOBS

LAYOUT = invented_layout(4)
NOW = "2026-11-25T14:03:00+00:00"


@pytest.fixture
def instrument(workshop: Workshop) -> InstrumentRecord:
    """Return an instrument in a job of a new workshop."""
    job = workshop.add_job(name="treble", opened_on="2026-11-25")
    return workshop.add_instrument(
        job.job_id, title="A treble", layout=LAYOUT, metal="steel", frame_metal="brass"
    )


def test_a_change_counts_the_version_up(workshop: Workshop, instrument: InstrumentRecord) -> None:
    """A changed record is what was asked for, one version on; others stay as they were."""
    other = workshop.add_job(name="other", opened_on="2026-11-26")
    job = workshop.job(instrument.job_id)
    changed = workshop.update_job(replace(job, name="renamed", notes="new"))
    assert changed == replace(job, name="renamed", notes="new", version=2)
    moved = workshop.update_instrument(
        replace(instrument, layout=invented_layout(6), metal="brass", job_id=other.job_id)
    )
    assert (moved.layout, moved.metal, moved.version) == (invented_layout(6), "brass", 2)
    assert workshop.instruments(other.job_id) == (moved,)
    assert workshop.instruments(job.job_id) == ()
    assert workshop.job(other.job_id) == other


def test_doubts_can_be_settled(workshop: Workshop, instrument: InstrumentRecord) -> None:
    """A survey changes as a whole: readings settled, one dropped to unplaced, nothing left over."""
    kept = workshop.save_survey(
        instrument.instrument_id, invented_survey(LAYOUT), recording_id=None, made_at=NOW
    )
    *settled, dropped = (replace(reading, doubt=None) for reading in kept.survey.readings)
    survey = replace(
        kept.survey, readings=tuple(settled), unplaced=(*kept.survey.unplaced, dropped.tone)
    )
    changed = workshop.update_survey(replace(kept, survey=survey, comment="settled by ear"))
    assert changed == replace(kept, survey=survey, comment="settled by ear", version=2)
    assert workshop.surveys(instrument.instrument_id) == (changed,)


def test_a_typed_sheet_can_be_corrected(workshop: Workshop, instrument: InstrumentRecord) -> None:
    """A slip of the hand is put right in place."""
    rows = invented_typed_rows(LAYOUT)
    kept = workshop.save_typed_table(instrument.instrument_id, rows, typed_at=NOW)
    right = (replace(rows[0], final_cents=-0.5), *rows[2:])
    changed = workshop.update_typed_table(replace(kept, rows=right))
    assert changed == replace(kept, rows=right, version=2)


def test_a_stale_change_is_a_conflict(workshop: Workshop, instrument: InstrumentRecord) -> None:
    """Of two changes to what was read once, the second is refused and changes nothing."""
    survey = workshop.save_survey(
        instrument.instrument_id, invented_survey(LAYOUT), recording_id=None, made_at=NOW
    )
    table = workshop.save_typed_table(
        instrument.instrument_id, invented_typed_rows(LAYOUT), typed_at=NOW
    )
    job = workshop.job(instrument.job_id)
    changed = (
        workshop.update_job(replace(job, name="mine")),
        workshop.update_instrument(replace(instrument, title="mine")),
        workshop.update_survey(replace(survey, comment="mine")),
        workshop.update_typed_table(replace(table, comment="mine")),
    )
    with pytest.raises(Conflict, match=r"job number 1 .* read at version 1 and is at 2"):
        workshop.update_job(replace(job, name="yours"))
    with pytest.raises(Conflict, match="instrument number 1 is changed only"):
        workshop.update_instrument(replace(instrument, title="yours"))
    with pytest.raises(Conflict, match="survey number 1 is changed only"):
        workshop.update_survey(replace(survey, comment="yours", survey=invented_survey(LAYOUT)))
    with pytest.raises(Conflict, match="typed table number 1 is changed only"):
        workshop.update_typed_table(replace(table, rows=()))
    assert changed == (
        workshop.job(job.job_id),
        workshop.instrument(instrument.instrument_id),
        workshop.survey(survey.survey_id),
        workshop.typed_table(table.typed_table_id),
    )


def test_changing_what_is_not_there(workshop: Workshop, instrument: InstrumentRecord) -> None:
    """A record that does not exist is not found; one cannot be moved to where nothing is."""
    job = workshop.job(instrument.job_id)
    with pytest.raises(NotFound, match="no job number 99"):
        workshop.update_job(replace(job, job_id=99))
    with pytest.raises(NotFound, match="no job number 99"):
        workshop.update_instrument(replace(instrument, job_id=99))


def test_an_error_undoes_all_of_an_action(workshop: Workshop) -> None:
    """What was done before the error in the same ``atomic`` is gone, also for others."""

    def two_jobs() -> None:
        with workshop.atomic():
            workshop.add_job(name="one", opened_on="2026-11-25")
            workshop.add_job(name="two", opened_on="not a day")

    with pytest.raises(Exception, match="must be a date"):
        two_jobs()
    assert workshop.jobs() == ()


def test_an_inner_action_can_fail_alone(workshop: Workshop) -> None:
    """Caught outside its own ``atomic``, an error undoes that one and not the outer."""

    def inner() -> None:
        with workshop.atomic():
            workshop.add_job(name="inner", opened_on="2026-11-25")
            raise KeyError("enough")

    with workshop.atomic():
        outer = workshop.add_job(name="outer", opened_on="2026-11-25")
        with pytest.raises(KeyError, match="enough"):
            inner()
    assert workshop.jobs() == (outer,)


def test_numbers_are_not_used_again(workshop: Workshop) -> None:
    """The number of a record that is gone is never given to another: papers may name it."""
    first = workshop.add_job(name="one", opened_on="2026-11-25")
    with workshop.atomic() as connection:
        connection.execute(delete(JOBS))
    second = workshop.add_job(name="two", opened_on="2026-11-25")
    assert second.job_id > first.job_id


def test_others_see_an_action_only_when_it_is_whole(location: str, workshop: Workshop) -> None:
    """A second program sees nothing of an open action, and all of it afterwards."""
    with open_workshop(location) as other:
        with workshop.atomic():
            job = workshop.add_job(name="one", opened_on="2026-11-25")
            assert workshop.jobs() == (job,)
            assert other.jobs() == ()
        assert other.jobs() == (job,)


def test_what_is_read_together_is_of_one_moment(location: str, workshop: Workshop) -> None:
    """Inside ``snapshot`` a change made elsewhere meanwhile is not seen."""
    with open_workshop(location) as other:
        with workshop.snapshot():
            assert workshop.jobs() == ()
            job = other.add_job(name="one", opened_on="2026-11-25")
            assert workshop.jobs() == ()
        assert workshop.jobs() == (job,)


def test_writing_inside_a_snapshot_is_a_mistake(workshop: Workshop) -> None:
    """A snapshot is for reading; writing in one would fail late and strangely, so it is refused."""
    with workshop.snapshot(), pytest.raises(RuntimeError, match="atomic must be outside"):
        workshop.add_job(name="one", opened_on="2026-11-25")


def test_references_hold(workshop: Workshop) -> None:
    """The database itself refuses a row that points nowhere."""

    def point_nowhere() -> None:
        with workshop.atomic() as connection:
            connection.exec_driver_sql(
                "INSERT INTO plan_sets (instrument_id, survey_id, target_set_id, made_at) "
                "VALUES (1, 2, 3, 'x')"
            )

    with pytest.raises(DatabaseError, match=r"(?i)foreign key"):
        point_nowhere()
