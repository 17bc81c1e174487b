"""A harmonic tone fitted over all its partials: its mean frequency, with an honest error.

Model: x(t) = sum over k of a_k(t) cos(k phi(t) + psi_k + r_k(t)) + noise. One
phase phi(t) for all partials moves as the data say (``phase_smoothing``). Each
partial has a small phase r_k of its own, the room's (``mean_frequency``).

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
    demodulate_at,
    frame_length,
)
from reedwright.science.mean_frequency import (
    EndPhases,
    Span,
    best_span,
    first_effects,
    mean_phase_step,
)
from reedwright.science.phase_smoothing import PhaseSmoothing, smooth_phase
from reedwright.science.phase_track import (
    partial_phases,
    phase_track,
    step_weights,
    turned,
)

__all__ = ["HarmonicFit", "fit_harmonics"]

#: Frames last this long, or a sixteenth of a short note, or two periods; seconds.
LONGEST_SHORT_FRAME = 0.030
SHORTEST_FRAME = 0.012
#: So do the frames at both ends of the mean, or two periods.
END_FRAME = 0.004
#: Fewest frames that tell noise from wander.
FEWEST_FRAMES = 6
#: Rates of wander that are weighed: cents of the fundamental in a second, one sigma.
WANDER = 10.0 ** np.arange(-3.5, 2.6, 0.5)
#: Jitter that is weighed: relative standard deviation of single periods.
JITTER = np.array([0.0, 1e-5, 3e-5, 1e-4, 3e-4, 1e-3, 3e-3])
#: The coarse frequency is refined from partials up to this number and frequency,
#: whose turns can still be counted when it is 20 cents off.
_REFINING_PARTIALS = 8
_REFINING_LIMIT = 8000.0
_COARSE_ERROR = 0.0117
#: Power re the noise in a frame above which a partial counts as heard, and below
#: which even the loudest is no tone.
_ABOVE_NOISE = 4.0
_CLEAR = 8.0
#: Power re the loudest partial below which one has no say in whether they agree.
_FAINTEST = 1e-3
#: Agreement below which a frame's turn may have been miscounted (half a turn of
#: doubt is added), and mean agreement below which there is no single pitch.
_TURN_LOST = 0.2
_LEAST_AGREEMENT = 0.65
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
    ``agreement`` (M,) is the mean cosine of what the loud partials are off by: near 1
    for one reed, near 0 where it is not one tone.
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
    agreement: NDArray[np.float64]


def fit_harmonics(
    samples: NDArray[np.floating],
    sample_rate: float,
    *,
    coarse_frequency: float,
    most_partials: int = 48,
    least_span: float = 0.0,
    sounded: float = 1.0,
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
        The mean is taken over at least this many seconds, if there are so many.
    sounded : float >= 0
        For how long the tone had sounded before the first sample, seconds.

    Raises
    ------
    RecordingError
        If the tone is too short, its fundamental too near half the sampling rate,
        or there is no single harmonic tone in it.
    """
    duration = len(samples) / sample_rate
    peak = float(np.max(np.abs(samples), initial=0.0))
    if not 0.0 < peak < np.inf:
        raise RecordingError(
            f"a tone needs samples other than zero, the largest of these is {peak}; "
            "check that the microphone was on"
        )
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
    frequency = _refined(samples, sample_rate, coarse_frequency)
    frames = demodulate(
        samples,
        sample_rate,
        frequency=frequency,
        partials=partials,
        length=frame_length(frequency, shortest=shortest),
    )
    phase = phase_track(frames)
    heard = partial_phases(frames.amplitudes, phase)
    orders = np.arange(1, partials + 1)
    effects, spread2 = first_effects(phase, heard, hop=frames.hop)
    weights = orders**2 / (heard.noise * 12.0 / len(phase) + effects)
    weights = weights / np.sum(weights)
    noise = float(np.sum(weights**2 * heard.noise / orders**2))
    smoothing = smooth_phase(
        phase + heard.deviations @ (weights / orders),
        noise * heard.disturbance,
        correlation=OVERLAP_CORRELATION,
        wander=(2.0 * np.pi * frequency * _CENT * WANDER * frames.hop) ** 2 * frames.hop,
        jitter=(2.0 * np.pi * JITTER) ** 2 * frequency * frames.hop,
    )
    span = best_span(
        frames.times, heard, smoothing, noise=noise, spread2=spread2, least_span=least_span
    )
    ends = _end_phases(samples, sample_rate, frames=frames, smoothing=smoothing, span=span)
    step, further = mean_phase_step(
        span,
        phase,
        heard,
        smoothing,
        ends,
        weights=weights,
        hop=frames.hop,
        sounded=sounded + float(frames.times[span.first]),
    )
    scale = 1.0 / (2.0 * np.pi * span.seconds)
    amplitudes = turned(frames.amplitudes, smoothing.phase)
    agreement = _agreement(amplitudes, heard.noise_variance)
    if np.min(agreement[span.first : span.last + 1]) < _TURN_LOST:
        further += np.pi**2
    error = step.half_width(coverage=0.95, further_variance=further) / 1.96
    trend = _trend(frames.times, smoothing, span)
    course_error = _course_errors(frames, smoothing)
    return HarmonicFit(
        sample_rate=sample_rate,
        start=float(frames.times[span.first]),
        stop=float(frames.times[span.last]),
        mean_frequency=frequency + step.mean * scale,
        standard_error=error * scale,
        drift=trend[0],
        drift_error=trend[1],
        frame_length=frames.length,
        frame_times=frames.times,
        frame_phase=2.0 * np.pi * frequency * frames.times + smoothing.phase,
        frame_frequency=frequency + np.gradient(smoothing.phase, frames.hop) / (2.0 * np.pi),
        frame_frequency_error=course_error,
        amplitudes=amplitudes,
        noise_variance=heard.noise_variance,
        disturbance=heard.disturbance,
        agreement=agreement,
    )


def _refined(samples: NDArray[np.floating], sample_rate: float, coarse_frequency: float) -> float:
    """Return the fundamental to about a cent, from how far partials turn in a short time."""
    highest = min(0.45 * sample_rate, _REFINING_LIMIT)
    partials = max(1, int(min(_REFINING_PARTIALS, highest / coarse_frequency)))
    length = frame_length(coarse_frequency, shortest=SHORTEST_FRAME)
    countable = 0.4 / (partials * coarse_frequency * _COARSE_ERROR)
    lag = max(1, round(min(countable, 0.5 * length) * sample_rate))
    earlier, later = (
        demodulate(
            part, sample_rate, frequency=coarse_frequency, partials=partials, length=length
        ).amplitudes
        for part in (samples[:-lag], samples[lag:])
    )
    lagged = 2.0 * np.pi * coarse_frequency * lag / sample_rate * np.arange(1, partials + 1)
    later *= np.exp(-1.0j * lagged)
    weights = step_weights(earlier, later)
    angles = np.angle(np.sum(later * np.conj(earlier), axis=0))
    turn = float(angles @ (weights / np.arange(1, partials + 1)) / np.sum(weights))
    return coarse_frequency + turn * sample_rate / (2.0 * np.pi * lag)


def _end_phases(
    samples: NDArray[np.floating],
    sample_rate: float,
    *,
    frames: Frames,
    smoothing: PhaseSmoothing,
    span: Span,
) -> EndPhases:
    """Return what short frames at both ends of ``span`` say."""
    length = min(frames.length, frame_length(frames.frequency, shortest=END_FRAME))
    ends = [span.first, span.last]
    brief = demodulate_at(
        frames.times[ends],
        samples,
        sample_rate,
        frequency=frames.frequency,
        partials=frames.amplitudes.shape[1],
        length=length,
    )
    usual = turned(frames.amplitudes, smoothing.phase).mean(axis=0)
    deviations = np.angle(turned(brief, smoothing.phase[ends]) * np.conj(usual))
    return EndPhases(deviations=deviations, share=length / frames.length)


def _agreement(
    amplitudes: NDArray[np.complex128], noise_variance: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return how well the partials above the noise agree on the phase, (M,)."""
    power = np.mean(np.abs(amplitudes) ** 2, axis=0)
    ratio = power / noise_variance
    heard = (ratio > _ABOVE_NOISE) & (
        power > _FAINTEST * power[ratio > _ABOVE_NOISE].max(initial=0.0)
    )
    if float(ratio.max()) < _CLEAR:
        raise RecordingError(
            f"the loudest partial of a tone must have {_CLEAR:.0f} times the noise's power in "
            f"a frame, it has {float(ratio.max()):.1f} times; record closer or in a quieter room"
        )
    audible = amplitudes[:, heard]
    mean = audible.mean(axis=0)
    turns = audible * np.conj(mean) / np.maximum(np.abs(audible) * np.abs(mean), 1e-30)
    agreement = np.asarray(turns.real.mean(axis=1), dtype=np.float64)
    if float(agreement.mean()) < _LEAST_AGREEMENT:
        raise RecordingError(
            f"the partials of a reed agree to better than {_LEAST_AGREEMENT}, these to "
            f"{float(agreement.mean()):.2f}: no single pitch; play one note at a time"
        )
    return agreement


def _trend(
    times: NDArray[np.float64], smoothing: PhaseSmoothing, span: Span
) -> tuple[float, float]:
    """Return the slope of the frequency over ``span``, hertz per second, and its error."""
    inside = slice(span.first, span.last + 1)
    since = times[inside] - times[inside].mean()
    weights = np.zeros((len(times), 1))
    weights[inside, 0] = -np.gradient(since / np.sum(since**2), times[inside]) / (2.0 * np.pi)
    ends = since[[0, -1]] / np.sum(since**2) / (2.0 * np.pi * (times[1] - times[0]))
    weights[[span.first, span.last], 0] += [-ends[0], ends[1]]
    found = smoothing.contrasts(weights)
    return float(found.values[0]), float(np.sqrt(found.noise[0] + found.misfit[0]))


def _course_errors(frames: Frames, smoothing: PhaseSmoothing) -> NDArray[np.float64]:
    """Return the errors of the frame frequencies, hertz: of nine, and between them by line."""
    count = len(frames.times)
    chosen = np.unique(np.round(np.linspace(0, count - 1, 9)).astype(int))
    before, after = np.maximum(chosen - 1, 0), np.minimum(chosen + 1, count - 1)
    slopes = np.zeros((count, chosen.size))
    columns = np.arange(chosen.size)
    slopes[after, columns] += 1.0 / (after - before)
    slopes[before, columns] -= 1.0 / (after - before)
    found = smoothing.contrasts(slopes / (2.0 * np.pi * frames.hop))
    errors = np.sqrt(found.noise + found.misfit)
    return np.interp(np.arange(count), chosen, errors)
