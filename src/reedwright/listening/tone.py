"""One note of a recording, heard whole: its pitch, its course, its partials, its reeds.

A note is fitted as one reed (``science.harmonic_fit``) and searched for a second
(``second_reed``). Where the second is strong, or the partials do not agree on one
pitch because of it, the pitch is that of the stronger reed, fitted beside the other.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from reedwright.errors import RecordingError
from reedwright.instrument.reading import Partial, Tone, Trace
from reedwright.listening.model import Segment
from reedwright.listening.second_reed import ReedsTogether, hear_reeds, second_reed
from reedwright.listening.sounding import describe_sounding
from reedwright.listening.steady_stretch import steady_stretch
from reedwright.science.demodulation import demodulate, frame_length
from reedwright.science.harmonic_fit import HarmonicFit, fit_harmonics
from reedwright.units import CENTS_PER_NATURAL_LOG

__all__ = ["hear_tone"]

#: The mean is taken over at least this share of the note.
_LEAST_SHARE = 0.50
#: The steady stretch is at least this much of it, so that the mean fits inside.
_STEADY_SHARE = 0.60
#: In a shorter steady stretch no second reed is looked for, seconds.
_LEAST_FOR_TWO_S = 0.35
_MOST_PARTIALS_TOLD = 20
#: Frames of the trace are at least this far apart, seconds.
_TRACE_STEP_S = 0.020
#: Less change of level than this says nothing of pitch against level, decibels.
_LEAST_LEVEL_SPREAD_DB = 1.0
#: A shorter measured stretch is remarked on, seconds.
_SHORT_S = 0.4
#: Partials that agree less than this at some moment are remarked on.
_DISAGREEING = 0.5
#: A note heard this soon after its piece begins was sounding already, seconds.
_ALREADY_S = 0.020
#: What a decibel more turns the phase of a clipped tone: from 160 invented tones with 1 to 7 %
#: of their samples at the rails, one sigma, radians.
_CLIPPED_RADIANS_PER_DB = 0.01
#: Two reeds that leave more than this unexplained are no two reeds, decibels.
_MOST_UNEXPLAINED_DB = -3.0
#: A pair nearer to one another than this many slow bends of the pitch is one reed drifting.
_BENT_SHARE = 0.4
#: Frames in which the level of two reeds together is taken, seconds.
_FRAME_S = 0.030


@dataclass(frozen=True, slots=True, eq=False)
class _Course:
    """The pitch of a note frame by frame; times in seconds from the first steady sample."""

    frequency: float
    standard_error: float
    start: float
    stop: float
    drift: float
    drift_error: float
    times: NDArray[np.float64]
    offsets_cents: NDArray[np.float64]
    errors_cents: NDArray[np.float64]
    levels_db: NDArray[np.float64]
    partials: tuple[Partial, ...]
    cautions: tuple[str, ...]


def hear_tone(
    samples: NDArray[np.floating],
    sample_rate_hz: float,
    *,
    piece_start_s: float,
    segment: Segment,
) -> Tone:
    """Return what is heard of the note of ``segment`` in a piece of the recording.

    Parameters
    ----------
    samples : array (n,)
        A piece of the recording that holds the note and a little around it,
        full scale = 1.
    piece_start_s : float
        When the piece starts, seconds from the start of the recording.
    segment : Segment
        Its coarse frequency is within 20 cents.

    Raises
    ------
    RecordingError
        If the note is too short to hear a pitch, silent, lost in noise, too high
        for the sampling rate, or neither one pitch nor two reeds.
    """
    begins_s, from_s, to_s = steady_stretch(
        samples,
        sample_rate_hz,
        piece_start_s=piece_start_s,
        segment=segment,
        least_s=_STEADY_SHARE * (segment.end_s - segment.start_s),
    )
    first = max(0, round((from_s - piece_start_s) * sample_rate_hz))
    steady = samples[first : round((to_s - piece_start_s) * sample_rate_hz)]
    # A note that sounds when the piece begins has sounded for who knows how long.
    # Of a short note the low partials alone are to be trusted (real reeds, tests/recordings),
    # so the room's part in them is not held against them there.
    sounded_s = 1.0
    if begins_s > piece_start_s + _ALREADY_S and to_s - from_s > _SHORT_S:
        sounded_s = from_s - begins_s
    course, together = _course_and_reeds(steady, sample_rate_hz, segment, sounded_s=sounded_s)
    offset_s = piece_start_s + first / sample_rate_hz
    inside = (course.times >= course.start - 1e-9) & (course.times <= course.stop + 1e-9)
    in_cents = CENTS_PER_NATURAL_LOG / course.frequency
    slope = _slope(course.levels_db[inside], course.offsets_cents[inside])
    sounding = describe_sounding(
        samples,
        sample_rate_hz,
        piece_start_s=piece_start_s,
        segment=segment,
        steady=steady,
        frequency_hz=course.frequency,
        partials_power=float(np.mean(10.0 ** (course.levels_db[inside] / 10.0))),
        other_frequencies_hz=(
            () if together is None else tuple(reed.frequency_hz for reed in together.reeds[1:])
        ),
    )
    error = course.standard_error
    if sounding.clipped_fraction > 0.0:
        error = float(np.hypot(error, _clipping_error(course, inside)))
    return Tone(
        start_s=segment.start_s,
        end_s=segment.end_s,
        measured_from_s=offset_s + course.start,
        measured_to_s=offset_s + course.stop,
        frequency_hz=course.frequency,
        standard_error_cents=error * in_cents,
        interval_low_hz=course.frequency - 1.96 * error,
        interval_high_hz=course.frequency + 1.96 * error,
        trace=_trace(course, inside, offset_s=offset_s),
        partials=course.partials,
        level_dbfs=sounding.level_dbfs,
        steadiness_cents=float(np.std(course.offsets_cents[inside])),
        drift_cents_per_s=course.drift * in_cents,
        drift_cents_per_s_standard_error=course.drift_error * in_cents,
        drift_cents_per_db=None if slope is None else slope[0],
        drift_cents_per_db_standard_error=None if slope is None else slope[1],
        rise_time_s=sounding.rise_time_s,
        speaking_delay_s=sounding.speaking_delay_s,
        noise_bands=sounding.noise_bands,
        hum_hz=sounding.hum_hz,
        clipped_fraction=sounding.clipped_fraction,
        second=second_reed(together),
        cautions=(*course.cautions, *sounding.cautions),
    )


def _clipping_error(course: _Course, inside: NDArray[np.bool_]) -> float:
    """Return by how much a change of level between the measured times moves a clipped tone, hertz.

    Flattened tops move the whole wave, the more the louder it is.
    """
    first_db, last_db = course.levels_db[inside][[0, -1]]
    turned = _CLIPPED_RADIANS_PER_DB * abs(last_db - first_db)
    return float(turned / (2.0 * np.pi * (course.stop - course.start)))


def _course_and_reeds(
    steady: NDArray[np.floating], sample_rate_hz: float, segment: Segment, *, sounded_s: float
) -> tuple[_Course, ReedsTogether | None]:
    """Return the course of the pitch, of the stronger reed if there are two, and the reeds."""
    fit, refusal = None, None
    try:
        fit = fit_harmonics(
            steady,
            sample_rate_hz,
            coarse_frequency=segment.coarse_frequency_hz,
            least_span=_LEAST_SHARE * (segment.end_s - segment.start_s),
            sounded=sounded_s,
        )
    except RecordingError as error:
        refusal = error
        if len(steady) < _LEAST_FOR_TWO_S * sample_rate_hz:
            raise
    if fit is not None and len(steady) < _LEAST_FOR_TWO_S * sample_rate_hz:
        return _course_of_one(fit), None
    together = hear_reeds(steady, sample_rate_hz, frequency_hz=segment.coarse_frequency_hz, fit=fit)
    is_pair = (
        together is not None
        and len(together.reeds) > 1
        and together.unexplained_db < _MOST_UNEXPLAINED_DB
    )
    if fit is None:
        if together is None or not is_pair:
            assert refusal is not None  # noqa: S101 - no fit means that it was refused
            raise refusal
        return _course_of_pair(steady, sample_rate_hz, together, None), together
    if together is not None and is_pair and _is_drift(fit, together):
        return _course_of_one(fit), None
    if together is not None and is_pair and not together.alone:
        return _course_of_pair(steady, sample_rate_hz, together, fit), together
    return _course_of_one(fit), together


def _is_drift(fit: HarmonicFit, together: ReedsTogether) -> bool:
    """Return whether a slow drift of one reed looks like two: a pair beats, it does not bend."""
    inside = (fit.frame_times >= fit.start) & (fit.frame_times <= fit.stop)
    times, course = fit.frame_times[inside], fit.frame_frequency[inside]
    bend = np.polynomial.Polynomial.fit(times, course, 2)(times)
    first, second = together.reeds[:2]
    apart = abs(second.frequency_hz - first.frequency_hz)
    return float(np.ptp(bend)) > _BENT_SHARE * apart


def _course_of_one(fit: HarmonicFit) -> _Course:
    inside = (fit.frame_times >= fit.start - 1e-9) & (fit.frame_times <= fit.stop + 1e-9)
    noise = float(np.sum(fit.noise_variance))
    power = 0.5 * (np.sum(np.abs(fit.amplitudes) ** 2, axis=1) - noise)
    cautions = []
    if fit.stop - fit.start < _SHORT_S:
        cautions.append(f"Measured over only {fit.stop - fit.start:.2f} s: the note was short.")
    if float(fit.agreement[inside].min()) < _DISAGREEING:
        cautions.append(
            "The partials do not agree on one pitch throughout: two reeds, another note, "
            "or a very reverberant room."
        )
    return _Course(
        frequency=fit.mean_frequency,
        standard_error=fit.standard_error,
        start=fit.start,
        stop=fit.stop,
        drift=fit.drift,
        drift_error=fit.drift_error,
        times=fit.frame_times,
        offsets_cents=CENTS_PER_NATURAL_LOG * np.log(fit.frame_frequency / fit.mean_frequency),
        errors_cents=CENTS_PER_NATURAL_LOG * fit.frame_frequency_error / fit.mean_frequency,
        levels_db=10.0 * np.log10(np.maximum(power, 1e-20)),
        partials=_partials(fit.amplitudes[inside], fit.noise_variance),
        cautions=tuple(cautions),
    )


def _course_of_pair(
    steady: NDArray[np.floating],
    sample_rate_hz: float,
    together: ReedsTogether,
    fit: HarmonicFit | None,
) -> _Course:
    """Return the course of the stronger of two reeds; level and partials are of both together.

    The fit of two reeds gives one error for the mean; that of one frame is taken as
    so much greater as there are frames, as if they were independent.
    """
    reed = together.reeds[0]
    times = together.frame_times_s
    offsets = CENTS_PER_NATURAL_LOG * np.log(together.frame_frequencies_hz / reed.frequency_hz)
    amplitudes, noise = _both(steady, sample_rate_hz, reed.frequency_hz, times, fit)
    power = 0.5 * np.sum(np.abs(amplitudes) ** 2, axis=1)
    start, stop = (0.0, len(steady) / sample_rate_hz) if fit is None else (fit.start, fit.stop)
    away = times - times.mean()
    error_hz = reed.standard_error_cents * reed.frequency_hz / CENTS_PER_NATURAL_LOG
    drift = float(away @ together.frame_frequencies_hz / (away @ away))
    return _Course(
        frequency=reed.frequency_hz,
        standard_error=error_hz,
        start=start,
        stop=stop,
        drift=drift,
        drift_error=error_hz * float(np.sqrt(len(times) / (away @ away))),
        times=times,
        offsets_cents=offsets,
        errors_cents=np.full(len(times), reed.standard_error_cents * np.sqrt(len(times))),
        levels_db=10.0 * np.log10(np.maximum(power, 1e-20)),
        partials=_partials(amplitudes, noise),
        cautions=("Two reeds sound together: the pitch is that of the stronger one.",),
    )


def _both(
    steady: NDArray[np.floating],
    sample_rate_hz: float,
    frequency_hz: float,
    times: NDArray[np.float64],
    fit: HarmonicFit | None,
) -> tuple[NDArray[np.complex128], NDArray[np.float64]]:
    """Return the amplitudes of two reeds together at ``times``, and the noise's variance."""
    if fit is not None:
        nearest = np.abs(fit.frame_times[None, :] - times[:, None]).argmin(axis=1)
        return fit.amplitudes[nearest], fit.noise_variance
    partials = max(1, min(_MOST_PARTIALS_TOLD, int(0.47 * sample_rate_hz / frequency_hz)))
    frames = demodulate(
        steady,
        sample_rate_hz,
        frequency=frequency_hz,
        partials=partials,
        length=frame_length(frequency_hz, shortest=_FRAME_S),
    )
    nearest = np.abs(frames.times[None, :] - times[:, None]).argmin(axis=1)
    return frames.amplitudes[nearest], np.zeros(partials)


def _trace(course: _Course, inside: NDArray[np.bool_], *, offset_s: float) -> Trace:
    """Return the course of the pitch between the measured times."""
    hop = float(course.times[1] - course.times[0])
    shown = np.flatnonzero(inside)[:: max(1, int(np.ceil(_TRACE_STEP_S / hop - 1e-9)))]
    return Trace(
        times_s=tuple((offset_s + course.times[shown]).tolist()),
        offsets_cents=tuple(course.offsets_cents[shown].tolist()),
        standard_errors_cents=tuple(course.errors_cents[shown].tolist()),
        levels_db=tuple(course.levels_db[shown].tolist()),
    )


def _partials(
    amplitudes: NDArray[np.complex128], noise_variance: NDArray[np.float64]
) -> tuple[Partial, ...]:
    """Return root-mean-square amplitudes over the measured stretch, the noise's share taken off.

    The error of a mean power P over M frames in noise of power N each is
    sqrt((2 P N + N^2) / M); frames that overlap make it 1 + 2/6 times greater.
    """
    noise = noise_variance[:_MOST_PARTIALS_TOLD]
    mean_power = np.mean(np.abs(amplitudes[:, :_MOST_PARTIALS_TOLD]) ** 2, axis=0)
    power = np.maximum(mean_power - noise, 0.0)
    error = np.sqrt((2.0 * power * noise + noise**2) * (4.0 / 3.0) / len(amplitudes))
    told = np.sqrt(power)
    errors = np.sqrt(power + error) - told
    return tuple(
        Partial(number, float(amplitude), float(amplitude_error))
        for number, (amplitude, amplitude_error) in enumerate(
            zip(told, errors, strict=True), start=1
        )
    )


def _slope(
    level_db: NDArray[np.float64], offsets_cents: NDArray[np.float64]
) -> tuple[float, float] | None:
    """Return the slope of pitch on level, cents per decibel, and its error; None on a level tone.

    Least squares; the error is that of the scatter about the line, for as many
    independent frames as the scatter's own correlation leaves.
    """
    count = len(level_db)
    if count < 6 or np.ptp(level_db) < _LEAST_LEVEL_SPREAD_DB:
        return None
    levels = level_db - level_db.mean()
    offsets = offsets_cents - offsets_cents.mean()
    slope = float(levels @ offsets / (levels @ levels))
    rest = offsets - slope * levels
    correlation = float(rest[1:] @ rest[:-1] / max(float(rest @ rest), 1e-30))
    correlation = min(max(correlation, 0.0), 1.0 - 2.0 / count)
    independent = max(3.0, count * (1.0 - correlation) / (1.0 + correlation))
    variance = float(rest @ rest) / count / (independent - 2.0)
    return slope, float(np.sqrt(variance * count / (levels @ levels)))
