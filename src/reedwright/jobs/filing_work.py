"""The bench of a job: what is known of its reeds, scrapes logged, the work in order.

The bench is not kept: it is built anew from the latest survey, the latest targets and
all scrapes of the workshop, so that a correction of any of them is a correction of all.
What all readings of a survey share (clock, warmth) moves the whole instrument alike; it
is told with the targets and left out here, where reed is weighed against reed.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from reedwright.errors import InputError, NotFound
from reedwright.instrument.layout import Layout, Reed
from reedwright.instrument.target import Target
from reedwright.jobs.bench_offsets import job_offsets
from reedwright.jobs.keeping import latest_survey
from reedwright.jobs.ports import (
    InstrumentRecord,
    ScrapeRecord,
    SurveyRecord,
    TargetRecord,
    WorkshopStore,
)
from reedwright.jobs.scrape_history import replayed, taught_before
from reedwright.reedwork import calibrated, default_tongue
from reedwright.reedwork.bench_kit import BenchKit
from reedwright.reedwork.bench_offset import BenchOffset, PlacedReed, on_the_bench
from reedwright.reedwork.model import FilingRules, Metal, Tongue, TongueScale, Zone
from reedwright.reedwork.response import bench_reed
from reedwright.reedwork.scrapes import Advice, BenchReading, BenchReed, Scrape
from reedwright.reedwork.visit import (
    BenchState,
    begin_bench,
    next_visit,
    rate_of,
    record_reading,
)
from reedwright.tuning import Tolerance, reed_offsets, tolerances_cents

__all__ = ["Logged", "ScrapeEntry", "TongueSource", "job_bench", "latest_targets", "log_scrape"]

#: No reading of a survey counts as surer than this against another, cents: what pressure
#: and hand leave between two readings of one reed at best (common practice, no source).
SUREST_CENTS = 0.02


@dataclass(frozen=True, slots=True)
class TongueSource:
    """Where the tongues come from: measured ones, and the scale for the others."""

    metal: Metal
    scale: TongueScale
    rules: FilingRules
    measured: Mapping[Reed, Tongue]


@dataclass(frozen=True, slots=True)
class ScrapeEntry:
    """A scrape as a person logs it, offsets re the reed's target.

    ``before_cents`` is None for where the reed was last known to stand.
    """

    reed: Reed
    zone: Zone
    tool: str
    strokes: int
    before_cents: float | None
    after_cents: float
    doubt_cents: float
    minutes_since_filing: float | None
    comment: str


@dataclass(frozen=True, slots=True)
class Logged:
    """A scrape that was kept, and what is advised for its reed now."""

    record: ScrapeRecord
    advice: Advice


def job_bench(
    store: WorkshopStore,
    instrument: InstrumentRecord,
    *,
    kit: BenchKit,
    source: TongueSource,
    tolerance: Tolerance | None = None,
) -> BenchState:
    """Return the bench of an instrument as it stands now.

    ``tolerance`` takes the place of that kept with the targets. Reeds not heard, or
    heard in doubt, stand at the bench without a reading.

    Raises
    ------
    NotFound
        If there is no survey or there are no targets yet.
    """
    survey = latest_survey(store, instrument)
    targets = latest_targets(store, instrument)
    tolerance = tolerance or targets.tolerance
    readings = _readings(instrument.layout, survey, targets)
    if survey.survey.conditions.is_on_bench:
        readings = _brought_over(readings, targets.targets, store, instrument, kit)
    limits = tolerances_cents(targets.targets, tolerance)
    reeds = [
        _reed(target, limit, readings.get(Reed(target.key, target.direction)), source, instrument)
        for target, limit in zip(targets.targets, limits, strict=True)
    ]
    scrapes = [record for record in store.scrapes() if not record.is_withdrawn]
    state = begin_bench(
        reeds,
        kit.tools,
        learning=kit.learning,
        rules=replace(kit.visits, largest_change_cents=source.rules.largest_change_cents),
        factors=taught_before(scrapes, instrument, survey, kit),
    )
    for reed, reading in readings.items():
        state = record_reading(state, reed, reading)
    for record in scrapes:
        if record.instrument_id == instrument.instrument_id:
            state = replayed(state, record.scrape, is_new=record.survey_id == survey.survey_id)
    return state


def log_scrape(
    store: WorkshopStore,
    instrument: InstrumentRecord,
    state: BenchState,
    entry: ScrapeEntry,
    *,
    now: str,
) -> Logged:
    """Keep a scrape and return it with what to do next.

    Raises
    ------
    NotFound
        If the reed or the tool is not at this bench.
    InputError
        If the reed was never read and no offset before is given.
    """
    own = state.at(entry.reed)
    if own.offset_cents is None and entry.before_cents is None:
        raise InputError(
            f"a scrape needs to be known from where, {own.reed.name} was not heard in the survey; "
            "give --before-cents"
        )
    survey = store.latest_survey(instrument.instrument_id)
    predicted = rate_of(state, entry.reed, zone=entry.zone, tool=entry.tool).shift(
        max(entry.strokes, 1)
    )
    if entry.before_cents is None:
        before = BenchReading(own.offset_cents or 0.0, own.doubt_cents or entry.doubt_cents)
    else:
        before = BenchReading(entry.before_cents, entry.doubt_cents)
    scrape = Scrape(
        reed=entry.reed,
        frequency_hz=own.reed.frequency_hz,
        metal=own.reed.metal,
        zone=entry.zone,
        tool=entry.tool,
        strokes=entry.strokes,
        cents_per_um=own.reed.response(entry.zone).cents_per_um,
        before=before,
        after=BenchReading(
            entry.after_cents,
            entry.doubt_cents,
            minutes_since_filing=entry.minutes_since_filing,
        ),
        predicted_cents=predicted.expected_cents,
        predicted_doubt_cents=predicted.doubt_cents,
    )
    record = store.save_scrape(
        instrument.instrument_id,
        scrape,
        survey_id=None if survey is None else survey.survey_id,
        scraped_at=now,
        comment=entry.comment,
    )
    state = replayed(state, scrape, is_new=True)
    return Logged(record, next_visit(state, entry.reed))


def latest_targets(store: WorkshopStore, instrument: InstrumentRecord) -> TargetRecord:
    """Return the targets kept last; NotFound if there are none."""
    record = store.latest_targets(instrument.instrument_id)
    if record is None:
        raise NotFound(
            f"{instrument.title!r} has no targets yet; run 'targets' or 'plan' for it first"
        )
    return record


def _readings(
    layout: Layout, survey: SurveyRecord, targets: TargetRecord
) -> dict[Reed, BenchReading]:
    """Return the readings of a survey that are beyond doubt, each reed against its target."""
    offsets = reed_offsets(
        layout,
        survey.survey,
        targets.targets,
        tolerance=targets.tolerance,
        include_common_doubt=False,
    )
    return {
        Reed(each.target.key, each.target.direction): BenchReading(
            each.offset_cents, max(each.doubt_cents, SUREST_CENTS)
        )
        for each in offsets
        if each.offset_cents is not None and each.doubt_cents is not None and each.doubt is None
    }


def _brought_over(
    readings: Mapping[Reed, BenchReading],
    targets: Sequence[Target],
    store: WorkshopStore,
    instrument: InstrumentRecord,
    kit: BenchKit,
) -> dict[Reed, BenchReading]:
    """Return readings of the bench as the reeds will stand in the closed instrument."""
    places = [
        PlacedReed(Reed(target.key, target.direction), target.frequency_hz) for target in targets
    ]
    offsets: dict[Reed, BenchOffset] = {
        offset.reed: offset for offset in job_offsets(store, instrument, places, rules=kit.offsets)
    }
    return {reed: on_the_bench(reading, offsets[reed]) for reed, reading in readings.items()}


def _reed(
    target: Target,
    tolerance_cents: float,
    reading: BenchReading | None,
    source: TongueSource,
    instrument: InstrumentRecord,
) -> BenchReed:
    """Return a reed of the bench, its tongue measured or assumed, sounding as it was heard."""
    reed = Reed(target.key, target.direction)
    tongue = source.measured.get(reed) or default_tongue(
        source.scale, source.metal, frequency_hz=target.frequency_hz
    )
    if reading is not None:
        heard_hz = target.frequency_hz * math.exp2(reading.offset_cents / 1200.0)
        tongue, _ = calibrated(tongue, frequency_hz=heard_hz)
    return bench_reed(
        tongue,
        reed=reed,
        frequency_hz=target.frequency_hz,
        tolerance_cents=tolerance_cents,
        rules=source.rules,
        instrument=str(instrument.instrument_id),
    )
