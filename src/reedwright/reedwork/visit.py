"""Reeds brought to pitch visit by visit: what is believed, what to do next, what was done.

Use it like this, everything frozen and returned anew::

    state = begin_bench(reeds, tools)
    state = record_reading(state, reed, reading)       # how it was found
    advice = next_visit(state, reed)
    if advice.verdict is VisitVerdict.FILE:            # scrape, wait, measure
        state = record_visit(state, reed, zone=advice.zone, tool=advice.tool,
                             strokes=advice.strokes, after=reading_after)
    elif advice.verdict is VisitVerdict.LISTEN:        # the same reed, as it lies
        state = record_reading(state, reed, another_reading)
    else: ...                 # LEAVE, CHECK_IN_INSTRUMENT, TOO_THIN, TOO_FAR

Every scrape teaches all reeds that come after it. After the instrument was closed
and opened, begin with ``record_reading(..., is_new_occasion=True)``: reseated, a
reed stands elsewhere, and what was read before no longer counts.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from reedwright.errors import InputError, NotFound
from reedwright.instrument.layout import Reed
from reedwright.reedwork import visit_wording
from reedwright.reedwork.learning import Factors, hear_scrape, no_scrapes_yet, stroke_rate
from reedwright.reedwork.model import Zone
from reedwright.reedwork.scrapes import (
    Advice,
    BenchReading,
    BenchReed,
    FilingTool,
    LearningRules,
    Scrape,
    StrokeRate,
    VisitRules,
    VisitVerdict,
)
from reedwright.reedwork.stroke_choice import Strokes, Way, choose_strokes, normal_chance

__all__ = [
    "BenchState",
    "ReedState",
    "begin_bench",
    "next_visit",
    "rate_of",
    "record_reading",
    "record_visit",
]


@dataclass(frozen=True, slots=True)
class ReedState:
    """What is believed of one reed.

    ``offset_cents`` and ``doubt_cents`` (its own) are None until it was read;
    ``common_doubt_cents`` is what the readings of the occasion share, ``is_by_offset``
    as in ``BenchReading``. ``readings``
    counts those since it was last touched. ``removed_um`` is what came off tip and root
    by the pitch it moved.
    """

    reed: BenchReed
    offset_cents: float | None = None
    doubt_cents: float | None = None
    common_doubt_cents: float = 0.0
    is_by_offset: bool = False
    readings: int = 0
    removed_um: tuple[tuple[Zone, float], ...] = ()
    scrapes: tuple[Scrape, ...] = ()

    @property
    def visits(self) -> int:
        """How often the file was at it."""
        return len(self.scrapes)


@dataclass(frozen=True, slots=True)
class BenchState:
    """Everything known at the bench: tools, reeds, and what the scrapes taught."""

    tools: tuple[FilingTool, ...]
    reeds: Mapping[Reed, ReedState]
    factors: Factors
    learning: LearningRules
    rules: VisitRules

    def tool(self, tool: str) -> FilingTool:
        """Return the tool of that name; NotFound if there is none."""
        for candidate in self.tools:
            if candidate.tool == tool:
                return candidate
        known = ", ".join(candidate.tool for candidate in self.tools)
        raise NotFound(f"there is no tool {tool!r} at this bench; the tools are: {known}")

    def at(self, reed: Reed) -> ReedState:
        """Return what is known of a reed; NotFound if it is not at this bench."""
        if reed not in self.reeds:
            raise NotFound(
                f"there is no reed {reed.key} {reed.direction} at this bench; check key and "
                "direction"
            )
        return self.reeds[reed]


def begin_bench(
    reeds: Iterable[BenchReed],
    tools: Iterable[FilingTool],
    *,
    learning: LearningRules | None = None,
    rules: VisitRules | None = None,
    factors: Factors | None = None,
) -> BenchState:
    """Return the bench before the first reading.

    ``factors`` is what earlier work taught, if there was any.
    """
    return BenchState(
        tools=tuple(tools),
        reeds={reed.reed: ReedState(reed) for reed in reeds},
        factors=factors or no_scrapes_yet(),
        learning=learning or LearningRules(),
        rules=rules or VisitRules(),
    )


def record_reading(
    state: BenchState, reed: Reed, reading: BenchReading, *, is_new_occasion: bool = False
) -> BenchState:
    """Return the bench after a reed was listened to.

    Readings of one occasion are weighed together by their doubts; the first, and that
    of a new occasion (the reed was reseated, or days went by), stands alone.
    """
    own = state.at(reed)
    heard, doubt = _cooled(reading, state.rules)
    if own.offset_cents is None or own.doubt_cents is None or is_new_occasion:
        new = replace(own, offset_cents=heard, doubt_cents=doubt, readings=1)
    else:
        weight = own.doubt_cents**2 / (own.doubt_cents**2 + doubt**2)
        new = replace(
            own,
            offset_cents=own.offset_cents + weight * (heard - own.offset_cents),
            doubt_cents=math.sqrt(weight) * doubt,
            readings=own.readings + 1,
        )
    new = replace(
        new, common_doubt_cents=reading.common_doubt_cents, is_by_offset=reading.is_by_offset
    )
    return _with(state, new)


def rate_of(state: BenchState, reed: Reed, *, zone: Zone, tool: str) -> StrokeRate:
    """Return what a stroke of a tool does to a reed, as far as is known."""
    own = state.at(reed)
    return stroke_rate(state.factors, own.reed, zone, state.tool(tool), state.learning)


def next_visit(state: BenchState, reed: Reed) -> Advice:
    """Return what to do with a reed now.

    Raises
    ------
    InputError
        If it was not read yet.
    """
    own = state.at(reed)
    offset, own_doubt = _stands(own)
    tolerance, rules = own.reed.tolerance_cents, state.rules
    doubt = math.hypot(own_doubt, own.common_doubt_cents)
    within = normal_chance((tolerance - offset) / doubt) - normal_chance(
        (-tolerance - offset) / doubt
    )
    here = _Here(reed, offset, doubt, within)
    if abs(offset) > rules.largest_change_cents:
        return here.advice(VisitVerdict.TOO_FAR, visit_wording.too_far(offset, doubt))
    if within >= rules.least_chance_within:
        return here.advice(VisitVerdict.LEAVE, visit_wording.leave(offset, doubt, tolerance))
    return (_by_offset if own.is_by_offset else _by_reading)(state, own, here)


def record_visit(
    state: BenchState, reed: Reed, *, zone: Zone, tool: str, strokes: int, after: BenchReading
) -> BenchState:
    """Return the bench after a scrape and the reading that followed it.

    What was filed need not be what was advised.

    Raises
    ------
    InputError
        If the reed was not read before, or there were no strokes.
    """
    own = state.at(reed)
    before, before_doubt = _stands(own)
    rate = rate_of(state, reed, zone=zone, tool=tool)
    after_cents, after_doubt = _cooled(after, state.rules)
    heard = hear_scrape(
        state.factors,
        own.reed,
        zone,
        state.tool(tool),
        strokes=strokes,
        before_cents=before,
        before_doubt_cents=before_doubt,
        after_cents=after_cents,
        after_doubt_cents=after_doubt,
        rules=state.learning,
    )
    predicted = rate.shift(strokes)
    moved = abs(heard.offset_cents - before)
    removed = dict(own.removed_um)
    removed[zone] = removed.get(zone, 0.0) + moved / own.reed.response(zone).cents_per_um
    scrape = Scrape(
        reed=reed,
        frequency_hz=own.reed.frequency_hz,
        metal=own.reed.metal,
        zone=zone,
        tool=tool,
        strokes=strokes,
        cents_per_um=own.reed.response(zone).cents_per_um,
        before=BenchReading(before, before_doubt, own.common_doubt_cents),
        after=after,
        predicted_cents=predicted.expected_cents,
        predicted_doubt_cents=predicted.doubt_cents,
    )
    new = replace(
        own,
        offset_cents=heard.offset_cents,
        doubt_cents=heard.doubt_cents,
        common_doubt_cents=after.common_doubt_cents,
        is_by_offset=after.is_by_offset,
        readings=1,
        removed_um=tuple(removed.items()),
        scrapes=(*own.scrapes, scrape),
    )
    return replace(_with(state, new), factors=heard.factors)


def _with(state: BenchState, own: ReedState) -> BenchState:
    return replace(state, reeds={**state.reeds, own.reed.reed: own})


def _stands(own: ReedState) -> tuple[float, float]:
    if own.offset_cents is None or own.doubt_cents is None:
        raise InputError(
            f"a reed is filed by a reading, {own.reed.name} has none yet; record how it was found"
        )
    return own.offset_cents, own.doubt_cents


def _cooled(reading: BenchReading, rules: VisitRules) -> tuple[float, float]:
    """Return a reading as the reed will read when it is cool, with its doubt."""
    if not reading.doubt_cents > 0.0:
        raise InputError(
            f"a reading has a doubt above 0 cents, got {reading.doubt_cents:g}; give the doubt "
            "that was printed"
        )
    if reading.minutes_since_filing is None:
        return reading.offset_cents, reading.doubt_cents
    left = math.exp(-reading.minutes_since_filing / rules.warm_minutes)
    return (
        reading.offset_cents + rules.warm_cents * left,
        math.hypot(reading.doubt_cents, rules.warm_doubt_cents * left),
    )


def _allowed(
    state: BenchState, own: ReedState, zone: Zone, tool: FilingTool
) -> tuple[StrokeRate, int]:
    """Return a tool's stroke and how many the thickness allows at the worst it may do."""
    rate = stroke_rate(state.factors, own.reed, zone, tool, state.learning)
    response = own.reed.response(zone)
    left_um = response.deepest_um - dict(own.removed_um).get(zone, 0.0)
    worst_um = rate.high_cents_per_stroke / response.cents_per_um
    return rate, math.floor(left_um / worst_um)


@dataclass(frozen=True, slots=True)
class _Here:
    """Where a reed stands, for advice that files nothing."""

    reed: Reed
    offset_cents: float
    doubt_cents: float
    within: float

    def advice(self, verdict: VisitVerdict, sentence: str) -> Advice:
        return Advice(
            reed=self.reed,
            verdict=verdict,
            zone=None,
            tool=None,
            strokes=0,
            expected_cents=self.offset_cents,
            doubt_cents=self.doubt_cents,
            chance_within=self.within,
            chance_past=0.0,
            sentence=sentence,
        )


def _by_reading(state: BenchState, own: ReedState, here: _Here) -> Advice:
    """Return what to do with a reed read where it is to be right: file it only if surely out."""
    offset, rules, own_doubt = here.offset_cents, state.rules, own.doubt_cents or 0.0
    can_listen = own.readings < rules.most_readings and own_doubt > own.common_doubt_cents
    looks = own.readings / rules.most_readings if can_listen else 1.0
    if here.within > rules.most_chance_within * looks:
        return _undecided(own, here, can_listen=can_listen)
    if can_listen and own_doubt > rules.doubt_per_way * abs(offset):
        sentence = visit_wording.listen_closer(offset, here.doubt_cents)
        return here.advice(VisitVerdict.LISTEN, sentence)
    zone, chosen = _chosen(state, own, here, rules)
    if chosen is None:
        sentence = visit_wording.too_thin(offset, here.doubt_cents, zone)
        return here.advice(VisitVerdict.TOO_THIN, sentence)
    return _filing(state, here, zone, chosen)


def _undecided(own: ReedState, here: _Here, *, can_listen: bool) -> Advice:
    """Return what to do with a reed that may be within tolerance or not."""
    offset, doubt, tolerance = here.offset_cents, here.doubt_cents, own.reed.tolerance_cents
    if can_listen:
        return here.advice(VisitVerdict.LISTEN, visit_wording.listen(offset, doubt, tolerance))
    return here.advice(VisitVerdict.LEAVE, visit_wording.leave_undecided(offset, doubt, tolerance))


def _by_offset(state: BenchState, own: ReedState, here: _Here) -> Advice:
    """Return what to do with a reed on the bench that is to be right in the closed instrument.

    Only the next closing can tell whether it is within tolerance, and the other end can
    undo a little; so there is no edge to shun. It is filed if that is expected to cost
    less than leaving it, and it is likelier out of tolerance than within.
    """
    rules = replace(state.rules, undecided_cost=1.0)
    zone, chosen = _chosen(state, own, here, rules)
    if here.within < 0.5 and chosen is not None and chosen.price < chosen.idle_price:
        return _filing(state, here, zone, chosen)
    sentence = visit_wording.check_in_instrument(here.offset_cents, here.doubt_cents)
    return here.advice(VisitVerdict.CHECK_IN_INSTRUMENT, sentence)


def _chosen(
    state: BenchState, own: ReedState, here: _Here, rules: VisitRules
) -> tuple[Zone, Strokes | None]:
    """Return the end to file and the strokes of least price, None where it is too thin."""
    zone = Zone.TIP if here.offset_cents < 0.0 else Zone.ROOT
    way = Way(abs(here.offset_cents), here.doubt_cents, own.reed.tolerance_cents)
    return zone, choose_strokes(
        way, [_allowed(state, own, zone, tool) for tool in state.tools], rules
    )


def _filing(state: BenchState, here: _Here, zone: Zone, chosen: Strokes) -> Advice:
    title = state.tool(chosen.rate.tool).title
    return Advice(
        reed=here.reed,
        verdict=VisitVerdict.FILE,
        zone=zone,
        tool=chosen.rate.tool,
        strokes=chosen.strokes,
        expected_cents=-chosen.left_cents if zone is Zone.TIP else chosen.left_cents,
        doubt_cents=chosen.left_doubt_cents,
        chance_within=chosen.chance_within,
        chance_past=chosen.chance_past,
        sentence=visit_wording.file_so_much(
            here.offset_cents, here.doubt_cents, zone, title, chosen
        ),
    )
