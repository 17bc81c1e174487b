"""The tuning work put in order: passes, openings, reeds by chamber, and the time it takes.

Rough first, all reeds that are far off, one end after the other on the bench; then the
metal settles; then fine, again one end after the other. The reeds of a pass at one end
are one opening: the end comes off once, and both reeds of a key are done together, key
by key round the pan. What needs no filing is not touched, and an end without work stays
shut. Common practice, no source; minutes by ``BenchMinutes``.

How many visits a reed takes is foretold by the same rule of thumb that prices what is
left in ``stroke_choice``; held against followed-through work in docs/theory/learning.md.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from reedwright.instrument.layout import Direction, Layout, Reed, Side
from reedwright.instrument.note import SpelledNote
from reedwright.instrument.pan import chamber_order
from reedwright.reedwork.bench_kit import BenchMinutes
from reedwright.reedwork.scrapes import Advice, VisitRules, VisitVerdict
from reedwright.reedwork.visit import BenchState, next_visit

__all__ = ["Opening", "Pass", "PassKind", "WorkItem", "WorkOrder", "order_work", "visits_for"]


class PassKind(StrEnum):
    """What a pass is for."""

    ROUGH = "rough"
    SETTLE = "settle"
    FINE = "fine"


@dataclass(frozen=True, slots=True)
class WorkItem:
    """One reed of an opening: what is advised now, how many visits and minutes it may take.

    In a fine pass of a reed that is roughed first, ``advice`` is None: it hangs on what
    roughing does.
    """

    reed: Reed
    note: SpelledNote
    advice: Advice | None
    offset_cents: float
    visits: float
    minutes: float


@dataclass(frozen=True, slots=True)
class Opening:
    """One end off once, and the reeds done while it is."""

    side: Side
    items: tuple[WorkItem, ...]
    minutes: float


@dataclass(frozen=True, slots=True)
class Pass:
    """A pass over the instrument; to settle, it is closed, left for days and surveyed anew."""

    kind: PassKind
    openings: tuple[Opening, ...]
    days: float
    minutes: float


@dataclass(frozen=True, slots=True)
class WorkOrder:
    """The work in order; minutes are at the bench, days are waiting.

    ``left_alone`` reeds are within tolerance, ``not_decided`` need another reading or
    something else than a file: their advice says what.
    """

    passes: tuple[Pass, ...]
    minutes: float
    days: float
    openings: int
    left_alone: tuple[Reed, ...]
    not_decided: tuple[Advice, ...]


@dataclass(frozen=True, slots=True)
class _Job:
    """A reed to file, with its place."""

    reed: Reed
    note: SpelledNote
    advice: Advice
    offset_cents: float
    tolerance_cents: float
    seconds_per_cent: float


def order_work(state: BenchState, layout: Layout, *, minutes: BenchMinutes) -> WorkOrder:
    """Return the work on all reeds of the bench that were read, in order.

    Parameters
    ----------
    state : BenchState
        With a reading of each reed that is to be worked on.
    layout : Layout
        Of the instrument; says which reeds share a key and how the pans lie.
    """
    jobs, left_alone, not_decided = [], [], []
    for reed, own in state.reeds.items():
        if own.offset_cents is None:
            continue
        advice = next_visit(state, reed)
        if advice.verdict is VisitVerdict.FILE:
            jobs.append(_job(state, layout, advice))
        elif advice.verdict is VisitVerdict.LEAVE:
            left_alone.append(reed)
        else:
            not_decided.append(advice)
    rough = [job for job in jobs if abs(job.offset_cents) > minutes.rough_cents]
    passes = []
    if rough:
        items = [_rough_item(job, minutes, state.rules) for job in rough]
        passes.append(_filing_pass(PassKind.ROUGH, items, layout, minutes))
        surveyed = minutes.reading_minutes * len(state.reeds)
        passes.append(Pass(PassKind.SETTLE, (), minutes.settle_days, surveyed))
    if jobs:
        items = [_fine_item(job, minutes, state.rules) for job in jobs]
        passes.append(_filing_pass(PassKind.FINE, items, layout, minutes))
    return WorkOrder(
        passes=tuple(passes),
        minutes=math.fsum(each.minutes for each in passes),
        days=math.fsum(each.days for each in passes),
        openings=sum(len(each.openings) for each in passes),
        left_alone=tuple(left_alone),
        not_decided=tuple(not_decided),
    )


def _job(state: BenchState, layout: Layout, advice: Advice) -> _Job:
    own = state.at(advice.reed)
    offset_cents = own.offset_cents or 0.0
    moved = abs(advice.expected_cents - offset_cents)
    tool = state.tool(advice.tool or "")
    return _Job(
        reed=advice.reed,
        note=layout.note(advice.reed),
        advice=advice,
        offset_cents=offset_cents,
        tolerance_cents=own.reed.tolerance_cents,
        seconds_per_cent=advice.strokes * tool.stroke_s / max(moved, 1e-6),
    )


def visits_for(off_cents: float, tolerance_cents: float, rules: VisitRules) -> float:
    """Return about how many visits bring a reed within tolerance from so far off."""
    if off_cents <= tolerance_cents:
        return 0.0
    further = max(off_cents / tolerance_cents / rules.finish_from, 1.0)
    return 1.0 + math.log(further) / math.log(rules.nearer_per_visit)


def _rough_item(job: _Job, minutes: BenchMinutes, rules: VisitRules) -> WorkItem:
    """Return the roughing of a reed, to within the rough limit."""
    off = abs(job.offset_cents)
    visits = visits_for(off, minutes.rough_cents, rules)
    return _item(job, job.advice, visits, off - minutes.rough_cents / 2.0, minutes)


def _fine_item(job: _Job, minutes: BenchMinutes, rules: VisitRules) -> WorkItem:
    """Return the fine tuning of a reed, from where it is or where roughing leaves it."""
    off = abs(job.offset_cents)
    is_roughed = off > minutes.rough_cents
    left = minutes.rough_cents / 2.0 if is_roughed else off
    visits = max(visits_for(left, job.tolerance_cents, rules), 0.0 if is_roughed else 1.0)
    return _item(job, None if is_roughed else job.advice, visits, left, minutes)


def _item(
    job: _Job, advice: Advice | None, visits: float, way_cents: float, minutes: BenchMinutes
) -> WorkItem:
    each = minutes.shoe_minutes + minutes.visit_minutes + minutes.reading_minutes
    return WorkItem(
        reed=job.reed,
        note=job.note,
        advice=advice,
        offset_cents=job.offset_cents,
        visits=visits,
        minutes=visits * each + max(way_cents, 0.0) * job.seconds_per_cent / 60.0,
    )


def _filing_pass(
    kind: PassKind, items: Sequence[WorkItem], layout: Layout, minutes: BenchMinutes
) -> Pass:
    openings = []
    for side in Side:
        here = [item for item in items if layout.key(item.reed.key).side is side]
        if here:
            openings.append(_opening(side, here, layout, minutes))
    whole = math.fsum(opening.minutes for opening in openings)
    return Pass(kind, tuple(openings), 0.0, whole)


def _opening(
    side: Side, items: Iterable[WorkItem], layout: Layout, minutes: BenchMinutes
) -> Opening:
    """Return one opening; the last reeds cool while nothing else is left to do."""
    place = {key: number for number, key in enumerate(chamber_order(layout, side))}
    ways = list(Direction)
    in_order = sorted(items, key=lambda i: (place[i.reed.key], ways.index(i.reed.direction)))
    worked = math.fsum(item.minutes for item in in_order)
    rounds = max(item.visits for item in in_order)
    waited = max(minutes.cool_minutes * rounds - worked, 0.0)
    opened = minutes.end_minutes + minutes.pan_minutes
    return Opening(side, tuple(in_order), opened + worked + waited)
