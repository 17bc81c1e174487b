"""A second comb of lines found in the spectrum of sounds made of known combs."""

import numpy as np
import pytest
from numpy.typing import NDArray

from reedwright.science.second_comb import WIDEST, search_second_comb
from reedwright.units import cents_from_ratio, ratio_from_cents

RATE = 44_100.0
TIMES = np.arange(int(RATE)) / RATE


def comb(frequency: float, *, level: float = 0.1, flutter: float = 0.0) -> NDArray[np.float64]:
    """Return twelve partials falling as 1/k; ``flutter`` is a swing at 5 Hz in cents."""
    depth = flutter * np.log(2) / 1200 / (2 * np.pi * 5.0)
    cycles = frequency * (TIMES + depth * np.sin(2 * np.pi * 5.0 * TIMES))
    sound = np.zeros_like(TIMES)
    for number in range(1, 13):
        sound += level / number * np.sin(2 * np.pi * number * cycles + number**2)
    return sound


@pytest.mark.parametrize("frequency", [196.0, 440.0, 1046.5, 2093.0])
@pytest.mark.parametrize("distance", [-55.0, -25.0, 16.0, 40.0])
@pytest.mark.parametrize("level_db", [0.0, -20.0, -35.0])
def test_a_second_comb_is_found_and_placed(
    frequency: float, distance: float, level_db: float
) -> None:
    """From 16 to 55 cents off, down to -35 dB, in noise: both within half a cent or a bin."""
    rng = np.random.default_rng(0)
    second = frequency * ratio_from_cents(distance)
    sound = comb(frequency) + comb(second, level=0.1 * 10 ** (level_db / 20))
    sound += 1e-4 * rng.standard_normal(len(TIMES))
    found = search_second_comb(sound, RATE, frequency=frequency * ratio_from_cents(3.0))
    assert found.score > 3.5
    pair = [found.first, found.second]
    if level_db == 0.0:
        pair.sort(key=lambda each: abs(each - frequency))
    # The lowest partials count most; a bin of one second is 1 Hz.
    allowed = max(0.5, abs(cents_from_ratio(1.0 + 0.6 / frequency)))
    assert cents_from_ratio(pair[0] / frequency) == pytest.approx(0.0, abs=allowed)
    assert cents_from_ratio(pair[1] / second) == pytest.approx(0.0, abs=2.0 * allowed)


def test_one_reed_is_one_comb() -> None:
    """Single reeds with flutter, in noise: none of 60 scores as much as the listener asks."""
    rng = np.random.default_rng(1)
    scores = []
    for _ in range(60):
        frequency = float(np.exp(rng.uniform(np.log(196.0), np.log(2093.0))))
        sound = comb(frequency, flutter=rng.uniform(0.0, 2.0))
        sound += 10.0 ** rng.uniform(-5, -3) * rng.standard_normal(len(TIMES))
        scores.append(search_second_comb(sound, RATE, frequency=frequency).score)
    assert max(scores) < 3.5


def test_lines_between_strong_reeds_do_not_mislead() -> None:
    """Lines at k f1 + j (f2 - f1), as strong as the reeds' own from the third on, are no reed."""
    low, high = 261.0, 261.0 * ratio_from_cents(24.0)
    sound = comb(low) + comb(high)
    for number in range(3, 13):
        for step in range(1, number):
            middle = number * low + step * (high - low)
            sound += 0.1 / number * np.sin(2 * np.pi * middle * TIMES + step * number)
    found = search_second_comb(sound, RATE, frequency=low)
    pair = sorted([found.first, found.second])
    assert cents_from_ratio(pair[0] / low) == pytest.approx(0.0, abs=2.0)
    assert cents_from_ratio(pair[1] / high) == pytest.approx(0.0, abs=2.0)


def test_beyond_a_quarter_tone_it_is_another_note() -> None:
    """A comb 100 cents off is not looked for."""
    sound = comb(440.0) + comb(440.0 * ratio_from_cents(100.0))
    sound += 1e-4 * np.random.default_rng(2).standard_normal(len(TIMES))
    found = search_second_comb(sound, RATE, frequency=440.0)
    assert found.score < 3.5
    assert abs(cents_from_ratio(found.second / found.first)) <= WIDEST + 1.0
