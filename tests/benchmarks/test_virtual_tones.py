"""The virtual bench tells the truth: its stated values are those of its samples."""

import numpy as np
import pytest
from benchmarks.virtual.room import noise
from benchmarks.virtual.tones import SecondVoice, VirtualTone, make_tone
from numpy.typing import NDArray


def power(sound: NDArray[np.float32]) -> float:
    """Return the mean square of a sound."""
    return float(np.mean(np.asarray(sound, dtype=np.float64) ** 2))


def phase_slope_hz(tone: VirtualTone, from_s: float, to_s: float) -> float:
    """Return the fundamental between two times by counting its turns, with no truth used but near.

    The tone is turned back by its base frequency and smoothed over some 50 ms,
    and the phase left over is compared at the two times.
    """
    base_hz = tone.voice.course.base_hz
    time_s = np.arange(tone.samples.size) / tone.sample_rate_hz
    turned = tone.samples * np.exp(-2j * np.pi * base_hz * time_s)
    window = np.hanning(2 * round(12.0 * tone.sample_rate_hz / base_hz) + 1)

    def angle(at_s: float) -> float:
        centre = round(at_s * tone.sample_rate_hz)
        half = window.size // 2
        return float(np.angle(np.sum(turned[centre - half : centre + half + 1] * window)))

    turns = np.angle(np.exp(1j * (angle(to_s) - angle(from_s)))) / (2.0 * np.pi)
    return float(base_hz + turns / (to_s - from_s))


@pytest.mark.parametrize("seed", range(6))
def test_stated_mean_frequency_is_that_of_the_samples(seed: int) -> None:
    """Turns of the fundamental counted in the samples agree with the stated mean to 0.05 cents."""
    tone = make_tone(
        np.random.default_rng([1, seed]), frequency_hz=(400.0, 2000.0), snr_db=80.0, duration_s=1.2
    )
    measured_hz = phase_slope_hz(tone, 0.25, 1.0)
    stated_hz = tone.mean_frequency_hz(0.25, 1.0)
    assert abs(1200.0 * np.log2(measured_hz / stated_hz)) < 0.05


def test_stated_mean_is_the_mean_of_the_stated_frequency() -> None:
    """The closed form of the phase is the integral of the closed form of the frequency."""
    tone = make_tone(np.random.default_rng(4), whole_note=True, drift_cents=4.0)
    middles_s = tone.start_s + (np.arange(200_000) + 0.5) * 1.0 / 200_000
    mean_hz = float(np.mean(tone.frequency_hz(middles_s)))
    assert tone.mean_frequency_hz(tone.start_s, tone.start_s + 1.0) == pytest.approx(
        mean_hz, rel=1e-10
    )


def test_noise_has_unit_power_between_20_hz_and_20_khz() -> None:
    """White or pink, the noise's power in the band where the SNR is defined is 1 within 2 %."""
    for white_share in (0.0, 0.4, 1.0):
        made = noise(
            np.random.default_rng(5), 400_000, sample_rate_hz=44_100.0, white_share=white_share
        )
        spectrum = np.abs(np.fft.rfft(made)) ** 2
        frequency_hz = np.fft.rfftfreq(made.size) * 44_100.0
        inside = (frequency_hz >= 20.0) & (frequency_hz <= 20_000.0)
        assert 2.0 * np.sum(spectrum[inside]) / made.size**2 == pytest.approx(1.0, rel=0.02)


def test_whole_note_begins_and_ends_where_it_says() -> None:
    """Before the note there is 40 dB less than in it; half a second after it, 30 dB less."""
    tone = make_tone(
        np.random.default_rng(6), whole_note=True, snr_db=60.0, duration_s=1.5, silence_after_s=1.0
    )
    first, last = (round(edge * tone.sample_rate_hz) for edge in (tone.start_s, tone.end_s))
    inside = power(tone.samples[first + 8000 : last])
    assert power(tone.samples[: first - 3000]) < 1e-4 * inside
    assert power(tone.samples[last + 22_050 :]) < 1e-3 * inside


def test_second_reed_stands_at_the_stated_level_and_distance() -> None:
    """A stationary pair's two fundamentals are found by a long transform where they should be."""
    tone = make_tone(
        np.random.default_rng(8),
        frequency_hz=440.0,
        duration_s=20.0,
        stationary=True,
        snr_db=70.0,
        second=SecondVoice(level_db=-6.0, distance_cents=10.0),
    )
    window = np.hanning(tone.samples.size)
    spectrum = np.abs(np.fft.rfft(tone.samples * window, 8 * tone.samples.size))
    step_hz = tone.sample_rate_hz / (8 * tone.samples.size)
    second_hz = tone.second_mean_frequency_hz(0.0, 20.0)
    around = round(second_hz / step_hz)
    found_hz = (around - 40 + np.argmax(spectrum[around - 40 : around + 41])) * step_hz
    assert found_hz == pytest.approx(440.0 * 2.0 ** (10.0 / 1200.0), abs=step_hz)
    assert tone.second is not None
    expected = (
        tone.second.amplitudes[0] * 10.0 ** (-6.0 / 20.0) / tone.voice.amplitudes[0]
    )  # ratio of the two fundamentals
    assert spectrum[around] / spectrum[round(440.0 / step_hz)] == pytest.approx(expected, rel=0.05)


def test_cramer_rao_bound_is_that_of_the_worked_example() -> None:
    """White noise, 30 dB, 1 s, 440 Hz, sampled 44.1 kHz: the closed form by hand."""
    tone = make_tone(
        np.random.default_rng(9), frequency_hz=440.0, stationary=True, snr_db=30.0, duration_s=1.0
    )
    numbers = np.arange(1, len(tone.voice.amplitudes) + 1)
    frames = 44_100
    share_of_band = (20_000.0 - 20.0) / 22_050.0
    variance = tone.noise_power / share_of_band
    information = np.sum(numbers**2 * tone.partial_amplitudes() ** 2)
    error_hz = np.sqrt(
        24.0
        * variance
        * 44_100.0**2
        / ((2.0 * np.pi) ** 2 * frames * (frames**2 - 1) * information)
    )
    assert tone.cramer_rao_cents(1.0) == pytest.approx(1731.234 * error_hz / 440.0, rel=1e-6)


def test_same_seed_same_tone() -> None:
    """A tone is wholly decided by its generator's seed."""
    first, second = (make_tone(np.random.default_rng(11)) for _ in range(2))
    assert np.array_equal(first.samples, second.samples)
