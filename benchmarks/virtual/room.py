"""What a microphone hears besides the reed: noise, mains hum, the button's click, the room.

Conventions: sounds are float64 arrays of shape (n,); levels in decibels of power.
"""

import numpy as np
from numpy.typing import NDArray
from scipy.signal import oaconvolve

__all__ = [
    "DIRECT_TO_REVERBERANT_DB",
    "REVERBERATION_S",
    "button_click",
    "in_room",
    "mains_hum",
    "noise",
    "noise_density",
    "room_response",
]

#: Range of a room's reverberation time: a furnished room to a bare workshop, from memory.
REVERBERATION_S = (0.1, 0.5)
#: From a microphone close by to one across the bench, from memory.
DIRECT_TO_REVERBERANT_DB = (9.0, 20.0)

#: The band in which signal-to-noise ratios are defined, hertz.
_LOW_HZ, _HIGH_HZ = 20.0, 20_000.0
#: Noise is made in blocks of at most this many samples, so that memory stays small.
_BLOCK = 1 << 20


def noise_density(
    frequency_hz: NDArray[np.float64], *, white_share: float, sample_rate_hz: float
) -> NDArray[np.float64]:
    """Return the one-sided power density (per hertz) of noise of unit power in 20 Hz to 20 kHz.

    A share of the power is white, the rest pink (1/f). Above 20 kHz only the
    white part goes on; below 20 Hz likewise.
    """
    high_hz = min(_HIGH_HZ, sample_rate_hz / 2.0)
    white = white_share / (high_hz - _LOW_HZ)
    inside = (frequency_hz >= _LOW_HZ) & (frequency_hz <= high_hz)
    pink = (1.0 - white_share) / np.log(high_hz / _LOW_HZ)
    return white + np.where(inside, pink / np.maximum(frequency_hz, _LOW_HZ), 0.0)


def noise(
    rng: np.random.Generator, frames: int, *, sample_rate_hz: float, white_share: float
) -> NDArray[np.float64]:
    """Return Gaussian noise whose expected power in 20 Hz to 20 kHz is 1."""
    made = np.empty(frames)
    for start in range(0, frames, _BLOCK):
        wanted = min(_BLOCK, frames - start)
        length = wanted + wanted % 2
        frequency_hz = np.asarray(np.fft.rfftfreq(length), np.float64) * sample_rate_hz
        density = noise_density(
            frequency_hz, white_share=white_share, sample_rate_hz=sample_rate_hz
        )
        spectrum = np.fft.rfft(rng.standard_normal(length))
        shaped = np.fft.irfft(spectrum * np.sqrt(density * sample_rate_hz / 2.0), length)
        made[start : start + wanted] = shaped[:wanted]
    return made


def mains_hum(
    rng: np.random.Generator,
    frames: int,
    *,
    sample_rate_hz: float,
    mains_hz: float,
    level_db: float,
) -> NDArray[np.float64]:
    """Return hum of that level re power 1: mains within 0.05 Hz, harmonics to the tenth."""
    time_s = np.arange(frames) / sample_rate_hz
    true_hz = mains_hz + rng.uniform(-0.05, 0.05)
    numbers = np.arange(1, 11)
    weights = rng.uniform(0.1, 1.0, numbers.size) / numbers
    weights *= 10.0 ** (level_db / 20.0) / np.sqrt(np.sum(weights**2) / 2.0)
    hum = np.zeros(frames)
    for number, weight in zip(numbers, weights, strict=True):
        hum += weight * np.cos(2.0 * np.pi * number * true_hz * time_s + rng.uniform(0, 6.283))
    return hum


def button_click(rng: np.random.Generator, *, sample_rate_hz: float) -> NDArray[np.float64]:
    """Return the click of a button on its bush: 15 ms of decaying noise and two knocks, peak 1."""
    time_s = np.arange(round(0.015 * sample_rate_hz)) / sample_rate_hz
    decay_s = rng.uniform(0.001, 0.003)
    click = 0.5 * rng.standard_normal(time_s.size)
    for low_hz, high_hz in ((300.0, 1200.0), (1500.0, 4000.0)):
        click += np.sin(2.0 * np.pi * rng.uniform(low_hz, high_hz) * time_s)
    click *= np.exp(-time_s / decay_s)
    peaked: NDArray[np.float64] = click / np.max(np.abs(click))
    return peaked


def room_response(
    rng: np.random.Generator,
    *,
    sample_rate_hz: float,
    reverberation_time_s: float,
    direct_to_reverberant_db: float,
) -> NDArray[np.float64]:
    """Return a room's impulse response: the direct sound, 1, and a tail of decaying noise.

    The tail is 60 dB down after the reverberation time and begins 2 to 10 ms
    after the direct sound.
    """
    frames = round(reverberation_time_s * sample_rate_hz)
    tail = rng.standard_normal(frames) * 10.0 ** (-3.0 * np.arange(frames) / frames)
    tail *= 10.0 ** (-direct_to_reverberant_db / 20.0) / np.sqrt(np.sum(tail**2))
    delay = round(rng.uniform(0.002, 0.010) * sample_rate_hz)
    return np.concatenate([[1.0], np.zeros(delay), tail])


def in_room(sound: NDArray[np.float64], response: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the sound as heard in the room, cut at the sound's own length."""
    heard: NDArray[np.float64] = oaconvolve(sound, response)[: sound.size]
    return heard
