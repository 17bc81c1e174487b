"""Breath noise, hum and clipping of tones in which each is known."""

import numpy as np
import pytest
from numpy.typing import NDArray

from reedwright.science.between_partials import (
    band_noise,
    clipped_fraction,
    mains_hum,
    spectrum_gaps,
)

RATE = 44_100.0


def tone(frequency: float, *, duration: float = 1.0, peak: float = 0.3) -> NDArray[np.float64]:
    """Return a tone of twenty partials that wanders by two cents."""
    times = np.arange(int(duration * RATE)) / RATE
    cycles = frequency * (times + 0.0012 / (2 * np.pi * 3.0) * np.sin(2 * np.pi * 3.0 * times))
    wave: NDArray[np.float64] = np.sum(
        [np.sin(2 * np.pi * k * cycles + k * k) / k for k in range(1, 21)], axis=0
    )
    return np.asarray(peak * wave / np.abs(wave).max(), dtype=np.float64)


@pytest.mark.parametrize("frequency", [98.0, 440.0, 1760.0])
def test_white_noise_is_measured_between_the_partials(frequency: float) -> None:
    """White noise of power s^2 has s^2 (high - low) / (fs / 2) in a band, to a fifth."""
    rng = np.random.default_rng(1)
    noise_rms = 0.003
    sound = tone(frequency) + noise_rms * rng.standard_normal(int(RATE))
    gaps = spectrum_gaps(sound, RATE, frequency=frequency)
    for low, high in ((1000.0, 2000.0), (4000.0, 8000.0), (8000.0, 16000.0)):
        expected = noise_rms**2 * (high - low) / (RATE / 2)
        assert band_noise(gaps, low=low, high=high) == pytest.approx(expected, rel=0.2)


def test_a_clean_tone_leaves_hardly_any_noise() -> None:
    """What leaks out of a tone that wanders by two cents stays 60 dB under it."""
    gaps = spectrum_gaps(tone(440.0), RATE, frequency=440.0)
    noise = band_noise(gaps, low=1000.0, high=16000.0)
    assert noise is not None
    assert noise < 1e-6 * np.mean(tone(440.0) ** 2)


def test_a_band_without_gaps_says_nothing() -> None:
    """Where too few bins lie between partials there is no number."""
    gaps = spectrum_gaps(tone(98.0, duration=0.1), RATE, frequency=98.0)
    assert band_noise(gaps, low=125.0, high=160.0) is None


@pytest.mark.parametrize("line", [50.0, 60.0])
def test_hum_is_found_between_the_partials(line: float) -> None:
    """Three multiples of the mains frequency, 50 dB under the tone, are found and told apart."""
    rng = np.random.default_rng(2)
    times = np.arange(int(RATE)) / RATE
    hum = sum(0.001 / k * np.sin(2 * np.pi * k * line * times + k) for k in (1, 2, 3))
    sound = tone(440.0) + hum + 1e-4 * rng.standard_normal(len(times))
    assert mains_hum(spectrum_gaps(sound, RATE, frequency=440.0)) == line


def test_no_hum_is_found_in_noise_or_in_a_low_reed() -> None:
    """None in 300 noisy tones; a reed at G1, whose partials lie on the hum, is not taken for it."""
    rng = np.random.default_rng(5)
    found = [
        mains_hum(
            spectrum_gaps(
                tone(frequency, duration=0.6) + 1e-3 * rng.standard_normal(int(0.6 * RATE)),
                RATE,
                frequency=frequency,
            )
        )
        for frequency in rng.uniform(90.0, 2000.0, 300)
    ]
    assert found.count(None) >= 297
    low = tone(50.0) + 1e-4 * rng.standard_normal(int(RATE))
    assert mains_hum(spectrum_gaps(low, RATE, frequency=50.0)) is None


def test_clipping_is_told_from_loudness() -> None:
    """Clean loud tones read 0; tops cut off read the share that was cut, wherever the rail is."""
    times = np.arange(int(RATE)) / RATE
    for frequency in (49.0, 110.0, 440.0, 2000.0):
        sine = np.sin(2 * np.pi * frequency * times)
        in_16_bits = np.round(32767 * sine) / 32768
        assert clipped_fraction(sine) == 0.0
        assert clipped_fraction(in_16_bits) == pytest.approx(0.0, abs=1e-3)
        assert clipped_fraction(tone(frequency, peak=0.99)) == 0.0
        for rail in (0.95, 0.4):
            cut = np.clip(2.0 * rail * sine, -rail, rail)
            # A sine of twice the rail is beyond it from 30 to 150 degrees of each half turn: 2/3.
            assert clipped_fraction(cut) == pytest.approx(2 / 3, abs=0.02)
    assert clipped_fraction(np.zeros(1000)) == 0.0
