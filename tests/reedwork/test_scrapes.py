"""Scrapes and stroke rates: signs, intervals, the sum of strokes that differ."""

import math

import numpy as np
import pytest

from reedwright.instrument.layout import Direction, Reed
from reedwright.reedwork.model import Zone
from reedwright.reedwork.scrapes import BenchReading, LearningRules, Scrape, StrokeRate

RATE = StrokeRate("fine-file", Zone.TIP, 0.5, 0.2, 0.3)


@pytest.mark.parametrize(("zone", "shift"), [(Zone.TIP, 3.0), (Zone.ROOT, -3.0)])
def test_a_shift_is_positive_when_the_file_does_what_it_should(zone: Zone, shift: float) -> None:
    """From 8 flat to 5 flat: 3 cents by the tip, minus 3 by the root."""
    scrape = Scrape(
        reed=Reed("L1.1", Direction.PRESS),
        frequency_hz=440.0,
        metal="steel",
        zone=zone,
        tool="fine-file",
        strokes=6,
        cents_per_um=2.5,
        before=BenchReading(-8.0, 0.1),
        after=BenchReading(-5.0, 0.1),
    )
    assert scrape.shift_cents == shift


def test_the_interval_of_a_stroke_is_that_of_a_log_normal() -> None:
    """Nineteen of twenty within a factor exp(1.96 s) of the middle (tables of the normal)."""
    assert RATE.low_cents_per_stroke == pytest.approx(0.5 / math.exp(1.959964 * 0.2))
    assert RATE.high_cents_per_stroke == pytest.approx(0.5 * math.exp(1.959964 * 0.2))


@pytest.mark.parametrize("strokes", [1, 3, 12])
def test_the_sum_of_strokes_against_drawn_ones(strokes: int) -> None:
    """Mean, spread and 95 % interval agree with a hundred thousand drawn scrapes."""
    random = np.random.default_rng(strokes)
    mean_stroke = 0.5 * np.exp(0.2 * random.standard_normal(100_000))
    each = np.exp(0.3 * random.standard_normal((strokes, 100_000)) - 0.3**2 / 2.0)
    drawn = mean_stroke * each.sum(axis=0)
    predicted = RATE.shift(strokes)
    assert predicted.expected_cents == pytest.approx(drawn.mean(), rel=0.005)
    assert predicted.doubt_cents == pytest.approx(drawn.std(), rel=0.02)
    low, high = np.quantile(drawn, [0.025, 0.975])
    assert predicted.low_cents == pytest.approx(low, rel=0.02)
    assert predicted.high_cents == pytest.approx(high, rel=0.02)


def test_many_strokes_leave_only_the_doubt_of_their_mean() -> None:
    """Chance evens out over a thousand strokes; what is not known of the file does not."""
    assert RATE.log_shift(1000)[1] == pytest.approx(0.2, abs=0.001)
    assert RATE.log_shift(1)[1] == pytest.approx(math.hypot(0.2, 0.3))
    assert LearningRules(stroke=0.3).stroke_variance == pytest.approx(math.expm1(0.09))
