"""Bench offsets: smooth over the pitch, shrunk where data are few, honest in their doubt."""

import math
from dataclasses import astuple, replace

import numpy as np
import pytest

from reedwright.errors import InputError
from reedwright.instrument.layout import Direction, Reed
from reedwright.reedwork.bench_offset import (
    FEWEST_TO_FIT,
    BenchOffset,
    OffsetRules,
    PairedReading,
    PlacedReed,
    fitted_rules,
    learn_offsets,
    log_evidence,
    on_the_bench,
)
from reedwright.reedwork.scrapes import BenchReading

RULES = OffsetRules()


def place(number: int, direction: Direction = Direction.PRESS) -> PlacedReed:
    """Return a reed, a semitone higher with each number, from G3."""
    return PlacedReed(Reed(f"L1.{number}", direction), 196.0 * 2.0 ** (number / 12.0))


def pair(number: int, offset: float, direction: Direction = Direction.PRESS) -> PairedReading:
    """Return a pair read to 0.15 cent."""
    return PairedReading(place(number, direction), offset, 0.15)


def learned(pairs: list[PairedReading], number: int) -> BenchOffset:
    """Return the offset of one press reed."""
    return learn_offsets(pairs, [place(number)], rules=RULES)[0]


def test_without_pairs_it_is_nothing_with_its_whole_doubt() -> None:
    """Zero, and all parts of the offset in squares as the doubt."""
    offset = learned([], 0)
    assert offset.offset_cents == 0.0
    sizes = (3.0, 3.0, 1.5, 2.0, 1.0)
    assert offset.doubt_cents == pytest.approx(math.hypot(*sizes))
    assert offset.pairs == 0


def test_one_pair_speaks_for_its_reed_and_less_for_others() -> None:
    """Of 6 cents most come back at the reed, less next to it, least three octaves on."""
    pairs = [pair(12, 6.0)]
    here, beside, far = (learned(pairs, number) for number in (12, 14, 48))
    assert 6.0 > here.offset_cents > beside.offset_cents > far.offset_cents > 0.0
    assert here.doubt_cents < beside.doubt_cents < far.doubt_cents
    assert (here.pairs, beside.pairs) == (1, 0)


def test_the_doubt_never_falls_below_the_seating() -> None:
    """Twenty closings teach the reed's own offset, but the next closing is new."""
    offset = learned([pair(5, 4.0)] * 20, 5)
    assert offset.offset_cents == pytest.approx(4.0, abs=0.1)
    assert RULES.seating_cents < offset.doubt_cents < 1.05 * RULES.seating_cents
    assert offset.seating_cents == RULES.seating_cents


def test_directions_may_differ() -> None:
    """All press reeds 3 up, all draw reeds 1 down: a reed not paired goes with its own."""
    pairs = [pair(number, 3.0) for number in range(0, 24, 2)]
    pairs += [pair(number, -1.0, Direction.DRAW) for number in range(0, 24, 2)]
    press, draw = learn_offsets(pairs, [place(11), place(11, Direction.DRAW)], rules=RULES)
    assert press.offset_cents == pytest.approx(2.6, abs=0.5)
    assert draw.offset_cents == pytest.approx(-0.6, abs=0.5)


def test_offsets_cover_what_they_claim() -> None:
    """Of instruments drawn from the rules, 93 to 97 % of the next closings lie within 95 %."""
    random = np.random.default_rng(5)
    places = [place(number, way) for number in range(0, 48, 4) for way in Direction]
    octaves = np.log2([one.frequency_hz for one in places])
    gap = np.subtract.outer(octaves, octaves)
    press = np.array([one.reed.direction is Direction.PRESS for one in places])
    curve = np.exp(-0.5 * gap**2)
    covariance = 9.0 + 9.0 * curve + 2.25 * curve * (press[:, None] == press) + 4.0 * np.eye(24)
    root = np.linalg.cholesky(covariance)
    hits = total = 0
    for _ in range(60):
        lasting = root @ random.standard_normal(24)
        paired = random.permutation(24)[:12]
        pairs = [
            PairedReading(
                places[at], float(lasting[at] + math.hypot(1.0, 0.2) * random.standard_normal()),
                0.2,
            )
            for at in paired
        ]  # fmt: skip
        following = lasting + random.standard_normal(24)
        for offset, truth in zip(learn_offsets(pairs, places, rules=RULES), following, strict=True):
            hits += abs(offset.offset_cents - truth) < 1.96 * offset.doubt_cents
            total += 1
    assert 0.93 <= hits / total <= 0.97


def test_the_sizes_are_fitted_towards_the_data() -> None:
    """An instrument that seats to 0.1 cent and has a strong curve is found to do so."""
    random = np.random.default_rng(1)
    curve = 8.0 * np.sin(np.arange(48) / 6.0) + 0.1 * random.standard_normal(48)
    pairs = [PairedReading(place(number), float(curve[number]), 0.05) for number in range(48)]
    fitted = fitted_rules(pairs, rules=RULES)
    assert fitted.curve_cents > 1.3 * RULES.curve_cents
    assert fitted.own_cents < 0.6 * RULES.own_cents
    assert fitted.seating_cents < 0.6 * RULES.seating_cents
    assert log_evidence(pairs, rules=fitted) > log_evidence(pairs, rules=RULES)
    bounds = 3.0 * 0.7 + 1e-9
    logs = np.log(astuple(fitted)) - np.log(astuple(RULES))
    assert np.all(np.abs(logs) <= bounds)


def test_few_pairs_fit_nothing() -> None:
    """With fewer than eight pairs the rules stay as they are."""
    assert fitted_rules([pair(n, n) for n in range(FEWEST_TO_FIT - 1)], rules=RULES) is RULES


def test_a_bench_reading_is_brought_to_the_instrument() -> None:
    """2 sharp on the bench, 3 more closed: 5 sharp; all readings share the doubt that lasts."""
    offset = replace(
        learned([pair(5, 3.0)], 5), offset_cents=3.0, doubt_cents=0.5, seating_cents=0.3
    )
    assert offset.lasting_doubt_cents == pytest.approx(0.4)
    brought = on_the_bench(BenchReading(2.0, 0.1, common_doubt_cents=0.3), offset)
    assert brought.offset_cents == 5.0
    assert brought.doubt_cents == 0.1
    assert brought.common_doubt_cents == pytest.approx(0.5)
    assert brought.is_by_offset


def test_a_pair_without_doubt_is_refused() -> None:
    """No reading is exact."""
    with pytest.raises(InputError, match="doubt above 0 cents, got 0"):
        learn_offsets([PairedReading(place(1), 1.0, 0.0)], [place(1)], rules=RULES)
