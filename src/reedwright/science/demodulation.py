"""The complex amplitude of every partial of a tone, frame by frame.

A frame is weighted by a Hann window a whole number of periods long, at least
two. Its spectrum then has zeros at all other multiples of the fundamental, so
the partials of a harmonic tone do not leak into one another (F. J. Harris,
Proc. IEEE 66 (1978) 51-83: the Hann window of length L has zeros at all
multiples of 1/L but -1, 0 and 1). All frames share one matrix of reference
oscillations, so a whole note is one matrix product.

Conventions: SI; times count from the first sample; amplitudes are peak values.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["OVERLAP_CORRELATION", "Frames", "demodulate", "demodulate_at", "frame_length"]

#: Correlation of white noise in two Hann frames half a frame apart:
#: integral of w(t) w(t + L/2) over that of w(t)^2 = (1/16) / (3/8).
OVERLAP_CORRELATION = 1.0 / 6.0


@dataclass(frozen=True, slots=True, eq=False)
class Frames:
    """Complex amplitudes of partials 1 to K in M frames.

    ``amplitudes[m, k - 1]`` is relative to exp(2 pi i k f t) with ``f`` the
    ``frequency`` of the reference oscillation (hertz) and t counted from the
    first sample. ``times`` are the centres, ``hop`` apart; a frame is
    ``length`` long; seconds.
    """

    frequency: float
    times: NDArray[np.float64]
    length: float
    hop: float
    amplitudes: NDArray[np.complex128]


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
) -> Frames:
    """Return the complex amplitudes of ``partials`` partials in half-overlapping frames.

    Parameters
    ----------
    samples : array, shape (n,)
        At least one frame long; the frames lie centred in it.
    sample_rate, frequency : float > 0
        Hertz; ``frequency`` within a few cents of the fundamental: a frame is
        blind to partial k when k times the error reaches 2 / length.
    length : float > 0
        Seconds; best a whole number of periods (``frame_length``). It need not
        be a whole number of samples.
    """
    width = max(4, int(length * sample_rate))
    step = max(1, round(0.5 * length * sample_rate))
    count = (len(samples) - width) // step + 1
    first = (len(samples) - width - (count - 1) * step) // 2
    centres = first + 0.5 * (width - 1) + step * np.arange(count)
    times = np.asarray(centres / sample_rate, dtype=np.float64)
    return Frames(
        frequency=frequency,
        times=times,
        length=length,
        hop=step / sample_rate,
        amplitudes=demodulate_at(
            times,
            samples,
            sample_rate,
            frequency=frequency,
            partials=partials,
            length=length,
        ),
    )


def demodulate_at(
    times: NDArray[np.float64],
    samples: NDArray[np.floating],
    sample_rate: float,
    *,
    frequency: float,
    partials: int,
    length: float,
) -> NDArray[np.complex128]:
    """Return the complex amplitudes (M, K) in frames centred at ``times`` (M,).

    All times lie on samples, or all half way between two. Else as ``demodulate``.
    """
    exact = length * sample_rate
    doubled = np.rint(2.0 * sample_rate * times).astype(int)
    width = int(exact)
    width -= (width - 1 - int(doubled[0])) % 2
    starts = (doubled - (width - 1)) // 2
    places = np.arange(width) - 0.5 * (width - 1)
    window = 0.5 + 0.5 * np.cos(2.0 * np.pi * places / exact)
    turn = 2.0j * np.pi * frequency
    oscillation = np.exp(-turn / sample_rate * places)
    matrix = np.empty((2, partials, width), dtype=np.float32)
    power = window * (2.0 / window.sum()) + 0.0j
    for number in range(partials):
        power = power * oscillation
        matrix[0, number] = power.real
        matrix[1, number] = power.imag
    windows = np.lib.stride_tricks.sliding_window_view(samples, width)[starts]
    product = windows.astype(np.float32) @ matrix.reshape(2 * partials, width).T
    reference = np.exp(-turn * np.outer(times, np.arange(1, partials + 1)))
    parts = product.astype(np.float64)
    return np.asarray((parts[:, :partials] + 1.0j * parts[:, partials:]) * reference)
