"""The complex amplitude of every partial of a tone, frame by frame.

A frame is weighted by a Hann window a whole number of periods long, at least
two. Its spectrum then has zeros at all other multiples of the fundamental, so
the partials of a harmonic tone do not leak into one another (F. J. Harris,
Proc. IEEE 66 (1978) 51-83: the Hann window of length L has zeros at all
multiples of 1/L but -1, 0 and 1). All frames use one matrix of reference
oscillations, so a whole note is one matrix product.

Conventions: SI; times count from the first sample; amplitudes are peak values.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["Frames", "demodulate", "frame_length"]


@dataclass(frozen=True, slots=True, eq=False)
class Frames:
    """Complex amplitudes of partials 1 to K in M frames.

    ``amplitudes[m, k - 1]`` is relative to exp(2 pi i k f t) with ``f`` the
    ``frequency`` of the reference oscillation and t counted from the first
    sample. ``noise_gain`` times the variance of white noise in the samples is
    the variance of a complex amplitude.
    """

    frequency: float
    times: NDArray[np.float64]
    length: float
    hop: float
    amplitudes: NDArray[np.complex128]
    noise_gain: float


def frame_length(frequency: float, *, shortest: float) -> float:
    """Return the length of a frame, seconds: whole periods, at least two.

    ``frequency`` is the fundamental, hertz; ``shortest`` seconds.
    """
    periods = max(2, int(np.ceil(shortest * frequency)))
    return periods / frequency


def demodulate(
    samples: NDArray[np.floating],
    sample_rate: float,
    *,
    frequency: float,
    partials: int,
    length: float,
    hop: float,
) -> Frames:
    """Return the complex amplitudes of ``partials`` partials in overlapping frames.

    Parameters
    ----------
    samples : array, shape (n,)
        At least one frame long.
    sample_rate, frequency : float > 0
        Hertz; ``frequency`` within a few cents of the fundamental: a frame is
        blind to partial k when k times the error reaches 2 / length.
    length, hop : float > 0
        Seconds; length is best a whole number of periods (``frame_length``).
    """
    width = max(4, round(length * sample_rate))
    step = max(1, round(hop * sample_rate))
    windows = np.lib.stride_tricks.sliding_window_view(samples, width)
    count = (len(windows) - 1) // step + 1
    first = (len(windows) - 1 - (count - 1) * step) // 2
    starts = first + step * np.arange(count)
    centre = 0.5 * (width - 1)
    window = 0.5 - 0.5 * np.cos(2.0 * np.pi * (np.arange(width) + 0.5) / width)
    turn = 2.0j * np.pi * frequency / sample_rate
    oscillation = np.exp(-turn * (np.arange(width) - centre))
    reference = np.empty((partials, width), dtype=np.complex64)
    power = window * (2.0 / window.sum()) + 0.0j
    for row in reference:
        power = power * oscillation
        row[:] = power
    matrix = np.concatenate([reference.real, reference.imag]).T
    product = (windows[first::step].astype(np.float32) @ matrix).astype(np.float64)
    amplitudes = product[:, :partials] + 1.0j * product[:, partials:]
    orders = np.arange(1, partials + 1)
    amplitudes *= np.exp(-turn * np.outer(starts + centre, orders))
    return Frames(
        frequency=frequency,
        times=np.asarray((starts + centre) / sample_rate, dtype=np.float64),
        length=width / sample_rate,
        hop=step / sample_rate,
        amplitudes=amplitudes,
        noise_gain=4.0 * float(np.sum(window**2) / window.sum() ** 2),
    )
