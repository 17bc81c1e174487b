"""The bench of a job: from survey, targets and scrapes to what to do with each reed now."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import pytest
from benchmarks.invented_records import invented_layout
from benchmarks.invented_surveys import survey_of_offsets

from reedwright.catalogue.tongues import load_filing_rules, load_metal, load_tongue_scale
from reedwright.catalogue.tools import load_bench_kit
from reedwright.catalogue.tunings import read_tunings
from reedwright.errors import InputError, NotFound
from reedwright.instrument.layout import Direction, Reed
from reedwright.instrument.reading import Conditions
from reedwright.jobs.bench_offsets import (
    SurveyPair,
    bench_targets_hz,
    job_offsets,
    keep_pairs,
    pair_of_surveys,
    pair_readings,
)
from reedwright.jobs.filing_work import Logged, ScrapeEntry, TongueSource, job_bench, log_scrape
from reedwright.jobs.ports import InstrumentRecord
from reedwright.jobs.reed_picture import reed_picture
from reedwright.reedwork.bench_offset import PlacedReed
from reedwright.reedwork.model import Zone
from reedwright.reedwork.scrapes import BenchReading, VisitVerdict
from reedwright.reedwork.visit import BenchState, next_visit, rate_of
from reedwright.store import Workshop, open_workshop
from reedwright.tuning import Scheme, Tolerance, targets_of

LAYOUT = invented_layout(4)
SCHEME = Scheme(440.0, read_tunings().temperament("equal"))
TARGETS = targets_of(LAYOUT, SCHEME)
NOW = "2026-11-25T14:03:00+00:00"
KIT = load_bench_kit()
SOURCE = TongueSource(load_metal("steel"), load_tongue_scale(), load_filing_rules(), {})
FLAT, SHARP, TRUE = LAYOUT.reeds()[0], LAYOUT.reeds()[3], LAYOUT.reeds()[6]
FOUND = {FLAT: -12.0, SHARP: 9.0}
BENCH = Conditions(is_on_bench=True, is_end_on=None)


@dataclass
class Job:
    """A job in a workshop, with calls that spare repetition."""

    workshop: Workshop
    instrument: InstrumentRecord

    def survey(self, offsets: dict[Reed, float], conditions: Conditions | None = None) -> int:
        """Keep a survey and return its number."""
        survey = survey_of_offsets(LAYOUT, TARGETS, offsets, conditions=conditions)
        return self.workshop.save_survey(
            self.instrument.instrument_id, survey, recording_id=None, made_at=NOW
        ).survey_id

    def targets(self, scheme: Scheme = SCHEME) -> None:
        """Keep targets."""
        self.workshop.save_targets(
            self.instrument.instrument_id,
            targets_of(LAYOUT, scheme),
            scheme=scheme,
            tolerance=Tolerance(2.0, 2.0),
            made_at=NOW,
        )

    def bench(self, tolerance: Tolerance | None = None) -> BenchState:
        """Return the bench as it stands."""
        return job_bench(
            self.workshop, self.instrument, kit=KIT, source=SOURCE, tolerance=tolerance
        )

    def log(
        self, reed: Reed, after: float, *, zone: Zone = Zone.TIP, before: float | None = None
    ) -> Logged:
        """Log twenty strokes of the fine file."""
        entry = ScrapeEntry(
            reed=reed,
            zone=zone,
            tool="fine-file",
            strokes=20,
            before_cents=before,
            after_cents=after,
            doubt_cents=0.1,
            minutes_since_filing=None,
            comment="burr off",
        )
        return log_scrape(self.workshop, self.instrument, self.bench(), entry, now=NOW)


@pytest.fixture
def job(tmp_path: Path) -> Iterator[Job]:
    """Yield a job without survey or targets."""
    with open_workshop(tmp_path / "a.reedwright", create=True) as workshop:
        opened = workshop.add_job(name="treble", opened_on="2026-11-25")
        instrument = workshop.add_instrument(
            opened.job_id, title="treble", layout=LAYOUT, metal="steel", frame_metal="brass"
        )
        yield Job(workshop, instrument)


@pytest.fixture
def read_job(job: Job) -> Job:
    """Return a job that was surveyed closed and has its targets."""
    job.survey(FOUND)
    job.targets()
    return job


def offset(state: BenchState, reed: Reed) -> float:
    """Return where a reed is known to stand."""
    value = state.at(reed).offset_cents
    assert value is not None
    return value


def test_the_bench_begins_with_the_survey(read_job: Job) -> None:
    """Reeds stand where they were heard, and are advised by it."""
    state = read_job.bench()
    assert offset(state, FLAT) == pytest.approx(-12.0)
    assert state.at(FLAT).doubt_cents == pytest.approx(0.1)
    assert next_visit(state, FLAT).zone is Zone.TIP
    assert next_visit(state, SHARP).zone is Zone.ROOT
    assert next_visit(state, TRUE).verdict is VisitVerdict.LEAVE


def test_a_grade_takes_the_place_of_the_kept_tolerance(read_job: Job) -> None:
    """At 2 cents by the targets, at 1 on request."""
    assert read_job.bench().at(FLAT).reed.tolerance_cents == 2.0
    assert read_job.bench(Tolerance(1.0, 1.0)).at(FLAT).reed.tolerance_cents == 1.0


def test_a_logged_scrape_moves_the_reed_and_teaches(read_job: Job) -> None:
    """The record says what was foretold; the bench built anew knows where the reed stands."""
    before = read_job.bench()
    logged = read_job.log(FLAT, -4.0)
    scrape = logged.record.scrape
    assert scrape.before.offset_cents == pytest.approx(-12.0)
    assert scrape.before.doubt_cents == pytest.approx(0.1)
    assert scrape.after == BenchReading(-4.0, 0.1)
    assert scrape.shift_cents == pytest.approx(8.0)
    assert scrape.predicted_cents == pytest.approx(
        rate_of(before, FLAT, zone=Zone.TIP, tool="fine-file").shift(20).expected_cents
    )
    after = read_job.bench()
    assert offset(after, FLAT) == pytest.approx(-4.0, abs=0.1)
    assert logged.advice == next_visit(after, FLAT)
    for reed in (FLAT, SHARP):
        rates = [
            rate_of(state, reed, zone=Zone.TIP, tool="fine-file").cents_per_stroke
            for state in (before, after)
        ]
        assert rates[1] > 1.2 * rates[0]


def test_readings_at_the_bench_count_as_differences(read_job: Job) -> None:
    """From 7 flat to 3 flat on another scale is 4 up from where the survey had it."""
    read_job.log(FLAT, -3.0, before=-7.0)
    state = read_job.bench()
    assert offset(state, FLAT) == pytest.approx(-8.0, abs=0.1)
    assert state.at(FLAT).doubt_cents == pytest.approx(0.1 * 2.0**0.5, rel=0.05)
    read_job.log(FLAT, -2.0)
    assert read_job.bench().at(FLAT).doubt_cents == pytest.approx(0.1, rel=0.05)


def test_scrapes_before_the_latest_survey_teach_but_do_not_move(read_job: Job) -> None:
    """Surveyed again, the reed stands where it was heard; its metal is still gone."""
    read_job.log(FLAT, -4.0)
    taught = rate_of(read_job.bench(), SHARP, zone=Zone.TIP, tool="fine-file")
    read_job.survey({FLAT: -5.0})
    state = read_job.bench()
    assert offset(state, FLAT) == pytest.approx(-5.0)
    again = rate_of(state, SHARP, zone=Zone.TIP, tool="fine-file")
    assert again.cents_per_stroke == pytest.approx(taught.cents_per_stroke, rel=0.02)
    removed = dict(state.at(FLAT).removed_um)[Zone.TIP]
    assert removed == pytest.approx(8.0 / state.at(FLAT).reed.tip.cents_per_um, rel=0.05)
    assert len(state.at(FLAT).scrapes) == 1


def test_a_withdrawn_scrape_is_as_if_it_never_was(read_job: Job) -> None:
    """Belief and rates are those from before it was logged."""
    before = read_job.bench()
    record = read_job.log(FLAT, -4.0).record
    read_job.workshop.update_scrape(replace(record, is_withdrawn=True))
    after = read_job.bench()
    assert offset(after, FLAT) == offset(before, FLAT)
    assert after.at(FLAT).scrapes == ()
    assert rate_of(after, FLAT, zone=Zone.TIP, tool="fine-file") == rate_of(
        before, FLAT, zone=Zone.TIP, tool="fine-file"
    )


def test_the_tool_is_known_on_the_next_instrument(read_job: Job) -> None:
    """Another job's reeds begin with what this one taught of the file, and nothing of its reeds."""
    read_job.log(FLAT, -4.0)
    shop = read_job.workshop
    second = shop.add_job(name="second", opened_on="2026-11-26")
    instrument = shop.add_instrument(
        second.job_id, title="second", layout=LAYOUT, metal="steel", frame_metal="brass"
    )
    other = Job(shop, instrument)
    other.survey(FOUND)
    other.targets()
    here = rate_of(read_job.bench(), SHARP, zone=Zone.TIP, tool="fine-file")
    there = rate_of(other.bench(), SHARP, zone=Zone.TIP, tool="fine-file")
    same = rate_of(other.bench(), FLAT, zone=Zone.TIP, tool="fine-file")
    model = there.cents_per_stroke / other.bench().at(SHARP).reed.tip.cents_per_um
    assert there.cents_per_stroke == pytest.approx(here.cents_per_stroke, rel=1e-6)
    assert same.cents_per_stroke / other.bench().at(FLAT).reed.tip.cents_per_um == pytest.approx(
        model, rel=0.1
    )
    assert same.doubt_fraction > 0.25
    assert not any(name.startswith("reed ") for name in other.bench().factors.names)


def test_other_targets_move_what_was_logged(read_job: Job) -> None:
    """At 442 Hz every offset is 7.85 cents lower, the scraped reed's too."""
    read_job.log(FLAT, -4.0)
    read_job.targets(Scheme(442.0, SCHEME.temperament))
    state = read_job.bench()
    assert offset(state, FLAT) == pytest.approx(-4.0 - 7.851, abs=0.15)
    assert offset(state, SHARP) == pytest.approx(9.0 - 7.851, abs=0.01)


def test_what_is_missing_is_named(job: Job) -> None:
    """No survey, no targets, a tool that is none, a reed that was not heard."""
    with pytest.raises(NotFound, match="has not been surveyed"):
        job.bench()
    job.survey(FOUND)
    with pytest.raises(NotFound, match="has no targets yet"):
        job.bench()
    job.targets()
    entry = ScrapeEntry(FLAT, Zone.TIP, "axe", 3, None, -1.0, 0.1, None, "")
    with pytest.raises(NotFound, match="no tool 'axe'"):
        log_scrape(job.workshop, job.instrument, job.bench(), entry, now=NOW)
    state = job.bench()
    silent = replace(state.at(FLAT), offset_cents=None, doubt_cents=None)
    state = replace(state, reeds={**state.reeds, FLAT: silent})
    with pytest.raises(InputError, match="give --before-cents"):
        log_scrape(job.workshop, job.instrument, state, replace(entry, tool="fine-file"), now=NOW)
    assert job.workshop.scrapes() == ()


def test_a_silent_reed_can_be_logged_from_a_typed_offset(read_job: Job) -> None:
    """Not heard in the survey but read at the bench: it stands where that leaves it."""
    survey = survey_of_offsets(LAYOUT, TARGETS, FOUND)
    kept = tuple(r for r in survey.readings if (r.key, r.direction) != (FLAT.key, FLAT.direction))
    read_job.workshop.save_survey(
        read_job.instrument.instrument_id,
        replace(survey, readings=kept),
        recording_id=None,
        made_at=NOW,
    )
    assert read_job.bench().at(FLAT).offset_cents is None
    read_job.log(FLAT, -3.0, before=-9.0)
    assert offset(read_job.bench(), FLAT) == pytest.approx(-3.0, abs=0.2)


def test_a_picture_holds_what_the_bench_knows(read_job: Job) -> None:
    """Zone and way to go before, history and rate after; nothing to remove when done."""
    picture = reed_picture(read_job.bench(), LAYOUT, FLAT, source=SOURCE)
    assert picture.response is not None
    assert picture.response.zone is Zone.TIP
    assert picture.to_remove_um == pytest.approx(12.0 / picture.response.cents_per_um)
    assert (picture.scrapes, picture.removed_um) == ((), 0.0)
    read_job.log(FLAT, -0.2)
    done = reed_picture(read_job.bench(), LAYOUT, FLAT, source=SOURCE)
    assert done.advice.verdict is VisitVerdict.LEAVE
    assert done.to_remove_um == 0.0
    assert done.removed_um == pytest.approx(11.8 / picture.response.cents_per_um, rel=0.05)
    assert done.rate is not None
    assert done.rate.tool == "fine-file"
    assert len(done.scrapes) == 1
    left = reed_picture(read_job.bench(), LAYOUT, TRUE, source=SOURCE)
    assert (left.response, left.rate) == (None, None)


# ---- bench against closed instrument ----


def test_two_surveys_give_a_pair_for_every_reed(read_job: Job) -> None:
    """Closed minus bench, 3 cents for all: learned, kept once, and turned into bench targets."""
    read_job.survey({reed: FOUND.get(reed, 0.0) - 3.0 for reed in LAYOUT.reeds()}, BENCH)
    pair = pair_of_surveys(read_job.workshop, read_job.instrument)
    kept = keep_pairs(read_job.workshop, read_job.instrument, pair, now=NOW)
    assert len(kept.pairs) == len(LAYOUT.reeds())
    assert all(each.offset_cents == pytest.approx(3.0) for each in kept.pairs)
    assert kept.pairs[0].doubt_cents == pytest.approx(0.1 * 2.0**0.5)
    assert keep_pairs(read_job.workshop, read_job.instrument, pair, now=NOW) == kept
    places = [PlacedReed(Reed(t.key, t.direction), t.frequency_hz) for t in TARGETS]
    offsets = job_offsets(read_job.workshop, read_job.instrument, places, rules=KIT.offsets)
    assert all(each.offset_cents == pytest.approx(3.0, abs=0.1) for each in offsets)
    bench_hz = bench_targets_hz(TARGETS, offsets)
    assert bench_hz[0] == pytest.approx(
        TARGETS[0].frequency_hz * 2.0 ** (-offsets[0].offset_cents / 1200.0)
    )


def test_a_bench_survey_is_read_through_the_offsets(read_job: Job) -> None:
    """Heard 15 flat on the bench, 3 more closed: 12 flat, with the doubt of the offset shared."""
    read_job.survey({reed: FOUND.get(reed, 0.0) - 3.0 for reed in LAYOUT.reeds()}, BENCH)
    unpaired = read_job.bench().at(FLAT)
    pair = pair_of_surveys(read_job.workshop, read_job.instrument)
    keep_pairs(read_job.workshop, read_job.instrument, pair, now=NOW)
    paired = read_job.bench().at(FLAT)
    assert unpaired.offset_cents == pytest.approx(-15.0)
    assert unpaired.common_doubt_cents > 4.0
    assert paired.offset_cents == pytest.approx(-12.0, abs=0.2)
    assert 0.1 < paired.common_doubt_cents < 1.5
    assert paired.is_by_offset
    near = next_visit(read_job.bench(Tolerance(0.5, 0.5)), TRUE)
    assert near.verdict is VisitVerdict.CHECK_IN_INSTRUMENT


def test_reeds_filed_between_the_surveys_are_not_paired(read_job: Job) -> None:
    """Their metal is another; those filed before or after are paired."""
    read_job.log(FLAT, -4.0)
    read_job.survey({}, BENCH)
    read_job.log(SHARP, 1.0, zone=Zone.ROOT)
    pair = pair_of_surveys(read_job.workshop, read_job.instrument)
    scrapes = read_job.workshop.scrapes(read_job.instrument.instrument_id)
    paired = {each.place.reed for each in pair_readings(pair, scrapes)}
    assert paired == set(LAYOUT.reeds()) - {FLAT}


def test_surveys_of_the_wrong_kind_are_refused(read_job: Job) -> None:
    """No bench survey yet; a closed one named as one; a number that is not there."""
    with pytest.raises(NotFound, match="no survey made on the bench; record one with --on-bench"):
        pair_of_surveys(read_job.workshop, read_job.instrument)
    with pytest.raises(InputError, match="survey 1 should be one made on the bench"):
        pair_of_surveys(read_job.workshop, read_job.instrument, bench_survey_id=1)
    with pytest.raises(NotFound, match="no survey number 9; its surveys are 1"):
        pair_of_surveys(read_job.workshop, read_job.instrument, bench_survey_id=9)
    read_job.survey({}, replace(BENCH, is_on_bench=False, is_end_on=False))
    read_job.survey({}, BENCH)
    pair = pair_of_surveys(read_job.workshop, read_job.instrument)
    assert (pair.bench.survey_id, pair.closed.survey_id) == (3, 1)
    nothing = SurveyPair(pair.bench, replace(pair.closed, survey=replace(
        pair.closed.survey, readings=())))  # fmt: skip
    with pytest.raises(InputError, match="surveys 3 and 1 have none"):
        pair_readings(nothing, ())


def test_directions_are_those_of_the_layout() -> None:
    """The reeds used above are of both directions."""
    assert {FLAT.direction, SHARP.direction} == set(Direction)
