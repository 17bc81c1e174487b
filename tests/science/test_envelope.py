"""The rise of a tone and the click before it, on tones whose beginning is known."""

import numpy as np
import pytest
from numpy.typing import NDArray

from reedwright.science.envelope import click_time, tone_rise

RATE = 44_100.0


def beginning(
    frequency: float, *, start: float, rise: float, duration: float = 1.2
) -> NDArray[np.float64]:
    """Return a tone of five partials whose amplitude grows in a straight line from ``start``."""
    times = np.arange(int(duration * RATE)) / RATE
    # From 10 to 90 % of a straight ramp is 0.8 of it.
    ramp = np.clip((times - start) / (rise / 0.8), 0.0, 1.0) if rise else (times >= start) * 1.0
    partials = [np.sin(2 * np.pi * k * frequency * times + k) / k for k in range(1, 6)]
    return np.asarray(0.1 * ramp * np.sum(partials, axis=0), dtype=np.float64)


@pytest.mark.parametrize("frequency", [98.0, 220.0, 440.0, 1760.0])
@pytest.mark.parametrize("rise", [0.06, 0.15, 0.4])
def test_a_straight_rise_is_measured(frequency: float, rise: float) -> None:
    """10 to 90 % of a straight ramp, to a sixth of it, at any pitch."""
    found = tone_rise(beginning(frequency, start=0.3, rise=rise), RATE, frequency=frequency)
    assert found is not None
    assert found.duration == pytest.approx(rise, rel=0.17)
    assert found.begins == pytest.approx(0.3 + 0.1 * rise / 0.8, abs=0.02)
    assert found.ends > found.begins


@pytest.mark.parametrize("frequency", [220.0, 880.0])
def test_a_tone_that_starts_at_once_has_no_rise(frequency: float) -> None:
    """The window's own rise is taken off: what is left is less than the window."""
    found = tone_rise(beginning(frequency, start=0.3, rise=0.0), RATE, frequency=frequency)
    assert found is not None
    assert found.duration < 0.0067


def test_a_tone_that_is_there_from_the_beginning_has_none() -> None:
    """Without a beginning there is nothing to measure, nor in a handful of samples."""
    tone = beginning(440.0, start=-1.0, rise=0.1)
    assert tone_rise(tone, RATE, frequency=440.0) is None
    assert tone_rise(tone[:500], RATE, frequency=440.0) is None


def test_a_click_before_a_tone_is_found() -> None:
    """A burst of a few milliseconds, 80 ms before the tone, is found to a few milliseconds."""
    rng = np.random.default_rng(3)
    sound = beginning(440.0, start=0.38, rise=0.05)
    sound += 1e-4 * rng.standard_normal(len(sound))
    at = int(0.3 * RATE)
    burst = rng.standard_normal(300) * np.exp(-np.arange(300) / 60.0)
    sound[at : at + 300] += 0.03 * burst
    clicked = click_time(sound[: int(0.4 * RATE)], RATE)
    assert clicked == pytest.approx(0.3, abs=0.004)


def test_no_click_is_found_where_there_is_none() -> None:
    """Noise alone, and the beginning of a tone, are no clicks: none in 200 trials each."""
    rng = np.random.default_rng(4)
    noise = 1e-3 * rng.standard_normal((200, int(0.35 * RATE)))
    assert all(click_time(piece, RATE) is None for piece in noise)
    for seed in range(200):
        each = np.random.default_rng(seed)
        tone = beginning(each.uniform(150, 1500), start=0.3, rise=each.uniform(0.02, 0.2))
        tone += 1e-4 * each.standard_normal(len(tone))
        assert click_time(tone[: int(0.36 * RATE)], RATE) is None
