"""Reeds fitted together, on sounds made of known reeds."""

import numpy as np
import pytest
from numpy.typing import NDArray

from reedwright.science.two_reeds import CombFit, fit_combs
from reedwright.units import CENTS_PER_NATURAL_LOG, ratio_from_cents

RATE = 44_100.0
TIMES = np.arange(int(RATE)) / RATE
START, STOP = 0.03, 0.97
NOISE = 1e-4


def reed(
    frequency: float,
    *,
    level: float = 0.1,
    drift_cents: float = 0.0,
    seed: int = 0,
) -> NDArray[np.float64]:
    """Return a reed of twelve partials; its pitch swings once by so many cents to either side."""
    depth = drift_cents * np.log(2) / 1200 / (2 * np.pi)
    cycles = frequency * (TIMES + depth * np.sin(2 * np.pi * TIMES))
    phases = np.random.default_rng(seed).uniform(0, 2 * np.pi, 12)
    sound = np.zeros_like(TIMES)
    for number in range(1, 13):
        sound += level / number * np.sin(2 * np.pi * number * cycles + phases[number - 1])
    return sound


def mean_frequency(frequency: float, drift_cents: float) -> float:
    """Return a reed's mean frequency between ``START`` and ``STOP``."""
    depth = drift_cents * np.log(2) / 1200 / (2 * np.pi)
    swung = np.sin(2 * np.pi * STOP) - np.sin(2 * np.pi * START)
    return float(frequency * (1.0 + depth * swung / (STOP - START)))


def fitted(sound: NDArray[np.float64], *ideas: float, room: bool, error: float) -> CombFit:
    """Return the fit of a sound in a little noise."""
    noise = NOISE * np.random.default_rng(9).standard_normal(len(TIMES))
    return fit_combs(
        sound + noise, RATE, frequencies=ideas, start=START, stop=STOP, room=room, error=error
    )


def cents(heard: float, true: float) -> float:
    """Return how far off a frequency is."""
    return CENTS_PER_NATURAL_LOG * float(np.log(heard / true))


@pytest.mark.parametrize("distance", [1.0, 3.0, 16.0, 50.0])
@pytest.mark.parametrize("level_db", [0.0, -6.0, -20.0])
def test_both_reeds_are_found_with_their_levels(distance: float, level_db: float) -> None:
    """Steady reeds from 1 cent apart: both to 0.01 c (0.02 at -20 dB), the level to half a dB."""
    second = 440.0 * ratio_from_cents(distance)
    level = 0.1 * 10.0 ** (level_db / 20.0)
    sound = reed(440.0) + reed(second, level=level, seed=1)
    cent = 440.0 / CENTS_PER_NATURAL_LOG
    error = float(np.clip(0.15 * distance, 0.3, 1.0)) * cent
    fit = fitted(sound, 440.0 + 0.5 * error, second - 0.5 * error, room=False, error=error)
    allowed = 0.01 if level_db > -10.0 else 0.02
    assert abs(cents(fit.frequencies[0], 440.0)) < allowed
    assert abs(cents(fit.frequencies[1], second)) < allowed
    assert fit.levels_db[1] - fit.levels_db[0] == pytest.approx(level_db, abs=0.5)


@pytest.mark.parametrize("drifts", [(1.5, 1.5), (1.0, -0.5), (0.0, 1.0)])
def test_drift_is_followed_shared_or_not(drifts: tuple[float, float]) -> None:
    """Two equal reeds 5 cents apart that swing together, against each other, or one alone."""
    second = 440.0 * ratio_from_cents(5.0)
    sound = reed(440.0, drift_cents=drifts[0]) + reed(second, drift_cents=drifts[1], seed=1)
    fit = fitted(sound, 440.0, second, room=False, error=0.2)
    for heard, base, drift, course in zip(
        fit.frequencies, (440.0, second), drifts, fit.frame_frequencies, strict=True
    ):
        assert abs(cents(heard, mean_frequency(base, drift))) < 0.01
        true = base * (1.0 + drift * np.log(2) / 1200 * np.cos(2 * np.pi * fit.frame_times))
        inside = (fit.frame_times > START) & (fit.frame_times < STOP)
        off = CENTS_PER_NATURAL_LOG * (course / true - 1.0)[inside]
        assert np.sqrt(np.mean(off**2)) < 0.1


def test_standard_errors_cover_the_errors() -> None:
    """Of 30 pairs in white noise, 95 % expected within 1.96 errors: 24 or more both times.

    Binomial: fewer than 25 of 30 at 95 % happens once in two hundred.
    """
    rng = np.random.default_rng(3)
    covered = np.zeros(2)
    sizes = []
    for trial in range(30):
        first = float(rng.uniform(250.0, 900.0))
        second = first * ratio_from_cents(float(rng.uniform(2.0, 12.0)))
        sound = reed(first, seed=trial) + reed(second, level=0.07, seed=100 + trial)
        sound += 3e-3 * rng.standard_normal(len(TIMES))
        fit = fitted(sound, first, second, room=False, error=0.2)
        errors = np.abs(fit.frequencies - [first, second])
        covered += errors < 1.96 * fit.standard_errors
        sizes.append(errors / fit.standard_errors)
    assert np.all(covered >= 24)
    # Nor are they wide beyond reason: the median error is 0.67 standard errors.
    assert np.median(sizes) == pytest.approx(0.67, abs=0.3)


def test_a_room_keeps_a_weak_reed_apart_from_a_strong_one() -> None:
    """An echo 20 dB under a drifting reed is no reed: with a room a -25 dB reed is found anyway."""
    second = 440.0 * ratio_from_cents(2.0)
    strong = reed(440.0, drift_cents=1.5)
    echo = 0.1 * np.roll(strong, round(0.06 * RATE))
    sound = strong + echo + reed(second, level=0.1 * 10 ** (-25 / 20), seed=1)
    with_room = fitted(sound, 440.0, second, room=True, error=0.1)
    without = fitted(sound, 440.0, second, room=False, error=0.1)
    assert abs(cents(with_room.frequencies[1], second)) < 0.2
    assert abs(cents(with_room.frequencies[1], second)) < abs(cents(without.frequencies[1], second))


def test_three_reeds_can_be_fitted() -> None:
    """Two reeds 16 cents apart, the first with another 1.2 beside it: all three, to 0.02 c."""
    true = [440.0, 440.0 * ratio_from_cents(16.0), 440.0 * ratio_from_cents(1.2)]
    sound = reed(true[0]) + reed(true[1], seed=1) + reed(true[2], level=0.05, seed=2)
    fit = fitted(sound, *true, room=False, error=0.05)
    for heard, frequency in zip(fit.frequencies, true, strict=True):
        assert abs(cents(heard, frequency)) < 0.02
    assert np.mean(fit.unexplained) < 1e-2


def test_what_no_reed_explains_is_told_and_has_no_say() -> None:
    """Strong lines in four partials that belong to neither reed: told there, and harmless."""
    second = 440.0 * ratio_from_cents(16.0)
    sound = reed(440.0) + reed(second, seed=1)
    for number in (5, 6, 8, 11):
        sound += 0.1 / number * np.sin(2 * np.pi * (number * 440.0 + 9.0) * TIMES)
    fit = fitted(sound, 440.0, second, room=False, error=0.2)
    assert np.all(fit.unexplained[[4, 5, 7, 10]] > 0.1)
    assert np.all(fit.unexplained[[0, 1, 2, 3]] < 0.01)
    assert abs(cents(fit.frequencies[0], 440.0)) < 0.01
    assert abs(cents(fit.frequencies[1], second)) < 0.01


def test_isolated_amplitudes_are_those_of_each_reed() -> None:
    """With the other reed taken away, each keeps a steady amplitude: 1 / k, to 2 %."""
    second = 440.0 * ratio_from_cents(10.0)
    fit = fitted(reed(440.0) + reed(second, seed=1), 440.0, second, room=False, error=0.2)
    for own in fit.isolated:
        size = np.abs(own[:, :6])
        assert size.mean(axis=0) == pytest.approx(0.1 / np.arange(1, 7), rel=0.02)
        assert np.max(size.std(axis=0) / size.mean(axis=0)) < 0.05


def test_reeds_too_near_to_be_told_apart_have_errors_that_say_so() -> None:
    """0.02 cents apart over one second, in noise 20 dB under them: errors exceed the distance."""
    second = 440.0 * ratio_from_cents(0.02)
    sound = reed(440.0) + reed(second, level=0.05, seed=1)
    sound += 0.01 * np.random.default_rng(4).standard_normal(len(TIMES))
    fit = fitted(sound, 440.0, 440.0 * ratio_from_cents(0.3), room=False, error=0.07)
    assert np.max(fit.standard_errors) > second - 440.0
