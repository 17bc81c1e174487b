"""The rise of a tone and the click before it, on tones whose beginning is known."""

import numpy as np
import pytest
from numpy.typing import NDArray

from reedwright.science.envelope import STEP_RISE, Rise, click_time, harmonic_amplitude, rise

RATE = 44_100.0
PARTIALS = np.arange(1, 6)


def beginning(
    frequency: float, *, start: float, ramp: float, duration: float = 1.2
) -> NDArray[np.float64]:
    """Return a tone of five partials whose amplitude grows in a straight line from ``start``."""
    times = np.arange(int(duration * RATE)) / RATE
    grown = np.clip((times - start) / ramp, 0.0, 1.0) if ramp else (times >= start) * 1.0
    partials = [np.sin(2 * np.pi * k * frequency * times + k) / k for k in PARTIALS]
    return np.asarray(0.1 * grown * np.sum(partials, axis=0), dtype=np.float64)


def heard(sound: NDArray[np.float64], frequency: float, *, steady: float) -> Rise | None:
    """Return the rise of a sound from its start to its end."""
    times, amplitude, frame = harmonic_amplitude(
        sound, RATE, frequency=frequency, partials=PARTIALS, start=0.0, stop=len(sound) / RATE
    )
    return rise(times, amplitude, steady=steady, frame=frame)


def full(frequency: float) -> float:
    """Return the amplitude of a settled tone: the root of the summed squares of its partials."""
    assert frequency > 0.0
    return 0.1 * float(np.sqrt(np.sum(1.0 / PARTIALS**2)))


def test_the_blur_of_a_frame_is_that_of_a_hann_window() -> None:
    """Y = x - sin(2 pi x) / (2 pi) takes ``STEP_RISE`` from 0.1 to 0.9, half on each side."""
    half = 0.5 * STEP_RISE
    for place, value in ((0.5 - half, 0.1), (0.5 + half, 0.9)):
        assert place - np.sin(2 * np.pi * place) / (2 * np.pi) == pytest.approx(value, abs=1e-4)


@pytest.mark.parametrize("frequency", [98.0, 440.0, 1760.0])
def test_the_amplitude_is_that_of_the_partials(frequency: float) -> None:
    """A settled tone has the root of its partials' summed squares, to 0.2 %, in every frame."""
    sound = beginning(frequency, start=-1.0, ramp=0.1)
    _, amplitude, _ = harmonic_amplitude(
        sound, RATE, frequency=frequency, partials=PARTIALS, start=0.1, stop=1.1
    )
    assert len(amplitude) > 50
    assert amplitude == pytest.approx(full(frequency), rel=2e-3)


@pytest.mark.parametrize("frequency", [98.0, 220.0, 440.0, 1760.0])
@pytest.mark.parametrize("ramp", [0.08, 0.2, 0.4])
def test_a_straight_rise_is_measured(frequency: float, ramp: float) -> None:
    """10 to 90 % of a straight ramp is 0.8 of it, and 10 % lies a tenth into it: to 4 ms."""
    sound = beginning(frequency, start=0.3, ramp=ramp, duration=1.5)
    found = heard(sound, frequency, steady=full(frequency))
    assert found is not None
    assert found.duration == pytest.approx(0.8 * ramp, abs=0.004)
    assert found.begun == pytest.approx(0.3 + 0.1 * ramp, abs=0.004)


def test_a_wrong_idea_of_the_steady_amplitude_hardly_matters() -> None:
    """The amplitude soon after the attack counts, not the one first thought of."""
    sound = beginning(440.0, start=0.3, ramp=0.1)
    low, high = (heard(sound, 440.0, steady=share * full(440.0)) for share in (0.8, 1.4))
    assert low is not None
    assert high is not None
    assert low.duration == pytest.approx(high.duration, abs=1e-3)


def test_a_swell_is_no_attack() -> None:
    """A tone that starts in 40 ms and then goes on swelling has risen in about 32 ms."""
    sound = beginning(440.0, start=0.3, ramp=0.04)
    sound *= 10.0 ** (np.linspace(-2.0, 4.0, len(sound)) / 20.0)
    found = heard(sound, 440.0, steady=1.2 * full(440.0))
    assert found is not None
    assert found.duration == pytest.approx(0.032, abs=0.008)


@pytest.mark.parametrize("frequency", [220.0, 880.0])
def test_a_tone_that_starts_at_once_has_no_rise(frequency: float) -> None:
    """The frame's own rise is taken off: what is left is six tenths of a frame."""
    found = heard(beginning(frequency, start=0.3, ramp=0.0), frequency, steady=full(frequency))
    assert found is not None
    assert found.duration < 0.6 * max(0.004, 2.0 / frequency)
    assert found.begun == pytest.approx(0.3, abs=0.004)


def test_what_shows_no_beginning_has_no_rise() -> None:
    """A tone that is there from the first sample, one that never comes, a handful of samples."""
    tone = beginning(440.0, start=-1.0, ramp=0.1)
    assert heard(tone, 440.0, steady=full(440.0)) is None
    assert heard(0.3 * tone, 440.0, steady=full(440.0)) is None
    assert len(harmonic_amplitude(
        tone[:200], RATE, frequency=440.0, partials=PARTIALS, start=0.0, stop=1.0
    )[0]) == 0  # fmt: skip


def test_a_click_before_a_tone_is_found() -> None:
    """A burst of a few milliseconds, 80 ms before the tone and weaker than it, to 3 ms."""
    rng = np.random.default_rng(3)
    for _ in range(20):
        at = rng.uniform(0.15, 0.35)
        sound = beginning(440.0, start=at + 0.08, ramp=0.05)
        sound += 1e-4 * rng.standard_normal(len(sound))
        place = int(at * RATE)
        burst = rng.standard_normal(300) * np.exp(-np.arange(300) / 60.0)
        sound[place : place + 300] += 0.01 * burst
        clicked = click_time(sound, RATE, start=0.0, stop=at + 0.085, period=1 / 440)
        assert clicked == pytest.approx(at, abs=0.003)


def test_no_click_is_found_where_there_is_none() -> None:
    """Noise, and the beginning of a tone, are no clicks: at most one in 200 of each."""
    rng = np.random.default_rng(4)
    noise = 1e-3 * rng.standard_normal((200, int(0.35 * RATE)))
    assert (
        sum(
            click_time(each, RATE, start=0.0, stop=0.35, period=0.003) is not None for each in noise
        )
        <= 1
    )
    false = 0
    for _ in range(200):
        ramp = rng.uniform(0.02, 0.2)
        frequency = rng.uniform(50, 1500)
        tone = beginning(frequency, start=0.3, ramp=ramp, duration=0.6)
        tone += 1e-4 * rng.standard_normal(len(tone))
        stop = 0.3 + 0.2 * ramp
        clicked = click_time(tone, RATE, start=0.0, stop=stop, period=1.0 / frequency)
        false += clicked is not None
    assert false <= 1
    assert click_time(noise[0], RATE, start=0.0, stop=0.02, period=0.003) is None
