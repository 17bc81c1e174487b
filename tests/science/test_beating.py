"""The beat of a second reed in the amplitudes of all partials, made directly."""

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.special import exp1

from reedwright.science.beating import (
    MEAN_LOG_GAIN,
    BeatSearch,
    search_beat,
    search_beat_anew,
    spectral_noise,
)

FREQUENCY = 300.0
TIMES: NDArray[np.float64] = np.linspace(0.015, 0.99, 66)
ORDERS = np.arange(1, 21)
NOISE = 1e-4


def noise(rng: np.random.Generator) -> NDArray[np.complex128]:
    """Return noise of variance ``NOISE`` in every amplitude."""
    both = rng.standard_normal((2, len(TIMES), len(ORDERS))) * np.sqrt(NOISE / 2.0)
    return np.asarray(both[0] + 1.0j * both[1])


def companion(beat: float, level: float) -> NDArray[np.complex128]:
    """Return the amplitudes of a second reed ``beat`` hertz off, re the first's phase."""
    turns = np.exp(2j * np.pi * beat * np.outer(TIMES, ORDERS) + 1j * ORDERS**2)
    return np.asarray(level * turns)


def searched(
    amplitudes: NDArray[np.complex128], drift: NDArray[np.float64] | None = None
) -> BeatSearch:
    """Return the beat found; ``drift`` is relative."""
    course = np.zeros_like(TIMES) if drift is None else drift
    return search_beat(
        amplitudes,
        frame_times=TIMES,
        frame_frequency=FREQUENCY * (1.0 + course),
        frequency=FREQUENCY,
        noise_variance=np.full(len(ORDERS), NOISE),
    )


def test_the_mean_log_gain_is_the_exponential_integral() -> None:
    """E log(1 + P) of exponential P with mean 1 is e E1(1) (by parts)."""
    assert pytest.approx(np.e * exp1(1.0), rel=1e-9) == MEAN_LOG_GAIN


def test_noise_is_read_from_the_quiet_quarter_of_the_spectrum() -> None:
    """The variance of noise is found to a tenth, and to a factor of two under strong lines."""
    rng = np.random.default_rng(0)
    assert np.mean(spectral_noise(noise(rng).T)) == pytest.approx(NOISE, rel=0.1)
    found = np.mean(spectral_noise((noise(rng) + 1.0 + companion(1.3, 0.5)).T))
    assert 0.9 * NOISE < found < 2.0 * NOISE


@pytest.mark.parametrize("beat", [-1.7, -0.4, 0.4, 1.0, 4.0])
@pytest.mark.parametrize("level", [0.3, 0.1, 0.03])
def test_a_line_at_k_times_the_beat_is_found(beat: float, level: float) -> None:
    """Sharper is positive, the beat is right to 5 %, at -10, -20 and -30 dB."""
    found = searched(1.0 + companion(beat, level) + noise(np.random.default_rng(1)))
    assert found.score > 4.0
    assert found.beat == pytest.approx(beat, rel=0.05)
    assert found.frequency == FREQUENCY


def test_what_a_player_does_to_all_partials_is_no_beat() -> None:
    """A swell of 6 dB, a flutter of 1 dB and 1 cent at 5 Hz, and noise: no score in 20 trials."""
    rng = np.random.default_rng(2)
    for _ in range(20):
        swell = 10.0 ** (rng.uniform(-6, 6) * TIMES / 20.0)
        turn = 2 * np.pi * rng.uniform(3, 7) * TIMES
        flutter = 10.0 ** (0.5 * np.sin(turn + rng.uniform(0, 6)) / 20.0)
        bend = FREQUENCY * np.log(2) / 1200 / 5.0 * np.cos(turn)
        steady = (swell * flutter)[:, None] * np.exp(1j * np.outer(bend, ORDERS))
        assert searched(steady + noise(rng)).score < 2.0


def drifting(
    at: NDArray[np.float64], *, rate: float, phase: float, cents: float
) -> NDArray[np.float64]:
    """Return a relative drift that swings by so many cents to either side."""
    return np.asarray(cents * np.log(2) / 1200 * np.sin(2 * np.pi * rate * at + phase))


def test_what_a_room_does_to_a_drifting_reed_is_no_beat() -> None:
    """Copies up to 150 ms late, 10 dB under a reed that drifts by 2 cents: 2 of 20 score."""
    rng = np.random.default_rng(3)
    delays = np.arange(0.005, 0.150, 0.005)
    scores = []
    for _ in range(20):
        rate, phase = float(rng.uniform(0.3, 1.5)), float(rng.uniform(0, 6))
        copies = 0.10 * (rng.standard_normal((29, 20)) + 1j * rng.standard_normal((29, 20)))
        copies *= np.exp(-delays / 0.05)[:, None]
        amplitudes = np.ones((len(TIMES), len(ORDERS)), dtype=complex)
        for delay, copy in zip(delays, copies, strict=True):
            late = drifting(TIMES - 0.5 * delay, rate=rate, phase=phase, cents=1.0)
            turned = 2 * np.pi * FREQUENCY * delay * late
            amplitudes += copy * np.exp(-1j * np.outer(turned, ORDERS))
        drift = drifting(TIMES, rate=rate, phase=phase, cents=1.0)
        scores.append(searched(amplitudes + noise(rng), drift).score)
    assert np.sum(np.array(scores) > 2.1) <= 2
    assert np.median(scores) < 1.0


def test_one_partial_that_is_disturbed_decides_nothing() -> None:
    """A line as strong as the partial itself in one of twenty, hum say, is outvoted."""
    amplitudes = 1.0 + noise(np.random.default_rng(4))
    amplitudes[:, 6] += np.exp(2j * np.pi * 4.2 * TIMES)
    assert searched(amplitudes).score < 2.0


def test_false_alarms_in_noise_are_rare() -> None:
    """Noise alone passes the threshold of the listener in at most 4 of 200 (2 % expected at most).

    Binomial: of 200 at 2 %, more than 9 happen once in a hundred times.
    """
    rng = np.random.default_rng(5)
    scores = [searched(1.0 + noise(rng)).score for _ in range(200)]
    assert sum(score > 2.1 for score in scores) <= 9
    assert max(scores) > 0.0


@pytest.mark.parametrize("level", [1.0, 0.5])
def test_two_equal_reeds_are_heard_in_the_sound_itself(level: float) -> None:
    """Two reeds of like strength, 3 cents apart, no phase given: the beat is found, either sign."""
    rate, times = 44_100.0, np.arange(44_100) / 44_100.0
    other = FREQUENCY * 2 ** (3 / 1200)
    sound = np.zeros_like(times)
    for k in range(1, 16):
        sound += np.sin(2 * np.pi * k * FREQUENCY * times + k) / k
        sound += level * np.sin(2 * np.pi * k * other * times) / k
    found = search_beat_anew(sound, rate, frequency=FREQUENCY, degree=1)
    assert found.score > 4.0
    assert abs(found.beat) == pytest.approx(other - FREQUENCY, rel=0.1)
