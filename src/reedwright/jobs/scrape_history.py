"""What the scrapes of a workshop teach, and where they leave a reed."""

import math
from collections.abc import Iterable
from dataclasses import replace

from reedwright.jobs.ports import InstrumentRecord, ScrapeRecord, SurveyRecord
from reedwright.reedwork.bench_kit import BenchKit
from reedwright.reedwork.learning import Factors, hear_scrape, no_scrapes_yet, of_tools
from reedwright.reedwork.scrapes import BenchReed, FilingTool, Scrape, ZoneResponse
from reedwright.reedwork.visit import BenchState, record_reading, record_visit
from reedwright.units import cents_from_ratio

__all__ = ["replayed", "taught_before"]


def taught_before(
    scrapes: Iterable[ScrapeRecord],
    instrument: InstrumentRecord,
    survey: SurveyRecord,
    kit: BenchKit,
) -> Factors:
    """Return what the scrapes of other instruments taught, and this one's before its survey.

    A tool that is no longer in the file teaches nothing.
    """
    tools = {tool.tool: tool for tool in kit.tools}
    earlier = [record for record in scrapes if record.scrape.tool in tools]
    factors = no_scrapes_yet()
    others = sorted({record.instrument_id for record in earlier} - {instrument.instrument_id})
    for instrument_id in others:
        for record in earlier:
            if record.instrument_id == instrument_id:
                factors = _learned(factors, record, tools[record.scrape.tool], kit)
        factors = of_tools(factors)
    for record in earlier:
        is_own = record.instrument_id == instrument.instrument_id
        if is_own and record.survey_id != survey.survey_id:
            factors = _learned(factors, record, tools[record.scrape.tool], kit)
    return factors


def _learned(factors: Factors, record: ScrapeRecord, tool: FilingTool, kit: BenchKit) -> Factors:
    scrape = record.scrape
    response = ZoneResponse(scrape.zone, scrape.cents_per_um, math.inf)
    reed = BenchReed(
        reed=scrape.reed,
        frequency_hz=scrape.frequency_hz,
        metal=scrape.metal,
        tolerance_cents=1.0,
        tip=response,
        root=response,
        instrument=str(record.instrument_id),
    )
    return hear_scrape(
        factors,
        reed,
        scrape.zone,
        tool,
        strokes=scrape.strokes,
        before_cents=scrape.before.offset_cents,
        before_doubt_cents=scrape.before.doubt_cents,
        after_cents=scrape.after.offset_cents,
        after_doubt_cents=scrape.after.doubt_cents,
        rules=kit.learning,
    ).factors


def replayed(state: BenchState, scrape: Scrape, *, is_new: bool) -> BenchState:
    """Return the bench after a scrape: metal gone, and if it is new, the reed moved.

    Readings at the bench count as differences: the reed moves from where it was known
    to stand by what they differ.
    """
    own = state.reeds.get(scrape.reed)
    if own is None:
        return state
    if not is_new:
        response = own.reed.response(scrape.zone)
        removed = dict(own.removed_um)
        gone = max(scrape.shift_cents, 0.0) / response.cents_per_um
        removed[scrape.zone] = removed.get(scrape.zone, 0.0) + gone
        kept = replace(own, removed_um=tuple(removed.items()), scrapes=(*own.scrapes, scrape))
        return replace(state, reeds={**state.reeds, scrape.reed: kept})
    moved_target = cents_from_ratio(scrape.frequency_hz / own.reed.frequency_hz)
    if own.offset_cents is None:
        before = replace(scrape.before, offset_cents=scrape.before.offset_cents + moved_target)
        state = record_reading(state, scrape.reed, before)
        own = state.at(scrape.reed)
    stood = own.offset_cents or 0.0
    is_chained = abs(stood - moved_target - scrape.before.offset_cents) < 1e-9
    doubt = scrape.after.doubt_cents
    after = replace(
        scrape.after,
        offset_cents=stood + scrape.after.offset_cents - scrape.before.offset_cents,
        doubt_cents=doubt if is_chained else math.hypot(doubt, scrape.before.doubt_cents),
        common_doubt_cents=own.common_doubt_cents,
        is_by_offset=own.is_by_offset,
    )
    if all(tool.tool != scrape.tool for tool in state.tools):
        return record_reading(state, scrape.reed, after, is_new_occasion=True)
    moved = record_visit(
        state,
        scrape.reed,
        zone=scrape.zone,
        tool=scrape.tool,
        strokes=scrape.strokes,
        after=after,
    )
    own = moved.at(scrape.reed)
    told = replace(
        own.scrapes[-1],
        before=scrape.before,
        after=scrape.after,
        predicted_cents=scrape.predicted_cents,
        predicted_doubt_cents=scrape.predicted_doubt_cents,
    )
    own = replace(own, scrapes=(*own.scrapes[:-1], told))
    return replace(moved, reeds={**moved.reeds, scrape.reed: own})
