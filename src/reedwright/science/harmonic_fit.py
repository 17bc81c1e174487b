"""The phase of a harmonic tone, fitted over all its partials at once.

Model: x(t) = sum over k of a_k(t) cos(k phi(t) + psi_k) + noise, with one phase
phi(t) for all partials, a polynomial of an order chosen by the data. The mean
frequency between two times is the difference of phi over 2 pi T.

Conventions: SI; times count from the first sample.
"""

from dataclasses import dataclass

import numpy as np
from numpy.polynomial import legendre
from numpy.typing import NDArray

from reedwright.errors import RecordingError
from reedwright.science.demodulation import Frames, demodulate, frame_length

__all__ = ["HarmonicFit", "fit_harmonics"]

#: No frame is shorter than this, seconds (or two periods of the fundamental).
SHORTEST_FRAME = 0.030


@dataclass(frozen=True, slots=True, eq=False)
class HarmonicFit:
    """A tone as fitted between ``start`` and ``stop`` (seconds from the first sample).

    ``mean_frequency`` (hertz) is the unweighted time mean of the fundamental
    between these times, with its ``standard_error`` (hertz). Frames are
    ``frame_length`` seconds long, at ``frame_times`` (their centres), shape (M,);
    ``frame_phase`` (radians, of the fundamental) and ``frame_frequency`` (hertz)
    with ``frame_frequency_error`` follow the fitted model.
    ``amplitudes`` (M, K) is the complex amplitude of partials 1 to K in each
    frame relative to the model, that is with exp(i k phi) taken out: the modulus
    is the peak amplitude re full scale, and a tone that obeys the model keeps a
    constant argument. ``noise_variance`` (K,) is that of one of these complex
    amplitudes, measured from the frames.
    """

    sample_rate: float
    start: float
    stop: float
    mean_frequency: float
    standard_error: float
    frame_length: float
    frame_times: NDArray[np.float64]
    frame_phase: NDArray[np.float64]
    frame_frequency: NDArray[np.float64]
    frame_frequency_error: NDArray[np.float64]
    amplitudes: NDArray[np.complex128]
    noise_variance: NDArray[np.float64]


def fit_harmonics(
    samples: NDArray[np.floating],
    sample_rate: float,
    *,
    coarse_frequency: float,
    most_partials: int = 40,
) -> HarmonicFit:
    """Fit a harmonic tone to ``samples`` (n,), all of which belong to the steady note.

    Parameters
    ----------
    sample_rate : float > 0
        Hertz.
    coarse_frequency : float > 0
        The fundamental to within 20 cents, hertz.
    most_partials : int >= 1
        Fewer are used where half the sampling rate forbids more.

    Raises
    ------
    RecordingError
        If there are fewer than eight frames of two periods.
    """
    frequency = _refined(samples, sample_rate, coarse_frequency)
    length = frame_length(frequency, shortest=SHORTEST_FRAME)
    duration = len(samples) / sample_rate
    if duration < 4.0 * length:
        raise RecordingError(
            f"a pitch needs at least {4.0 * length:.3f} s of steady tone at "
            f"{frequency:.1f} Hz, got {duration:.3f} s; record a longer note"
        )
    partials = max(1, min(most_partials, int(0.48 * sample_rate / frequency - 0.5)))
    frames = demodulate(
        samples,
        sample_rate,
        frequency=frequency,
        partials=partials,
        length=length,
        hop=0.5 * length,
    )
    return _fitted(frames, sample_rate, duration)


def _refined(samples: NDArray[np.floating], sample_rate: float, coarse_frequency: float) -> float:
    """Return the fundamental to about a cent, from the phase steps of low partials."""
    partials = max(1, min(6, int(0.45 * sample_rate / coarse_frequency)))
    length = frame_length(coarse_frequency, shortest=SHORTEST_FRAME)
    frames = demodulate(
        samples,
        sample_rate,
        frequency=coarse_frequency,
        partials=partials,
        length=length,
        hop=0.25 * length,
    )
    step = np.sum(frames.amplitudes[1:] * np.conj(frames.amplitudes[:-1]), axis=0)
    orders = np.arange(1, partials + 1)
    turns = np.angle(step) / orders
    weights = np.abs(step) * orders**2
    turn = float(np.sum(weights * turns) / np.sum(weights))
    return coarse_frequency + turn / (2.0 * np.pi * frames.hop)


def _fitted(frames: Frames, sample_rate: float, duration: float) -> HarmonicFit:
    """Return the fit of a phase polynomial to ``frames``."""
    partials = frames.amplitudes.shape[1]
    orders = np.arange(1, partials + 1)
    scaled = 2.0 * frames.times / duration - 1.0
    most = min(8, max(1, len(scaled) // 4))
    phase = np.zeros(len(scaled))
    used = min(3, partials)
    while True:
        for _ in range(3):
            turned = frames.amplitudes[:, :used] * np.exp(-1.0j * np.outer(phase, orders[:used]))
            turned = turned * np.exp(-1.0j * np.angle(np.sum(turned, axis=0)))
            angles = np.angle(turned)
            spread = np.var(np.diff(angles, axis=0), axis=0) / 2.0 + 1e-12
            weights = orders[:used] ** 2 / spread
            track = angles @ (weights / orders[:used]) / np.sum(weights)
            whole = phase + track
            order = most if used < partials else _order(scaled, whole, most)
            basis = legendre.legvander(scaled, order)
            coefficients = np.zeros(most + 1)
            coefficients[: order + 1] = np.linalg.lstsq(basis, whole, rcond=None)[0]
            phase = basis @ coefficients[: order + 1]
        if used == partials:
            break
        used = min(partials, 2 * used)
    residual = whole - phase
    freedom = max(1, len(scaled) - order - 1)
    variance = float(np.sum(residual**2)) / freedom
    covariance = np.linalg.inv(basis.T @ basis) * variance
    ends = legendre.legvander(np.array([-1.0, 1.0]), order)
    span = ends[1] - ends[0]
    scale = 1.0 / (2.0 * np.pi * duration)
    slope = legendre.legder(np.eye(order + 1), axis=0)
    rates = legendre.legvander(scaled, order - 1) @ slope * 2.0 / duration
    ends_all = legendre.legvander(np.array([-1.0, 1.0]), most)
    slope_all = legendre.legder(coefficients)
    frequency = frames.frequency + legendre.legval(scaled, slope_all) / (np.pi * duration)
    turned = frames.amplitudes * np.exp(-1.0j * np.outer(phase, orders))
    return HarmonicFit(
        sample_rate=sample_rate,
        start=0.0,
        stop=duration,
        mean_frequency=frames.frequency + float((ends_all[1] - ends_all[0]) @ coefficients) * scale,
        standard_error=float(np.sqrt(span @ covariance @ span)) * scale,
        frame_length=frames.length,
        frame_times=frames.times,
        frame_phase=2.0 * np.pi * frames.frequency * frames.times + phase,
        frame_frequency=np.asarray(frequency, dtype=np.float64),
        frame_frequency_error=np.sqrt(np.sum((rates @ covariance) * rates, axis=1)) / (2.0 * np.pi),
        amplitudes=turned,
        noise_variance=np.var(np.diff(turned, axis=0), axis=0) / 2.0,
    )


def _order(scaled: NDArray[np.float64], track: NDArray[np.float64], most: int) -> int:
    """Return the order of polynomial the data ask for (BIC), and one more."""
    count = len(scaled)
    basis = np.linalg.qr(legendre.legvander(scaled, most))[0]
    parts = (basis.T @ track) ** 2
    left = float(track @ track) - np.cumsum(parts)
    scores = count * np.log(np.maximum(left, 1e-30)) + np.log(count) * np.arange(most + 1)
    return int(min(most, max(1, int(np.argmin(scores))) + 1))
