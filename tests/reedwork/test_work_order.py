"""The work put in order: rough before fine, one opening an end, pairs of a key together."""

from dataclasses import replace

import pytest
from benchmarks.invented_records import invented_layout

from reedwright.instrument.layout import Direction, Reed, Side
from reedwright.instrument.pan import chamber_order
from reedwright.reedwork.bench_kit import BenchMinutes
from reedwright.reedwork.model import Zone
from reedwright.reedwork.scrapes import (
    BenchReading,
    BenchReed,
    FilingTool,
    VisitRules,
    VisitVerdict,
    ZoneResponse,
)
from reedwright.reedwork.visit import BenchState, begin_bench, record_reading
from reedwright.reedwork.work_order import PassKind, WorkOrder, order_work, visits_for

LAYOUT = invented_layout(8)
MINUTES = BenchMinutes()
FILE = FilingTool("fine", "fine file", 0.08, (), 2.0, "invented")


def bench(offsets: dict[str, float]) -> BenchState:
    """Return the bench with reeds at offsets by ``KEY direction``, the others in tune."""
    reeds = [
        BenchReed(
            reed, 440.0, "steel", 1.0, ZoneResponse(Zone.TIP, 2.5, 50.0),
            ZoneResponse(Zone.ROOT, 5.0, 30.0),
        )
        for reed in LAYOUT.reeds()
    ]  # fmt: skip
    state = begin_bench(reeds, [FILE])
    for reed in LAYOUT.reeds():
        offset = offsets.get(f"{reed.key} {reed.direction}", 0.0)
        state = record_reading(state, reed, BenchReading(offset, 0.02))
    return state


def ordered(offsets: dict[str, float], minutes: BenchMinutes = MINUTES) -> WorkOrder:
    """Return the work on such reeds."""
    return order_work(bench(offsets), LAYOUT, minutes=minutes)


def test_nothing_to_do_opens_nothing() -> None:
    """An instrument in tune has no pass, no minute and no opening."""
    order = ordered({})
    assert (order.passes, order.minutes, order.days, order.openings) == ((), 0.0, 0.0, 0)
    assert order.left_alone == LAYOUT.reeds()


def test_far_reeds_are_roughed_then_all_are_done_fine() -> None:
    """Twelve off: rough, settle, fine; three off: fine only, and with its advice."""
    order = ordered({"L1.1 press": 12.0, "L1.2 draw": -3.0})
    assert [each.kind for each in order.passes] == [
        PassKind.ROUGH, PassKind.SETTLE, PassKind.FINE,
    ]  # fmt: skip
    rough, settle, fine = order.passes
    (far,) = rough.openings[0].items
    assert far.reed == Reed("L1.1", Direction.PRESS)
    assert far.advice is not None
    assert far.advice.zone is Zone.ROOT
    assert (settle.openings, settle.days) == ((), MINUTES.settle_days)
    after, near = sorted(fine.openings[0].items, key=lambda item: item.reed)
    assert (after.reed, after.advice) == (Reed("L1.1", Direction.PRESS), None)
    assert near.advice is not None
    assert near.advice.verdict is VisitVerdict.FILE


def test_near_reeds_need_no_roughing() -> None:
    """With nothing beyond five cents there is one pass and no waiting."""
    order = ordered({"L1.1 press": 3.0})
    assert [each.kind for each in order.passes] == [PassKind.FINE]
    assert order.days == 0.0


def test_an_end_comes_off_once_a_pass_and_only_if_it_must() -> None:
    """Work on the right end leaves the left shut; work on both opens each once."""
    one = ordered({"R1.1 press": 3.0, "R1.2 draw": -3.0, "R1.4 draw": 3.0})
    assert [opening.side for opening in one.passes[0].openings] == [Side.RIGHT]
    both = ordered({"R1.1 press": 12.0, "L1.2 draw": -12.0})
    assert both.openings == 4
    assert [opening.side for opening in both.passes[0].openings] == [Side.LEFT, Side.RIGHT]


def test_reeds_lie_in_the_order_of_the_chambers_pairs_together() -> None:
    """Round the pan, both reeds of a key in a row, press first."""
    offsets = {f"{reed.key} {reed.direction}": 3.0 for reed in LAYOUT.reeds()}
    (left, right) = ordered(offsets).passes[0].openings
    for opening, side in ((left, Side.LEFT), (right, Side.RIGHT)):
        expected = [
            Reed(key, way) for key in chamber_order(LAYOUT, side) for way in Direction
        ]  # fmt: skip
        assert [item.reed for item in opening.items] == expected


def test_minutes_add_up() -> None:
    """One reed three cents off: bolts, pan, shoe, visit, reading, strokes, and the cooling."""
    order = ordered({"L1.1 press": 3.0})
    (opening,) = order.passes[0].openings
    (item,) = opening.items
    assert item.advice is not None
    moved = 3.0 - item.advice.expected_cents
    filing = 3.0 / moved * item.advice.strokes * FILE.stroke_s / 60.0
    visits = visits_for(3.0, 1.0, VisitRules())
    assert item.visits == visits > 1.0
    assert item.minutes == pytest.approx(visits * (1.5 + 1.5 + 0.5) + filing)
    cooling = visits * 10.0 - item.minutes
    assert opening.minutes == pytest.approx(8.0 + 3.0 + item.minutes + cooling)
    assert order.minutes == opening.minutes


def test_cooling_is_spent_on_other_reeds() -> None:
    """A whole end of work waits for nothing: the minutes are those of the reeds and the end."""
    offsets = {f"{reed.key} {reed.direction}": 3.0 for reed in LAYOUT.reeds()}
    opening = ordered(offsets).passes[0].openings[0]
    assert opening.minutes == pytest.approx(11.0 + sum(item.minutes for item in opening.items))


def test_the_minutes_of_the_bench_can_be_edited() -> None:
    """Bolts of half an hour an end make each opening that much longer."""
    slow = replace(MINUTES, end_minutes=38.0)
    offsets = {"L1.1 press": 12.0, "R1.1 press": 12.0}
    assert ordered(offsets, slow).minutes - ordered(offsets).minutes == pytest.approx(4 * 30.0)


def test_what_a_file_cannot_settle_is_listed_apart() -> None:
    """On the edge of tolerance or far beyond a file: advice, no place in the work."""
    order = ordered({"L1.1 press": 1.02, "L1.2 press": 140.0})
    assert [advice.verdict for advice in order.not_decided] == [
        VisitVerdict.LISTEN, VisitVerdict.TOO_FAR,
    ]  # fmt: skip
    assert order.passes == ()


def test_reeds_not_read_are_not_worked_on() -> None:
    """A reed nobody heard appears nowhere."""
    state = bench({})
    silent = Reed("L1.1", Direction.PRESS)
    reeds = {**state.reeds, silent: replace(state.reeds[silent], offset_cents=None)}
    order = order_work(replace(state, reeds=reeds), LAYOUT, minutes=MINUTES)
    assert silent not in order.left_alone


@pytest.mark.parametrize(
    ("off", "visits"), [(0.5, 0.0), (1.5, 1.0), (2.0, 1.0), (6.0, 2.0), (18.0, 3.0)]
)
def test_visits_grow_with_the_logarithm_of_the_way(off: float, visits: float) -> None:
    """One within two tolerances, and one more for each factor of three beyond."""
    assert visits_for(off, 1.0, VisitRules()) == pytest.approx(visits)
