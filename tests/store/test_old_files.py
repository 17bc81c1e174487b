"""Every workshop file there ever was still opens, with all that was in it."""

import runpy
import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from sqlalchemy import func, select

from reedwright.jobs.ports import BenchPass
from reedwright.store import check_workshop, open_workshop
from reedwright.store.columns import METADATA
from reedwright.store.migrations import MIGRATIONS

OLD_FILES = Path(__file__).parents[1] / "old_files"


@pytest.fixture
def old_file(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    """Return a copy of an old file, so that the kept one stays old."""
    return Path(shutil.copy(OLD_FILES / str(request.param), tmp_path))


def test_there_is_a_file_of_every_schema() -> None:
    """Each migration has brought a file."""
    kept = sorted(path.name for path in OLD_FILES.glob("*.reedwright"))
    assert kept == [f"schema_{step.number:04}.reedwright" for step in MIGRATIONS]


@pytest.mark.parametrize(
    "old_file", sorted(path.name for path in OLD_FILES.glob("*.reedwright")), indirect=True
)
def test_an_old_file_opens_and_is_sound(old_file: Path) -> None:
    """Opened, it is at today's schema, nothing is wrong with it, and no table is empty."""
    open_workshop(old_file).close()
    report = check_workshop(old_file)
    assert report.schema == len(MIGRATIONS)
    assert report.problems == ()
    assert dict(report.records).keys() == METADATA.tables.keys()


@pytest.mark.parametrize("old_file", ["schema_0001.reedwright"], indirect=True)
def test_schema_1_holds_what_was_kept(old_file: Path) -> None:
    """All that the first schema knew comes back equal to what its script put in."""
    put_in = runpy.run_path(str(OLD_FILES / "make_schema_0001.py"))
    with open_workshop(old_file) as workshop:
        (job,) = workshop.jobs()
        assert (job.name, job.opened_on) == ("Two keys ♯♭", "2026-11-25")
        assert (job.owner_reference, job.notes, job.version) == ("card 17", "leaks", 1)
        (instrument,) = workshop.instruments(job.job_id)
        assert instrument.layout == put_in["LAYOUT"]
        assert (instrument.title, instrument.metal) == ("Invented", "steel")
        assert (instrument.frame_metal, instrument.a4_hz) == ("brass", 452.5)
        (recording,) = workshop.recordings()
        assert (recording.original_name, recording.media_type) == ("found.wav", "audio/wav")
        pieces = workshop.recording_pieces(recording.recording_id)
        assert b"".join(pieces) == put_in["RECORDING"]
        (survey,) = workshop.surveys(instrument.instrument_id)
        assert survey.survey == put_in["SURVEY"]
        assert survey.recording_id == recording.recording_id
        assert (survey.bench_pass, survey.operator) == (BenchPass.AFTER_1, "me")
        assert survey.made_at == "2026-11-25T14:03:00+00:00"
        (targets,) = workshop.target_sets(instrument.instrument_id)
        assert targets.targets == put_in["TARGETS"]
        assert (targets.scheme, targets.tolerance) == (put_in["SCHEME"], put_in["TOLERANCE"])
        (plans,) = workshop.plan_sets(instrument.instrument_id)
        assert plans.plans == put_in["PLANS"]
        assert (plans.survey_id, plans.target_set_id) == (survey.survey_id, targets.target_set_id)
        (table,) = workshop.typed_tables(instrument.instrument_id)
        assert table.rows == put_in["ROWS"]
        assert table.comment == "first pass"


@pytest.mark.parametrize("old_file", ["schema_0001.reedwright"], indirect=True)
def test_schema_1_goes_on_being_used(old_file: Path) -> None:
    """An old file takes new records, which do not disturb the old."""
    kept = [name for name, _ in check_workshop(old_file).records]
    assert len(kept) == 15
    with open_workshop(old_file) as workshop:
        (survey,) = workshop.surveys(1)
        again = workshop.save_survey(1, survey.survey, recording_id=None, made_at=survey.made_at)
        assert again.survey == survey.survey
        assert workshop.update_survey(replace(survey, comment="x")).version == survey.version + 1
        with workshop.snapshot() as connection:
            for name in kept:
                query = select(func.count()).select_from(METADATA.tables[name])
                assert connection.execute(query).scalar_one() > 0, name


@pytest.mark.parametrize("old_file", ["schema_0002.reedwright"], indirect=True)
def test_schema_2_holds_what_was_kept(old_file: Path) -> None:
    """Scrapes and paired readings come back equal to what the script put in."""
    put_in = runpy.run_path(str(OLD_FILES / "make_schema_0002.py"))
    with open_workshop(old_file) as workshop:
        (instrument,) = workshop.instruments()
        first, second = workshop.scrapes(instrument.instrument_id)
        assert (first.scrape, second.scrape) == put_in["SCRAPES"]
        assert (first.is_withdrawn, first.version) == (False, 1)
        assert (second.is_withdrawn, second.version) == (True, 2)
        assert (first.comment, first.scraped_at) == ("burr off", "2026-11-25T15:03:00+00:00")
        (pairs,) = workshop.offset_sets(instrument.instrument_id)
        assert pairs.pairs == put_in["PAIRS"]
        bench, closed = workshop.surveys(instrument.instrument_id)
        assert first.survey_id == second.survey_id == closed.survey_id
        assert (pairs.bench_survey_id, pairs.instrument_survey_id) == (
            bench.survey_id,
            closed.survey_id,
        )
