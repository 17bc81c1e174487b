"""Breath and hum of tones in which both are known."""

import numpy as np
import pytest
from numpy.typing import NDArray

from reedwright.science.between_partials import (
    MIDBANDS,
    mains_hum,
    noise_bands,
    partial_powers,
    power_spectrum,
)

RATE = 44_100.0


def tone(frequency: float, *, duration: float = 1.0, peak: float = 0.3) -> NDArray[np.float64]:
    """Return a tone of twenty partials that wanders by two cents."""
    times = np.arange(int(duration * RATE)) / RATE
    cycles = frequency * (times + 0.0012 / (2 * np.pi * 3.0) * np.sin(2 * np.pi * 3.0 * times))
    turn = np.exp(2j * np.pi * cycles)
    wave = np.zeros_like(turn)
    for number in range(20, 0, -1):
        wave = (wave + np.exp(1j * number**2) / number) * turn
    return np.asarray(peak * wave.imag / np.abs(wave.imag).max(), dtype=np.float64)


def hum(rng: np.random.Generator, mains: float, power: float, count: int) -> NDArray[np.float64]:
    """Return hum with multiples to the tenth, falling as 1/m, within 0.05 Hz of its name."""
    times = np.arange(count) / RATE
    true = mains + rng.uniform(-0.05, 0.05)
    multiples = np.arange(1, 11)
    phases = rng.uniform(0, 2 * np.pi, 10)
    wave = np.cos(2 * np.pi * true * np.outer(times, multiples) + phases) @ (1.0 / multiples)
    return np.asarray(wave * np.sqrt(power / np.mean(wave**2)))


def test_the_spectrum_holds_the_power_of_the_sound() -> None:
    """A sine of amplitude a has mean square a^2 / 2 (Parseval), noise its variance."""
    rng = np.random.default_rng(0)
    times = np.arange(int(RATE)) / RATE
    for sound, power in (
        (0.2 * np.sin(2 * np.pi * 440.3 * times), 0.02),
        (0.1 * rng.standard_normal(len(times)), 0.01),
    ):
        spectrum = power_spectrum(sound, RATE)
        assert np.sum(spectrum.density) * spectrum.spacing == pytest.approx(power, rel=0.02)


def test_partials_have_their_powers() -> None:
    """Partial k of amplitude 1 / k has mean square 1 / (2 k^2), to 1 %."""
    times = np.arange(int(RATE)) / RATE
    sound = sum(np.sin(2 * np.pi * k * 300.2 * times + k) / k for k in range(1, 6))
    powers = partial_powers(power_spectrum(np.asarray(sound), RATE), 300.2, most=48)
    assert powers[:5] == pytest.approx([0.5 / k**2 for k in range(1, 6)], rel=0.01)
    assert np.all(powers[5:] < 1e-6)
    assert len(powers) == 48
    assert len(partial_powers(power_spectrum(np.asarray(sound), RATE), 9000.0, most=48)) == 2


@pytest.mark.parametrize("frequency", [61.7, 98.0, 440.0, 1760.0])
def test_white_noise_is_measured_between_the_partials(frequency: float) -> None:
    """White noise of power s^2 has s^2 (high - low) / (fs / 2) in a band, to a fifth."""
    rng = np.random.default_rng(1)
    noise_rms = 0.003
    sound = tone(frequency) + noise_rms * rng.standard_normal(int(RATE))
    bands = noise_bands(power_spectrum(sound, RATE), (frequency,))
    assert len(bands) >= 6
    for band in bands[-5:]:
        assert band.power == pytest.approx(
            noise_rms**2 * (band.high - band.low) / (RATE / 2), rel=0.2
        )


def test_bands_are_octaves() -> None:
    """Edges lie half an octave beside the mid-bands, and nothing is told beyond half the rate."""
    rng = np.random.default_rng(2)
    bands = noise_bands(power_spectrum(rng.standard_normal(16_000), 16_000.0), (440.0,))
    for band, middle in zip(bands[-4:], MIDBANDS[2:6], strict=True):
        assert (band.low, band.high) == pytest.approx((middle / 2**0.5, middle * 2**0.5))
    assert bands[-1].high < 8000.0


def test_a_clean_tone_leaves_hardly_any_noise() -> None:
    """What leaks out of a tone that wanders by two cents stays 70 dB under it in every octave."""
    bands = noise_bands(power_spectrum(tone(440.0), RATE), (440.0,))
    assert max(band.power for band in bands) < 1e-7 * np.mean(tone(440.0) ** 2)


def test_a_second_reed_is_no_noise_once_it_is_known() -> None:
    """A second comb, 45 cents off, fills gaps at the 20th partial; named, it is left out."""
    both = tone(440.0) + tone(440.0 * 2 ** (45 / 1200))
    spectrum = power_spectrum(both, RATE)
    alone = noise_bands(spectrum, (440.0,))
    named = noise_bands(spectrum, (440.0, 440.0 * 2 ** (45 / 1200)))
    assert max(band.power for band in named) < max(band.power for band in alone)


def test_a_band_without_gaps_says_nothing() -> None:
    """A band that fits between two partials' own halves, or a short note's, has no number."""
    bands = noise_bands(power_spectrum(tone(98.0, duration=0.1), RATE), (98.0,))
    assert min(band.low for band in bands) > 170.0


def named(frequency: float, mains: float, *, trials: int) -> list[float | None]:
    """Return what hum is found 45 dB under a tone of 1.5 s, in noise 60 dB under it."""
    rng = np.random.default_rng(2)
    clean = tone(frequency, duration=1.5)
    power = float(np.mean(clean**2))
    found = []
    for _ in range(trials):
        sound = clean + hum(rng, mains, power * 10**-4.5, len(clean))
        sound += np.sqrt(power * 1e-6) * rng.standard_normal(len(clean))
        found.append(mains_hum(power_spectrum(sound, RATE), (frequency,)))
    return found


@pytest.mark.parametrize("mains", [50.0, 60.0])
@pytest.mark.parametrize("frequency", [61.74, 98.0, 196.0, 440.0, 1046.5])
def test_hum_is_found_between_the_partials(mains: float, frequency: float) -> None:
    """Hum in a tone is found and its mains named, at B1 too."""
    assert named(frequency, mains, trials=6).count(mains) >= 5


def test_the_partials_of_g1_hide_a_hum_of_50_but_not_of_60() -> None:
    """At 49.0 Hz the low multiples of 50 lie on the skirts of partials: not found, not misnamed."""
    assert named(49.0, 50.0, trials=4) == [None] * 4
    assert named(49.0, 60.0, trials=4) == [60.0] * 4


@pytest.mark.parametrize("mains", [50.0, 60.0])
def test_hum_is_found_in_a_pause(mains: float) -> None:
    """Alone in noise 20 dB under it, in a third of a second."""
    rng = np.random.default_rng(3)
    pause = hum(rng, mains, 1e-6, int(0.33 * RATE)) + 1e-4 * rng.standard_normal(int(0.33 * RATE))
    assert mains_hum(power_spectrum(pause, RATE), ()) == mains


def test_no_hum_is_found_in_noise_or_in_a_reed() -> None:
    """None in 300 noisy tones, nor where a reed's own partials are multiples of the mains."""
    rng = np.random.default_rng(5)
    found = []
    for frequency in np.exp(rng.uniform(np.log(49.0), np.log(2000.0), 300)):
        sound = tone(frequency, duration=0.8)
        sound += 1e-3 * rng.standard_normal(len(sound))
        found.append(mains_hum(power_spectrum(sound, RATE), (float(frequency),)))
    assert found.count(None) >= 298
    for frequency in (50.0, 60.0, 100.0, 150.0, 200.0):
        low = tone(frequency) + 1e-4 * rng.standard_normal(int(RATE))
        assert mains_hum(power_spectrum(low, RATE), (frequency,)) is None


def test_the_tail_of_another_note_is_no_hum() -> None:
    """A note at 150 or 200 Hz left in a pause has lines at third and fourth multiples only."""
    rng = np.random.default_rng(6)
    for frequency in (150.0, 200.0, 180.0, 240.0):
        pause = 0.01 * tone(frequency, duration=0.5) + 1e-5 * rng.standard_normal(int(0.5 * RATE))
        assert mains_hum(power_spectrum(pause, RATE), ()) is None
