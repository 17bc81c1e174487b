"""One reed as it is to be drawn: its tongue, where to file it, what was filed and what it did."""

import math
from dataclasses import dataclass

from reedwright.instrument.layout import Layout, Reed
from reedwright.instrument.note import SpelledNote
from reedwright.jobs.filing_work import TongueSource
from reedwright.reedwork import calibrated, default_tongue, examine_tongue
from reedwright.reedwork.model import Tongue, TongueModes, Zone
from reedwright.reedwork.scrapes import Advice, Scrape, StrokeRate, VisitVerdict, ZoneResponse
from reedwright.reedwork.visit import BenchState, next_visit, rate_of

__all__ = ["ReedPicture", "reed_picture"]


@dataclass(frozen=True, slots=True)
class ReedPicture:
    """What is drawn of a reed.

    ``tongue`` sounds as it was heard. ``response`` is that of the end to be filed, or
    of the end that was filed last, None where there is neither. ``removed_um`` came off
    it in the scrapes, ``to_remove_um`` is still to come off to reach the target, both by
    the pitch it moves. ``rate`` is what a stroke of the tool advised, or used last, does.
    """

    reed: Reed
    note: SpelledNote
    target_hz: float
    tongue: Tongue
    modes: TongueModes
    advice: Advice
    response: ZoneResponse | None
    removed_um: float
    to_remove_um: float
    rate: StrokeRate | None
    scrapes: tuple[Scrape, ...]


def reed_picture(
    state: BenchState, layout: Layout, reed: Reed, *, source: TongueSource
) -> ReedPicture:
    """Return what is to be drawn of a reed of the bench.

    Raises
    ------
    NotFound
        If the reed is not at this bench.
    InputError
        If it was not read yet.
    """
    own = state.at(reed)
    advice = next_visit(state, reed)
    offset_cents = own.offset_cents or 0.0
    tongue = source.measured.get(reed) or default_tongue(
        source.scale, source.metal, frequency_hz=own.reed.frequency_hz
    )
    heard_hz = own.reed.frequency_hz * math.exp2(offset_cents / 1200.0)
    tongue, _ = calibrated(tongue, frequency_hz=heard_hz)
    zone, tool = _zone_and_tool(advice, own.scrapes)
    response = None if zone is None else own.reed.response(zone)
    is_to_file = advice.verdict is VisitVerdict.FILE
    return ReedPicture(
        reed=reed,
        note=layout.note(reed),
        target_hz=own.reed.frequency_hz,
        tongue=tongue,
        modes=examine_tongue(tongue),
        advice=advice,
        response=response,
        removed_um=0.0 if zone is None else dict(own.removed_um).get(zone, 0.0),
        to_remove_um=abs(offset_cents) / response.cents_per_um if response and is_to_file else 0.0,
        rate=_rate(state, reed, zone, tool),
        scrapes=own.scrapes,
    )


def _zone_and_tool(advice: Advice, scrapes: tuple[Scrape, ...]) -> tuple[Zone | None, str | None]:
    """Return end and tool advised, or used last."""
    if advice.zone is not None:
        return advice.zone, advice.tool
    return (scrapes[-1].zone, scrapes[-1].tool) if scrapes else (None, None)


def _rate(state: BenchState, reed: Reed, zone: Zone | None, tool: str | None) -> StrokeRate | None:
    is_known = any(each.tool == tool for each in state.tools)
    if zone is None or tool is None or not is_known:
        return None
    return rate_of(state, reed, zone=zone, tool=tool)
