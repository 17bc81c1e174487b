"""Reeds brought to pitch visit by visit: what is advised, what is believed afterwards."""

import numpy as np
import pytest

from reedwright.errors import InputError, NotFound
from reedwright.instrument.layout import Direction, Reed
from reedwright.reedwork.model import Zone
from reedwright.reedwork.scrapes import (
    Advice,
    BenchReading,
    BenchReed,
    FilingTool,
    VisitVerdict,
    ZoneResponse,
)
from reedwright.reedwork.visit import (
    BenchState,
    begin_bench,
    next_visit,
    rate_of,
    record_reading,
    record_visit,
)

REED = Reed("L1.1", Direction.PRESS)
OTHER = Reed("L1.2", Direction.DRAW)
TOOLS = (
    FilingTool("fine", "fine file", 0.08, (), 2.0, "invented"),
    FilingTool("coarse", "coarse file", 0.8, (), 2.0, "invented"),
)


def bench(*, tolerance_cents: float = 1.0, deepest_um: float = 30.0) -> BenchState:
    """Return a bench of two reeds, tip 2.5 and root 5 cents a micrometre."""
    return begin_bench(
        [
            BenchReed(
                reed,
                440.0,
                "steel",
                tolerance_cents,
                ZoneResponse(Zone.TIP, 2.5, deepest_um),
                ZoneResponse(Zone.ROOT, 5.0, deepest_um),
            )
            for reed in (REED, OTHER)
        ],
        TOOLS,
    )


def read(offset: float, doubt: float = 0.02, **bench_of: float) -> BenchState:
    """Return the bench with the first reed read once."""
    return record_reading(bench(**bench_of), REED, BenchReading(offset, doubt))


def advised(offset: float, doubt: float = 0.02, **bench_of: float) -> Advice:
    """Return the advice after one reading."""
    return next_visit(read(offset, doubt, **bench_of), REED)


@pytest.mark.parametrize(("offset", "zone"), [(-8.0, Zone.TIP), (8.0, Zone.ROOT)])
def test_flat_reeds_are_filed_at_the_tip_sharp_ones_at_the_root(offset: float, zone: Zone) -> None:
    """And then stand nearer, on the same side."""
    advice = advised(offset)
    assert (advice.verdict, advice.zone) == (VisitVerdict.FILE, zone)
    assert advice.strokes >= 1
    assert abs(advice.expected_cents) < 8.0
    assert advice.expected_cents * offset > 0.0
    assert str(advice.strokes) in advice.sentence
    assert "file" in advice.sentence


@pytest.mark.parametrize("offset", [-0.9, -0.3, 0.0, 0.5, 0.9])
def test_a_reed_within_tolerance_is_left(offset: float) -> None:
    """Whatever its side, it is left alone, and the sentence says within what."""
    advice = advised(offset)
    assert (advice.verdict, advice.strokes, advice.zone, advice.tool) == (
        VisitVerdict.LEAVE, 0, None, None,
    )  # fmt: skip
    assert advice.sentence.endswith("within 1.0 cents: leave it alone.")


@pytest.mark.parametrize("offset", [-1.2, -0.95, 0.95, 1.2])
def test_a_reed_on_the_edge_is_listened_to_again(offset: float) -> None:
    """Read to 0.15 it may be within or not: neither left nor filed, until it is known."""
    state = read(offset, 0.15)
    assert next_visit(state, REED).verdict is VisitVerdict.LISTEN
    verdicts = set()
    for _ in range(150):
        state = record_reading(state, REED, BenchReading(offset, 0.15))
        verdicts.add(next_visit(state, REED).verdict)
        if verdicts - {VisitVerdict.LISTEN}:
            break
    decided = VisitVerdict.FILE if abs(offset) > 1.0 else VisitVerdict.LEAVE
    assert verdicts == {VisitVerdict.LISTEN, decided}


def test_what_no_listening_can_settle_is_left() -> None:
    """One hundredth outside, read 120 times: left, and the sentence says why."""
    state = read(1.01, 0.15)
    for _ in range(119):
        state = record_reading(state, REED, BenchReading(1.01, 0.15))
    advice = next_visit(state, REED)
    assert advice.verdict is VisitVerdict.LEAVE
    assert "on the edge of 1.0 cents" in advice.sentence


def test_repeated_readings_count_together() -> None:
    """Four readings halve the doubt; a better one counts more; the shared doubt stays."""
    state = bench()
    for offset in (4.0, 4.4, 4.0, 4.4):
        state = record_reading(state, REED, BenchReading(offset, 0.2, 0.3))
    own = state.at(REED)
    assert own.offset_cents == pytest.approx(4.2)
    assert own.doubt_cents == pytest.approx(0.1)
    assert (own.common_doubt_cents, own.readings) == (0.3, 4)
    better = record_reading(state, REED, BenchReading(5.0, 0.05, 0.3)).at(REED)
    assert better.offset_cents == pytest.approx((4.2 * 100.0 + 5.0 * 400.0) / 500.0)


def test_a_new_occasion_begins_anew() -> None:
    """Reseated, the reed stands where it is heard, whatever was heard before."""
    state = record_reading(read(4.0, 0.02), REED, BenchReading(9.0, 0.2), is_new_occasion=True).at(
        REED
    )
    assert (state.offset_cents, state.doubt_cents, state.readings) == (9.0, 0.2, 1)


def test_near_the_end_the_reading_must_be_surer() -> None:
    """Two cents to go read to 0.3: listen first, since the strokes hang on it."""
    advice = advised(2.6, 0.3)
    assert advice.verdict is VisitVerdict.LISTEN
    assert "before the last strokes" in advice.sentence
    assert advised(2.6, 0.05).verdict is VisitVerdict.FILE


def test_the_first_look_must_be_surer_than_the_last() -> None:
    """1.36 read to 0.15 is within once in 120: filed after all looks, not after one."""
    advice = advised(1.36, 0.15)
    assert advice.chance_within < 0.01
    assert advice.verdict is VisitVerdict.LISTEN
    assert "cannot be told" in advice.sentence


def by_offset(offset: float, offset_doubt: float) -> Advice:
    """Return the advice after a bench reading brought over with an offset of such a doubt."""
    reading = BenchReading(offset, 0.05, common_doubt_cents=offset_doubt, is_by_offset=True)
    return next_visit(record_reading(bench(), REED, reading), REED)


def test_what_the_bench_cannot_tell_is_left_to_the_instrument() -> None:
    """With a bench offset known to 1 cent, 0.5 cents off is for the closed instrument to tell."""
    assert by_offset(0.5, 1.0).verdict is VisitVerdict.CHECK_IN_INSTRUMENT
    assert by_offset(0.9, 0.3).verdict is VisitVerdict.CHECK_IN_INSTRUMENT
    assert by_offset(0.1, 0.3).verdict is VisitVerdict.LEAVE


def test_what_is_likely_out_is_filed_on_the_bench() -> None:
    """2.5 off with an offset known to half a cent is filed: no edge need be shunned there."""
    advice = by_offset(2.5, 0.5)
    assert (advice.verdict, advice.zone) == (VisitVerdict.FILE, Zone.ROOT)
    assert abs(advice.expected_cents) < 2.0
    far = by_offset(12.0, 1.0)
    assert far.verdict is VisitVerdict.FILE


def test_a_scrape_moves_belief_and_teaches_the_other_reed() -> None:
    """Half as much as foretold: the next scrape, here and elsewhere, takes more strokes."""
    state = read(-20.0)
    first = next_visit(state, REED)
    assert first.zone is Zone.TIP
    assert first.tool is not None
    half = -20.0 + (first.expected_cents + 20.0) / 2.0
    done = record_visit(
        state,
        REED,
        zone=first.zone,
        tool=first.tool,
        strokes=first.strokes,
        after=BenchReading(half, 0.02),
    )
    assert done.at(REED).offset_cents == pytest.approx(half, abs=0.02)
    assert done.at(REED).visits == 1
    for reed in (REED, OTHER):
        before = rate_of(state, reed, zone=Zone.TIP, tool="fine").cents_per_stroke
        after = rate_of(done, reed, zone=Zone.TIP, tool="fine").cents_per_stroke
        assert after < 0.9 * before
    (scrape,) = done.at(REED).scrapes
    assert scrape.predicted_cents == pytest.approx(first.expected_cents + 20.0, abs=1e-9)
    assert scrape.shift_cents == pytest.approx(half + 20.0)
    assert state.at(REED).scrapes == ()


def test_a_warm_tongue_reads_flat() -> None:
    """Two minutes after filing 1 cent is allowed for (2 cents, halved in 2.1 min), half doubted."""
    state = read(8.0)
    warm = record_visit(
        state, REED, zone=Zone.ROOT, tool="fine", strokes=10,
        after=BenchReading(3.0, 0.01, minutes_since_filing=3.0 * np.log(2.0)),
    ).at(REED)  # fmt: skip
    cold = record_visit(
        state, REED, zone=Zone.ROOT, tool="fine", strokes=10, after=BenchReading(3.0, 0.01)
    ).at(REED)
    assert warm.offset_cents is not None
    assert cold.offset_cents is not None
    assert warm.offset_cents == pytest.approx(cold.offset_cents + 1.0, abs=0.15)
    assert warm.doubt_cents == pytest.approx(0.5, abs=0.1)


def test_no_reed_is_filed_past_its_safe_thickness() -> None:
    """Metal for 20 cents only: the advice never takes more, and then says so."""
    state = read(80.0, deepest_um=4.0)
    stands = 80.0
    for _ in range(20):
        advice = next_visit(state, REED)
        if advice.verdict is not VisitVerdict.FILE:
            break
        assert advice.tool is not None
        shift = rate_of(state, REED, zone=Zone.ROOT, tool=advice.tool).shift(advice.strokes)
        stands -= shift.expected_cents
        state = record_visit(
            state, REED, zone=Zone.ROOT, tool=advice.tool, strokes=advice.strokes,
            after=BenchReading(stands, 0.02),
        )  # fmt: skip
        assert dict(state.at(REED).removed_um)[Zone.ROOT] <= 4.0
    assert advice.verdict is VisitVerdict.TOO_THIN
    assert "no more may come off its root" in advice.sentence
    assert dict(state.at(REED).removed_um)[Zone.ROOT] > 3.0


@pytest.mark.parametrize("offset", [-101.0, 101.0])
def test_what_is_too_far_is_no_work_for_a_file(offset: float) -> None:
    """More than 100 cents off, the plan has the word."""
    advice = advised(offset)
    assert (advice.verdict, advice.strokes) == (VisitVerdict.TOO_FAR, 0)
    assert "see that this is the reed meant" in advice.sentence


def test_refusals_name_what_is_missing() -> None:
    """A reed not read, a reed and a tool that are not there, a doubt of zero."""
    with pytest.raises(InputError, match=r"L1\.1 press has none yet"):
        next_visit(bench(), REED)
    with pytest.raises(NotFound, match=r"no reed R9\.9 press"):
        next_visit(bench(), Reed("R9.9", Direction.PRESS))
    with pytest.raises(NotFound, match="no tool 'axe' at this bench; the tools are: fine, coarse"):
        rate_of(bench(), REED, zone=Zone.TIP, tool="axe")
    with pytest.raises(InputError, match="doubt above 0 cents, got 0"):
        record_reading(bench(), REED, BenchReading(1.0, 0.0))
