"""The mean frequency of a harmonic tone, from all its partials, with an honest error.

Model: x(t) = sum over k of a_k(t) cos(k phi(t) + psi_k + r_k(t)) + noise. One
phase phi(t) for all partials wanders as the data say (``phase_smoothing``).
Each partial has a small phase wander r_k of its own: a room answers each with
its own delay, so when the pitch drifts by df the phase of partial k, over k, is
off by 2 pi df tau_k, tau_k differing from partial to partial. That scatter is
measured and pooled (``pooling``), which gives both the best weights and the
error. The mean frequency between two times is the difference of phi over
2 pi T, so only the phases at two times have to be right, and times a little
inside the note are known from both sides: among pairs of times the one with
the smallest expected error is taken.

Conventions: SI; times count from the first sample.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from reedwright.errors import RecordingError
from reedwright.science.demodulation import (
    OVERLAP_CORRELATION,
    Frames,
    demodulate,
    frame_length,
)
from reedwright.science.phase_smoothing import PhaseSmoothing, smooth_phase
from reedwright.science.phase_track import PartialPhases, partial_phases, phase_track, turned
from reedwright.science.pooling import Pooled, pooled_mean

__all__ = ["HarmonicFit", "fit_harmonics"]

#: Frames are this long, or two periods, or a sixteenth of a short note; seconds.
LONGEST_SHORT_FRAME = 0.030
SHORTEST_FRAME = 0.012
#: Fewest frames that tell noise from wander.
FEWEST_FRAMES = 6
#: Rates of wander that are weighed: cents of the fundamental in a second, one sigma.
WANDER = 10.0 ** np.arange(-3.5, 2.6, 0.5)
#: Spreads of the room's delay between partials that are weighed, seconds.
DELAY_SPREADS = 10.0 ** np.arange(-3.5, -1.2, 0.2)
#: Decay of a room's power, seconds: sets how far a partial must drift for its
#: phase to forget (reverberation time / 13.8).
ROOM_DECAY = 0.03
#: Places, as shares of the frames from either end, between which the mean is taken.
EDGES = (0.0, 0.04, 0.08, 0.12, 0.16, 0.20, 0.24)
_CENT = np.log(2.0) / 1200.0


@dataclass(frozen=True, slots=True, eq=False)
class HarmonicFit:
    """A tone as fitted; the mean is between ``start`` and ``stop``, two of the frame times.

    ``mean_frequency`` (hertz) is the unweighted time mean of the fundamental
    between these times, ``standard_error`` (hertz) its error: the 95 % interval
    is 1.96 of them to either side. Frames are ``frame_length`` seconds long,
    centred at ``frame_times`` (M,), seconds from the first sample, and reach
    beyond ``start`` and ``stop``. ``frame_phase`` (M,) is the smoothed phase of
    the fundamental, radians; ``frame_frequency`` its slope, hertz, with
    ``frame_frequency_error``. ``drift`` is the slope of the frequency between
    ``start`` and ``stop``, hertz per second, with ``drift_error``.

    ``amplitudes`` (M, K) is the complex amplitude of partials 1 to K in each
    frame relative to the model, that is with exp(i k phi) taken out: the modulus
    is the peak amplitude re full scale, and a tone that obeys the model keeps a
    constant argument. ``noise_variance`` (K,) is E|n|^2 of the noise in one of
    these; frames next to each other share a sixth of it. ``disturbance`` (M,)
    is 1, or how many times rougher a frame was than usual (a click).
    """

    sample_rate: float
    start: float
    stop: float
    mean_frequency: float
    standard_error: float
    drift: float
    drift_error: float
    frame_length: float
    frame_times: NDArray[np.float64]
    frame_phase: NDArray[np.float64]
    frame_frequency: NDArray[np.float64]
    frame_frequency_error: NDArray[np.float64]
    amplitudes: NDArray[np.complex128]
    noise_variance: NDArray[np.float64]
    disturbance: NDArray[np.float64]


def fit_harmonics(
    samples: NDArray[np.floating],
    sample_rate: float,
    *,
    coarse_frequency: float,
    most_partials: int = 48,
    least_span: float = 0.0,
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
    least_span : float
        The mean is taken over at least this many seconds.

    Raises
    ------
    RecordingError
        If the tone is too short, or its fundamental too near half the sampling rate.
    """
    duration = len(samples) / sample_rate
    partials = min(most_partials, int(0.48 * sample_rate / coarse_frequency - 0.5))
    if partials < 1:
        raise RecordingError(
            f"a pitch must lie below 0.32 of the sampling rate, got {coarse_frequency:.0f} Hz "
            f"at {sample_rate:.0f} per second; record at a higher rate"
        )
    shortest = float(np.clip(duration / 16.0, SHORTEST_FRAME, LONGEST_SHORT_FRAME))
    length = frame_length(coarse_frequency, shortest=shortest)
    needed = 0.5 * length * (FEWEST_FRAMES + 2)
    if duration < needed:
        raise RecordingError(
            f"a pitch of {coarse_frequency:.1f} Hz needs at least {needed:.3f} s of steady "
            f"tone, got {duration:.3f} s; record a longer note"
        )
    frequency = _refined(samples, sample_rate, coarse_frequency, shortest)
    frames = demodulate(
        samples,
        sample_rate,
        frequency=frequency,
        partials=partials,
        length=frame_length(frequency, shortest=shortest),
    )
    return _fitted(frames, sample_rate, least_span)


def _refined(
    samples: NDArray[np.floating], sample_rate: float, coarse_frequency: float, shortest: float
) -> float:
    """Return the fundamental to about a cent, from the phase steps of low partials."""
    length = frame_length(coarse_frequency, shortest=shortest)
    reach = 0.4 / (0.5 * length * coarse_frequency * 0.012)
    room = 0.45 * sample_rate / coarse_frequency
    partials = max(1, int(min(6, reach, room)))
    frames = demodulate(
        samples, sample_rate, frequency=coarse_frequency, partials=partials, length=length
    )
    step = np.sum(frames.amplitudes[1:] * np.conj(frames.amplitudes[:-1]), axis=0)
    orders = np.arange(1, partials + 1)
    weights = np.abs(step) * orders**2
    turn = float(weights @ (np.angle(step) / orders) / np.sum(weights))
    return coarse_frequency + turn / (2.0 * np.pi * frames.hop)


def _fitted(frames: Frames, sample_rate: float, least_span: float) -> HarmonicFit:
    """Return the fit to ``frames``."""
    partials = frames.amplitudes.shape[1]
    orders = np.arange(1, partials + 1)
    phase = phase_track(frames)
    heard = partial_phases(frames.amplitudes, phase)
    gain = 12.0 / len(phase)
    effects = np.full(partials, 0.03**2)
    for _ in range(2):
        weights = orders**2 / (heard.noise * gain + effects)
        weights = weights / np.sum(weights)
        measured = phase + heard.deviations @ (weights / orders)
        noise = float(np.sum(weights**2 * heard.noise / orders**2))
        smoothing = smooth_phase(
            measured,
            noise * heard.disturbance,
            correlation=OVERLAP_CORRELATION,
            wander=(2.0 * np.pi * frames.frequency * _CENT * WANDER * frames.hop) ** 2
            * frames.hop,
        )
        pair = _best_pair(frames, phase, heard, smoothing, noise, least_span)
        gain, effects = pair.gain, pair.pooled.effects * orders**2
    return _result(frames, phase, heard, smoothing, pair, sample_rate)


@dataclass(frozen=True, slots=True, eq=False)
class _Pair:
    first: int
    last: int
    pooled: Pooled
    misfit: float
    gain: float


def _best_pair(
    frames: Frames,
    phase: NDArray[np.float64],
    heard: PartialPhases,
    smoothing: PhaseSmoothing,
    noise: float,
    least_span: float,
) -> _Pair:
    """Return the pair of frames between which the mean frequency is known best."""
    count, partials = heard.deviations.shape
    orders = np.arange(1, partials + 1)
    near = np.unique(np.round(np.array(EDGES) * (count - 1)).astype(int))
    first, last = (grid.ravel() for grid in np.meshgrid(near, count - 1 - near))
    spans = frames.times[last] - frames.times[first]
    fits = spans >= min(least_span, spans.max())
    first, last, spans = first[fits], last[fits], spans[fits]
    sums = np.zeros((count, len(first)))
    sums[first, np.arange(len(first))] = -1.0
    sums[last, np.arange(len(first))] = 1.0
    found = smoothing.contrasts(sums)
    gains = found.noise / noise

    course = _smoothed_course(smoothing.measured, frames.hop)
    wandered = max(float(np.ptp(course)), 1e-4 * _CENT * frames.frequency)
    change = np.hypot(course[last] - course[first], 0.15 * wandered)
    own = found.filters.T @ (heard.deviations / orders + phase[:, None])

    def shape(moved: NDArray[np.float64]) -> NDArray[np.float64]:
        turns = 2.0 * np.pi * moved
        return turns**2 / (1.0 + (turns * orders * ROOM_DECAY) ** 2)

    def pooled(place: int) -> Pooled:
        return pooled_mean(
            own[place],
            noise=heard.noise * gains[place] / orders**2,
            shape=shape(change[place]),
            scales=DELAY_SPREADS,
        )

    most = int(np.argmax((change**2) * spans))
    effects = pooled(most)
    spread2 = float(effects.weights @ DELAY_SPREADS**2)
    expected = heard.noise * gains[:, None] / orders**2 + spread2 * shape(change[:, None])
    cost = (1.0 / np.sum(1.0 / expected, axis=1) + found.misfit) / spans**2
    best = int(np.argmin(cost))
    return _Pair(
        first=int(first[best]),
        last=int(last[best]),
        pooled=pooled(best),
        misfit=float(found.misfit[best]),
        gain=float(gains[best]),
    )


def _smoothed_course(measured: NDArray[np.float64], hop: float) -> NDArray[np.float64]:
    """Return the frequency re the reference in each frame, averaged over a tenth of the note."""
    slope = np.gradient(measured) / (2.0 * np.pi * hop)
    kernel = np.ones(2 * max(1, len(slope) // 25) + 1)
    weight = np.convolve(np.ones(len(slope)), kernel, "same")
    return np.convolve(slope, kernel, "same") / weight


def _result(
    frames: Frames,
    phase: NDArray[np.float64],
    heard: PartialPhases,
    smoothing: PhaseSmoothing,
    pair: _Pair,
    sample_rate: float,
) -> HarmonicFit:
    """Return the whole result for the chosen pair of frames."""
    count = len(phase)
    smooth = smoothing.contrasts(np.eye(count))
    before = np.maximum(np.arange(count) - 1, 0)
    after = np.minimum(np.arange(count) + 1, count - 1)
    slopes = np.zeros((count, count))
    slopes[after, np.arange(count)] += 1.0
    slopes[before, np.arange(count)] -= 1.0
    slopes /= 2.0 * np.pi * frames.hop * (after - before)
    course = smoothing.contrasts(slopes)
    inside = slice(pair.first, pair.last + 1)
    since = frames.times[inside] - frames.times[inside].mean()
    trend = slopes[:, inside] @ (since / np.sum(since**2))
    drift = smoothing.contrasts(trend[:, None])
    scale = 1.0 / (2.0 * np.pi * (frames.times[pair.last] - frames.times[pair.first]))
    half_width = pair.pooled.half_width(coverage=0.95, further_variance=pair.misfit)
    return HarmonicFit(
        sample_rate=sample_rate,
        start=float(frames.times[pair.first]),
        stop=float(frames.times[pair.last]),
        mean_frequency=frames.frequency + pair.pooled.mean * scale,
        standard_error=half_width / 1.96 * scale,
        drift=float(drift.values[0]),
        drift_error=float(np.sqrt(drift.noise + drift.misfit)[0]),
        frame_length=frames.length,
        frame_times=frames.times,
        frame_phase=2.0 * np.pi * frames.frequency * frames.times + smooth.values,
        frame_frequency=frames.frequency + course.values,
        frame_frequency_error=np.sqrt(course.noise + course.misfit),
        amplitudes=turned(frames.amplitudes, smooth.values),
        noise_variance=heard.noise_variance,
        disturbance=heard.disturbance,
    )
