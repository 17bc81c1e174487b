"""How the closed instrument differs from the bench, from two surveys of a job."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from reedwright.errors import InputError, NotFound
from reedwright.instrument.layout import Reed
from reedwright.instrument.reading import Reading, Survey
from reedwright.instrument.target import Target
from reedwright.jobs.ports import (
    InstrumentRecord,
    OffsetRecord,
    ScrapeRecord,
    SurveyRecord,
    WorkshopStore,
)
from reedwright.reedwork.bench_offset import (
    BenchOffset,
    OffsetRules,
    PairedReading,
    PlacedReed,
    fitted_rules,
    learn_offsets,
)
from reedwright.units import cents_from_ratio, ratio_from_cents

__all__ = [
    "SurveyPair",
    "bench_targets_hz",
    "job_offsets",
    "keep_pairs",
    "pair_of_surveys",
    "pair_readings",
]

_FEWEST_PAIRS = 1
#: No reading counts as surer than this, cents (common practice, no source).
_SUREST_CENTS = 0.02


@dataclass(frozen=True, slots=True)
class SurveyPair:
    """Two surveys to be paired: on the bench, and closed with the end on."""

    bench: SurveyRecord
    closed: SurveyRecord


def pair_of_surveys(
    store: WorkshopStore,
    instrument: InstrumentRecord,
    *,
    bench_survey_id: int | None = None,
    instrument_survey_id: int | None = None,
) -> SurveyPair:
    """Return the two surveys asked for, or the latest of each kind.

    Raises
    ------
    NotFound
        If there is no survey of a kind.
    InputError
        If a survey asked for was made under the other condition.
    """
    surveys = store.surveys(instrument.instrument_id)
    bench = _chosen(surveys, bench_survey_id, is_on_bench=True)
    closed = _chosen(surveys, instrument_survey_id, is_on_bench=False)
    return SurveyPair(bench, closed)


def pair_readings(pair: SurveyPair, scrapes: Sequence[ScrapeRecord]) -> tuple[PairedReading, ...]:
    """Return instrument minus bench of every reed heard without doubt in both surveys.

    Reeds filed between the two surveys are left out: their metal is another. The doubt
    holds the reeds' own doubts, not what each survey shares (clock, warmth): that is
    one level for all reeds, which the offset's level takes up.

    Raises
    ------
    InputError
        If no reed is left to pair.
    """
    first, last = sorted((pair.bench.survey_id, pair.closed.survey_id))
    filed = {
        record.scrape.reed
        for record in scrapes
        if record.survey_id is not None
        and first <= record.survey_id < last
        and not record.is_withdrawn
    }
    bench, closed = _heard(pair.bench.survey), _heard(pair.closed.survey)
    pairs = tuple(
        PairedReading(
            PlacedReed(reed, bench[reed][0]),
            cents_from_ratio(closed[reed][0] / bench[reed][0]),
            math.hypot(bench[reed][1], closed[reed][1]),
        )
        for reed in bench
        if reed in closed and reed not in filed
    )
    if len(pairs) < _FEWEST_PAIRS:
        raise InputError(
            "an offset is learned from reeds heard in both surveys with nothing filed between, "
            f"surveys {pair.bench.survey_id} and {pair.closed.survey_id} have none; record both "
            "again"
        )
    return pairs


def keep_pairs(
    store: WorkshopStore, instrument: InstrumentRecord, pair: SurveyPair, *, now: str
) -> OffsetRecord:
    """Keep the paired readings of two surveys; those of the same two are not kept twice."""
    for kept in store.offset_sets(instrument.instrument_id):
        surveys = (kept.bench_survey_id, kept.instrument_survey_id)
        if surveys == (pair.bench.survey_id, pair.closed.survey_id):
            return kept
    return store.save_offset_pairs(
        pair_readings(pair, store.scrapes(instrument.instrument_id)),
        bench_survey_id=pair.bench.survey_id,
        instrument_survey_id=pair.closed.survey_id,
        made_at=now,
    )


def job_offsets(
    store: WorkshopStore,
    instrument: InstrumentRecord,
    places: Sequence[PlacedReed],
    *,
    rules: OffsetRules,
) -> tuple[BenchOffset, ...]:
    """Return the offset of each reed, learned from all pairs kept of an instrument."""
    pairs = [pair for kept in store.offset_sets(instrument.instrument_id) for pair in kept.pairs]
    return learn_offsets(pairs, places, rules=fitted_rules(pairs, rules=rules))


def bench_targets_hz(
    targets: Sequence[Target], offsets: Sequence[BenchOffset]
) -> tuple[float, ...]:
    """Return what each reed should sound on the bench to be right in the closed instrument."""
    by_reed = {offset.reed: offset.offset_cents for offset in offsets}
    return tuple(
        target.frequency_hz * ratio_from_cents(-by_reed[Reed(target.key, target.direction)])
        for target in targets
    )


def _chosen(
    surveys: Sequence[SurveyRecord], survey_id: int | None, *, is_on_bench: bool
) -> SurveyRecord:
    where = "on the bench" if is_on_bench else "in the closed instrument"
    option = "with --on-bench" if is_on_bench else "without --on-bench and --end-off"
    if survey_id is not None:
        for survey in surveys:
            if survey.survey_id == survey_id:
                if _is_of(survey, is_on_bench=is_on_bench):
                    return survey
                raise InputError(
                    f"survey {survey_id} should be one made {where}, it was made otherwise; name "
                    f"another, or record one {option}"
                )
        raise NotFound(
            f"this job has no survey number {survey_id}; its surveys are {_ids(surveys)}"
        )
    for survey in reversed(surveys):
        if _is_of(survey, is_on_bench=is_on_bench):
            return survey
    raise NotFound(f"this job has no survey made {where}; record one {option}")


def _is_of(survey: SurveyRecord, *, is_on_bench: bool) -> bool:
    conditions = survey.survey.conditions
    if is_on_bench:
        return conditions.is_on_bench
    return not conditions.is_on_bench and conditions.is_end_on is True


def _ids(surveys: Sequence[SurveyRecord]) -> str:
    return ", ".join(str(survey.survey_id) for survey in surveys) or "none"


def _heard(survey: Survey) -> dict[Reed, tuple[float, float]]:
    """Return pitch and own doubt of each reed heard without doubt, its readings weighed."""
    by_reed: dict[Reed, list[Reading]] = {}
    for reading in survey.readings:
        if reading.doubt is None:
            by_reed.setdefault(Reed(reading.key, reading.direction), []).append(reading)
    heard = {}
    for reed, readings in by_reed.items():
        start_hz = readings[0].tone.frequency_hz
        doubts = [max(r.doubt_budget.own_cents, _SUREST_CENTS) for r in readings]
        weights = [1.0 / doubt**2 for doubt in doubts]
        offsets = [cents_from_ratio(r.tone.frequency_hz / start_hz) for r in readings]
        mean = math.fsum(w * o for w, o in zip(weights, offsets, strict=True)) / sum(weights)
        heard[reed] = (start_hz * math.exp2(mean / 1200.0), 1.0 / math.sqrt(sum(weights)))
    return heard
