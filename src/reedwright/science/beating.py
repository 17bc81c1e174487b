"""The beat of a second reed close to the first, sought in all partials at once.

Two reeds f apart by d beat: the complex amplitude of partial k, taken relative to
the first reed, holds a line at k d (hertz). Nothing else that moves an amplitude
does that in proportion to k over many partials:

- the *player* (swell, flutter, drift) moves all partials alike: the phase in
  proportion to k, the level alike. That common motion is taken out first.
- the *room* adds delayed copies, and the copy of a drifting reed has another pitch:
  for a delay T the amplitude gains exp(-i k w(t) T), a function of the momentary
  frequency w(t) alone, which the first powers of the drift describe. These are taken
  out partial by partial, as is a slow swell of its own and what the model of the
  phase may have left, each only as strongly as a room or a player makes it.

What is left is turned into a spectrum; the share of partial k's remaining power
that stands at k d is summed, as a logarithm so that no single partial can decide,
over all partials (a sum of log-likelihood gains with unknown noise in each partial).

Limits: |k d| up to ``BAND``, so d up to a few hertz; distances below about half a
cent in a second cannot be told from a room.

Conventions: SI; partials are numbered from 1.
"""

from dataclasses import dataclass

import numpy as np
from numpy.polynomial import legendre
from numpy.typing import NDArray

from reedwright.science.demodulation import demodulate, frame_length
from reedwright.science.phase_track import phase_track, turned
from reedwright.science.room import DRIFT_UNIT, lagging, reach

__all__ = ["MEAN_LOG_GAIN", "BeatSearch", "search_beat", "search_beat_anew", "spectral_noise"]

#: Beats of single partials are sought up to this, hertz: frames of 30 ms weaken faster ones.
BAND = 24.0
#: The search goes up to this distance between the reeds, hertz of the fundamental.
WIDEST_BEAT = 8.0
#: Relative distance under which scores are lowered (power 1.5): the room of a drifting
#: reed looks like a companion so near. 0.85 cents.
_NEAREST = 0.85 * np.log(2.0) / 1200.0
#: Partials beyond are not asked.
MOST_PARTIALS = 24
#: Length of a frame, seconds.
_FRAME = 0.030
#: Amplitude of the room's copies re the direct sound. Not critical within a factor 3.
_ROOM = 0.3
#: One-sigma relative change over a note of one partial against the others.
_SWELL = 0.3
#: What no model explains, re each partial's amplitude (-35 dB).
_UNEXPLAINED = 0.018
#: What leaks from the strongest partial into others counts as noise (-70 dB).
_LEAKED, _SILENCE = 1e-7, 1e-30
#: Error of the phase model, seconds times the partial's frequency in radians per second.
_PHASE_ERROR = 1e-6
#: Powers of the drift, and degrees of the phase model's own errors, that are taken out.
_DRIFT_POWERS = 4
_PHASE_ORDERS = range(3, 8)
#: Frequencies looked at within 1 / duration.
_FINENESS = 2.5
#: Mean of log(1 + power) for exponentially distributed power of mean 1: -e Ei(-1).
MEAN_LOG_GAIN = 0.5963473623


@dataclass(frozen=True, slots=True)
class BeatSearch:
    """The best beat found: ``beat`` (hertz, > 0 where the other reed is sharper).

    ``frequency`` (hertz) is that of the first reed as far as it was known.
    ``score`` is the summed gain in standard units: it grows with the number of
    partials that agree. ``listening.second_reed`` says from where on it is believed.
    """

    score: float
    frequency: float
    beat: float


def search_beat_anew(
    samples: NDArray[np.floating], sample_rate: float, *, frequency: float, degree: int
) -> BeatSearch:
    """Return the beat found relative to a phase that bends no more than a polynomial.

    For tones whose partials do not agree on one phase, as those of two reeds of
    equal strength do not: a phase that follows the partials would follow the beat.

    Parameters
    ----------
    samples : array, shape (n,)
        The steady part of a note, at least eight frames of 30 ms.
    sample_rate, frequency : float > 0
        Hertz; ``frequency`` within 20 cents of the fundamental.
    degree : int >= 1
        Of the polynomial; several may be tried.
    """
    partials = max(1, min(MOST_PARTIALS, int(0.48 * sample_rate / frequency - 0.5)))
    frames = demodulate(
        samples,
        sample_rate,
        frequency=frequency,
        partials=partials,
        length=frame_length(frequency, shortest=_FRAME),
    )
    scaled = np.linspace(-1.0, 1.0, len(frames.times))
    series = legendre.legfit(scaled, phase_track(frames), degree)
    phase = np.asarray(legendre.legval(scaled, series), dtype=np.float64)
    amplitudes = turned(frames.amplitudes, phase)
    turns = (phase[-1] - phase[0]) / (2.0 * np.pi)
    return search_beat(
        amplitudes,
        frame_times=frames.times,
        frame_frequency=frequency + np.asarray(np.gradient(phase, frames.hop)) / (2.0 * np.pi),
        frequency=frequency + float(turns / (frames.times[-1] - frames.times[0])),
        noise_variance=spectral_noise(amplitudes.T),
    )


def spectral_noise(amplitudes: NDArray[np.complex128]) -> NDArray[np.float64]:
    """Return E|n|^2 of the noise in amplitudes (K, M): from the lower quartile of their spectra.

    A quarter of exponentially distributed power lies below -log(3/4) of its mean.
    """
    window = np.hanning(amplitudes.shape[1])
    power = np.abs(np.fft.fft(amplitudes * window, axis=1)) ** 2 / np.sum(window**2)
    quartile: NDArray[np.float64] = np.quantile(power, 0.25, axis=1) / -np.log(0.75)
    return quartile


def search_beat(
    amplitudes: NDArray[np.complex128],
    *,
    frame_times: NDArray[np.float64],
    frame_frequency: NDArray[np.float64],
    frequency: float,
    noise_variance: NDArray[np.float64],
) -> BeatSearch:
    """Return the beat that the partials, the first ``MOST_PARTIALS``, agree on best.

    Parameters
    ----------
    amplitudes : array, shape (M, K)
        Complex amplitudes relative to exp(i k phi(t)), phi the phase of the first reed.
    frame_times, frame_frequency : arrays, shape (M,)
        Seconds, evenly spaced; the fitted fundamental there, hertz.
    frequency : float > 0
        Mean of the fundamental, hertz.
    noise_variance : array, shape (K,)
        E|n|^2 of the noise in one amplitude.
    """
    amplitudes, noise_variance = amplitudes[:, :MOST_PARTIALS], noise_variance[:MOST_PARTIALS]
    orders = np.arange(1, amplitudes.shape[1] + 1)
    powers = np.mean(np.abs(amplitudes) ** 2, axis=0)
    least = _LEAKED * float(np.max(powers)) + _SILENCE
    powers, noise_variance = powers + least, noise_variance + least
    steadied, level = _steadied(amplitudes, orders, noise_variance / powers)
    duration = float(frame_times[-1] - frame_times[0])
    drift = (frame_frequency / frequency - 1.0) / DRIFT_UNIT
    shapes, priors = _nuisances(
        2.0 * (frame_times - frame_times[0]) / duration - 1.0,
        level=level,
        drift=drift,
        lagging=lagging(drift, hop=float(frame_times[1] - frame_times[0])) - drift,
        turn=2.0 * np.pi * frequency * orders,
    )
    variance = noise_variance + _UNEXPLAINED**2 * powers
    gains, spacing = _spectral_gains(
        steadied.T, shapes, priors * powers[:, None], variance, frame_times
    )
    return _best(gains, spacing, duration=duration, frequency=frequency)


def _steadied(
    amplitudes: NDArray[np.complex128],
    orders: NDArray[np.int_],
    noise: NDArray[np.float64],
) -> tuple[NDArray[np.complex128], NDArray[np.float64]]:
    """Return the amplitudes without the motion common to all partials, and the common log level.

    Each partial has a say in inverse proportion to its own disagreement, so that
    one that beats strongly does not imprint its beat on the others.
    """
    turned = amplitudes * np.exp(-1.0j * np.angle(np.mean(amplitudes, axis=0)))
    angles = np.angle(turned)
    levels = np.log(np.maximum(np.abs(turned), 1e-12))
    levels = levels - np.mean(levels, axis=0)
    least = 0.5 * noise + _SWELL**2 * 0.01
    angle_say = level_say = 1.0 / least
    for _ in range(2):
        angle = angles @ (angle_say * orders) / np.sum(angle_say * orders**2)
        level = levels @ level_say / np.sum(level_say)
        angle_say = 1.0 / np.maximum(least, np.var(angles - np.outer(angle, orders), axis=0))
        level_say = 1.0 / np.maximum(least, np.var(levels - level[:, None], axis=0))
    return amplitudes * np.exp(-level[:, None] - 1.0j * np.outer(angle, orders)), level


def _nuisances(
    scaled: NDArray[np.float64],
    *,
    level: NDArray[np.float64],
    drift: NDArray[np.float64],
    lagging: NDArray[np.float64],
    turn: NDArray[np.float64],
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return shapes (M, R) a single reed's amplitudes may take and prior powers (K, R).

    ``scaled`` is the time from -1 to 1, ``turn`` (K,) the partials' radians per second.
    """
    legendres = legendre.legvander(scaled, max(_PHASE_ORDERS))
    even = np.ones_like(turn)
    shapes = [legendres[:, 0], legendres[:, 1], legendres[:, 2], level]
    priors = [100.0 * even, _SWELL**2 / 10 * even, _SWELL**2 / 30 * even, _SWELL**2 * even]
    turned_by = reach(turn)
    factorial = 1.0
    for power in range(1, _DRIFT_POWERS + 1):
        factorial *= power
        shapes += [drift**power, drift ** (power - 1) * lagging]
        priors += [_ROOM**2 * turned_by ** (2 * power) / factorial] * 2
    for order in _PHASE_ORDERS:
        shapes.append(legendres[:, order])
        priors.append((_PHASE_ERROR * turn) ** 2)
    return np.stack(shapes, axis=1), np.stack(priors, axis=1)


def _spectral_gains(
    amplitudes: NDArray[np.complex128],
    shapes: NDArray[np.float64],
    priors: NDArray[np.float64],
    variance: NDArray[np.float64],
    frame_times: NDArray[np.float64],
) -> tuple[NDArray[np.float64], float]:
    """Return log gains (K, 2 N + 1) at frequencies -N..N times the spacing, and that (hertz).

    Generalised least squares: with covariance C = v + S P S', a line e has the
    gain |e' C^-1 a|^2 / e' C^-1 e, here over its mean across frequencies.
    """
    count = len(frame_times)
    least = np.maximum(priors, 1e-12 * variance[:, None])
    system = shapes.T @ shapes / variance[:, None, None]
    diagonal = np.arange(shapes.shape[1])
    system[:, diagonal, diagonal] += 1.0 / least
    inverse = np.linalg.inv(system)
    projected = (amplitudes @ shapes / variance[:, None])[:, None, :]
    left = amplitudes - (projected @ inverse)[:, 0] @ shapes.T

    spacing = 1.0 / (_FINENESS * float(frame_times[-1] - frame_times[0]))
    angles = np.outer(frame_times, 2.0 * np.pi * spacing * np.arange(int(BAND / spacing) + 1))
    cosines, sines = np.cos(angles), np.sin(angles)
    parts = shapes.T @ np.concatenate([cosines, sines], axis=1)
    taken = np.sum((inverse @ parts) * parts, axis=1).reshape(len(variance), 2, -1).sum(axis=1)
    kept = np.maximum(count - taken / variance[:, None], 1e-3 * count) * variance[:, None]
    even, odd = left @ cosines, left @ sines
    above = np.abs(even - 1.0j * odd) ** 2 / kept
    below = np.abs(even + 1.0j * odd) ** 2 / kept
    gains = np.concatenate([below[:, :0:-1], above], axis=1)
    gains /= np.maximum(np.mean(gains, axis=1, keepdims=True), 1.0)
    return np.log1p(gains) - MEAN_LOG_GAIN, spacing


def _best(
    gains: NDArray[np.float64], spacing: float, *, duration: float, frequency: float
) -> BeatSearch:
    """Return the best of a grid of beats fine enough for the twentieth partial."""
    partials, width = gains.shape
    middle = width // 2
    step = 0.025 / duration
    beats = step * np.arange(-int(WIDEST_BEAT / step), int(WIDEST_BEAT / step) + 1)
    places = np.rint(np.outer(np.arange(1, partials + 1), beats / spacing)).astype(np.intp)
    outside = np.abs(places) > middle
    places[outside] = 0
    taken = np.take_along_axis(gains, places + middle, axis=1)
    taken[outside] = 0.0
    scores = np.sum(taken, axis=0) / np.sqrt(1.0 + np.sum(~outside, axis=0))
    scores *= np.minimum(1.0, np.abs(beats) / (_NEAREST * frequency)) ** 1.5
    best = int(np.argmax(scores))
    return BeatSearch(score=float(scores[best]), frequency=frequency, beat=float(beats[best]))
