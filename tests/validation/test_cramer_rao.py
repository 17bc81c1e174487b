"""The limit of any unbiased estimator of a harmonic tone's frequency, and how near ours comes.

Source: Nielsen, Jensen, Jensen, Christensen and Jensen, Signal Processing 135 (2017)
188-197, and Kay, Estimation Theory (1993), section 3.11, both from memory:
var(f0) >= 24 s^2 fs^2 / ((2 pi)^2 N (N^2 - 1) sum l^2 A_l^2).
"""

import numpy as np
import pytest

from reedwright.science.harmonic_fit import fit_harmonics


def bound_hz(amplitudes: list[float], noise_variance: float, rate: float, count: int) -> float:
    """Return the least standard deviation of the fundamental, hertz."""
    energy = sum((number * a) ** 2 for number, a in enumerate(amplitudes, start=1))
    variance = 24.0 * noise_variance * rate**2 / (4 * np.pi**2 * count * (count**2 - 1) * energy)
    return float(np.sqrt(variance))


def test_the_bound_is_the_worked_number() -> None:
    """Twenty equal partials, 1 s at 44100, 30 dB: 6.9305e-6 Hz by the exact Fisher inverse."""
    noise_variance = 20 * 0.5 / 1000.0
    assert bound_hz([1.0] * 20, noise_variance, 44_100.0, 44_100) == pytest.approx(
        6.9305e-6, rel=1e-4
    )


def test_the_fit_comes_near_the_bound_of_what_it_was_given() -> None:
    """Over 60 steady tones in white noise the rms error is within 1.6 of the bound of 1 s."""
    rate, count = 44_100.0, 44_100
    times = np.arange(count) / rate
    ratios = []
    for seed in range(60):
        rng = np.random.default_rng([17, seed])
        frequency = rng.uniform(250.0, 900.0)
        amplitudes = [1.0 / number for number in range(1, 13)]
        phases = rng.uniform(0.0, 2 * np.pi, 12)
        tone = np.sum(
            [
                a * np.cos(2 * np.pi * k * frequency * times + p)
                for k, (a, p) in enumerate(zip(amplitudes, phases, strict=True), start=1)
            ],
            axis=0,
        )
        noise_rms = 0.05
        samples = tone + noise_rms * rng.standard_normal(count)
        fit = fit_harmonics(samples, rate, coarse_frequency=frequency * 1.002)
        limit = bound_hz(amplitudes, noise_rms**2, rate, count)
        ratios.append((fit.mean_frequency - frequency) / limit)
    assert float(np.sqrt(np.mean(np.square(ratios)))) < 1.6
