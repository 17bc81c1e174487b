"""What else is on a survey recording: somebody speaking, something knocked."""

import numpy as np
from numpy.typing import NDArray
from scipy.signal import iirpeak, lfilter

__all__ = ["knock", "speech"]

#: Resonances of some vowels, hertz: round figures, from memory.
_VOWELS = ((730, 1090, 2440), (270, 2290, 3010), (300, 870, 2240), (530, 1840, 2480))


def speech(
    rng: np.random.Generator, *, sample_rate_hz: float, duration_s: float
) -> NDArray[np.float64]:
    """Return a voice that is no voice: gliding pulses through vowels, with consonants, peak 1."""
    spoken = np.zeros(round(duration_s * sample_rate_hz))
    speaker_hz = rng.uniform(90.0, 230.0)
    place = 0
    while place < spoken.size:
        length = round(rng.uniform(0.10, 0.28) * sample_rate_hz)
        time_s = np.arange(length) / sample_rate_hz
        glide = np.cumsum(rng.normal(0.0, 1.0, 6))
        semitones = np.interp(time_s, np.linspace(0.0, time_s[-1], 6), 1.5 * glide)
        cycles = np.cumsum(speaker_hz * 2.0 ** (semitones / 12.0)) / sample_rate_hz
        pulses = np.diff(np.floor(cycles), prepend=0.0) + 0.02 * rng.standard_normal(length)
        syllable = np.zeros(length)
        for resonance_hz in _VOWELS[rng.integers(len(_VOWELS))]:
            numerator, denominator = iirpeak(
                resonance_hz * rng.uniform(0.9, 1.1), Q=resonance_hz / 90.0, fs=sample_rate_hz
            )
            syllable += lfilter(numerator, denominator, pulses)
        syllable *= np.hanning(length) ** 0.5 * rng.uniform(0.4, 1.0)
        hiss = round(rng.uniform(0.02, 0.09) * sample_rate_hz)
        syllable[:hiss] += (
            0.1 * np.max(np.abs(syllable)) * rng.standard_normal(hiss) * np.hanning(hiss)
        )
        room = spoken[place : place + length]
        room += syllable[: room.size]
        place += length + round(rng.uniform(0.0, 0.12) * sample_rate_hz)
    peaked: NDArray[np.float64] = spoken / np.max(np.abs(spoken))
    return peaked


def knock(rng: np.random.Generator, *, sample_rate_hz: float) -> NDArray[np.float64]:
    """Return a knock on wood: a few decaying resonances, 0.3 s, peak 1."""
    time_s = np.arange(round(0.3 * sample_rate_hz)) / sample_rate_hz
    struck = 0.3 * rng.standard_normal(time_s.size) * np.exp(-time_s / 0.003)
    for _ in range(4):
        struck += (
            rng.uniform(0.3, 1.0)
            * np.exp(-time_s / rng.uniform(0.010, 0.060))
            * np.sin(2.0 * np.pi * rng.uniform(80.0, 900.0) * time_s)
        )
    peaked: NDArray[np.float64] = struck / np.max(np.abs(struck))
    return peaked
