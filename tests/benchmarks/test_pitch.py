"""The pitch benchmark judges fairly: estimates against the truth over their own stretch."""

import numpy as np
import pytest
from benchmarks.pitch import judged, other_note, other_tone, stationary_tone, tone, whole_note
from benchmarks.pitch_methods import Estimate, TrueTone


def off_by(cents: float, half_interval_cents: float | None = None) -> Estimate:
    """Return an estimate that is off by so much."""
    return Estimate(error_cents=cents, half_interval_cents=half_interval_cents)


def test_gross_errors_are_counted_apart() -> None:
    """An octave wrong and nothing heard are gross errors and leave the median alone."""
    answers = iter([off_by(0.1), off_by(-0.3), off_by(1200.0), off_by(float("inf"))])
    cell = judged(lambda _: next(answers), [tone(1, 0, 50.0)] * 4)
    assert cell.gross_percent == pytest.approx(50.0)
    assert cell.median_cents == pytest.approx(0.2)
    assert cell.worst_cents == pytest.approx(0.3)
    assert cell.coverage is None


def test_coverage_is_the_share_inside_the_stated_interval() -> None:
    """Of four intervals two hold their truth."""
    answers = iter([off_by(0.1, 0.2), off_by(-0.1, 0.2), off_by(0.3, 0.2), off_by(-0.3, 0.2)])
    cell = judged(lambda _: next(answers), [tone(1, 0, 50.0)] * 4)
    assert cell.coverage == pytest.approx(0.5)


@pytest.mark.parametrize("make", [tone, stationary_tone, whole_note, other_tone, other_note])
def test_noise_alone_changes_with_the_ratio(make: object) -> None:
    """At another signal-to-noise ratio the same tone sounds: same pitch, same times."""
    assert callable(make)
    loud: TrueTone = make(7, 3, 50.0)
    faint: TrueTone = make(7, 3, 10.0)
    times_s = np.array([0.4, 0.6])
    assert loud.frequency_hz(times_s) == pytest.approx(faint.frequency_hz(times_s), rel=1e-12)
    assert (loud.start_s, loud.end_s) == (faint.start_s, faint.end_s)
    likeness = np.corrcoef(loud.samples, faint.samples)[0, 1]
    assert 0.8 < likeness < 0.9999
