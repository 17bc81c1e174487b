"""One note of a recording, heard whole: the seam where pitch, second reed and sounding meet."""

import numpy as np
from numpy.typing import NDArray

from reedwright.instrument.reading import Partial, Tone, Trace
from reedwright.listening.model import Segment
from reedwright.science.harmonic_fit import HarmonicFit, fit_harmonics
from reedwright.units import CENTS_PER_NATURAL_LOG, ratio_from_cents

__all__ = ["hear_tone"]

#: Share of a note left out at its start (attack) and end (release).
_ATTACK_SHARE, _RELEASE_SHARE = 0.2, 0.1
_LEAST_SHARE = 0.45
_MOST_PARTIALS_TOLD = 20
_LEAST_LEVEL_SPREAD_DB = 1.0


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
        A piece of the recording that holds the note, full scale = 1.
    piece_start_s : float
        When the piece starts, seconds from the start of the recording.

    Raises
    ------
    RecordingError
        If the note is too short to hear a pitch.
    """
    length_s = segment.end_s - segment.start_s
    from_s = segment.start_s + _ATTACK_SHARE * length_s
    to_s = segment.end_s - _RELEASE_SHARE * length_s
    first = max(0, round((from_s - piece_start_s) * sample_rate_hz))
    last = min(len(samples), round((to_s - piece_start_s) * sample_rate_hz))
    fit = fit_harmonics(
        samples[first:last],
        sample_rate_hz,
        coarse_frequency=segment.coarse_frequency_hz,
        least_span=_LEAST_SHARE * length_s,
    )
    offset_s = piece_start_s + first / sample_rate_hz
    error_cents = CENTS_PER_NATURAL_LOG * fit.standard_error / fit.mean_frequency
    reach = ratio_from_cents(1.96 * error_cents)
    trace = _trace(fit, offset_s)
    steady = np.array(trace.offsets_cents)
    slope, slope_error = _pitch_against_level(trace)
    in_cents = CENTS_PER_NATURAL_LOG / fit.mean_frequency
    return Tone(
        start_s=segment.start_s,
        end_s=segment.end_s,
        measured_from_s=offset_s + fit.start,
        measured_to_s=offset_s + fit.stop,
        frequency_hz=fit.mean_frequency,
        standard_error_cents=error_cents,
        interval_low_hz=fit.mean_frequency / reach,
        interval_high_hz=fit.mean_frequency * reach,
        trace=trace,
        partials=_partials(fit),
        level_dbfs=float(np.median(trace.levels_db)),
        steadiness_cents=float(np.std(steady)),
        drift_cents_per_s=fit.drift * in_cents,
        drift_cents_per_s_standard_error=fit.drift_error * in_cents,
        drift_cents_per_db=slope,
        drift_cents_per_db_standard_error=slope_error,
        rise_time_s=None,
        speaking_delay_s=None,
        noise_bands=(),
        hum_hz=None,
        clipped_fraction=0.0,
        second=None,
        cautions=(),
    )


def _trace(fit: HarmonicFit, offset_s: float) -> Trace:
    inside = (fit.frame_times >= fit.start) & (fit.frame_times <= fit.stop)
    offsets = CENTS_PER_NATURAL_LOG * np.log(fit.frame_frequency[inside] / fit.mean_frequency)
    errors = CENTS_PER_NATURAL_LOG * fit.frame_frequency_error[inside] / fit.mean_frequency
    power = 0.5 * np.sum(np.abs(fit.amplitudes[inside]) ** 2, axis=1)
    return Trace(
        times_s=tuple((offset_s + fit.frame_times[inside]).tolist()),
        offsets_cents=tuple(offsets.tolist()),
        standard_errors_cents=tuple(errors.tolist()),
        levels_db=tuple((10.0 * np.log10(power + 1e-20)).tolist()),
    )


def _partials(fit: HarmonicFit) -> tuple[Partial, ...]:
    inside = (fit.frame_times >= fit.start) & (fit.frame_times <= fit.stop)
    amplitudes = np.abs(fit.amplitudes[inside]).mean(axis=0)[:_MOST_PARTIALS_TOLD]
    errors = np.sqrt(0.5 * fit.noise_variance[:_MOST_PARTIALS_TOLD] / max(1, inside.sum()))
    return tuple(
        Partial(number, float(amplitude), float(error))
        for number, (amplitude, error) in enumerate(zip(amplitudes, errors, strict=True), start=1)
    )


def _pitch_against_level(trace: Trace) -> tuple[float | None, float | None]:
    """Return the slope of pitch on level, cents per dB, and its error; None on a level tone."""
    levels = np.array(trace.levels_db) - np.mean(trace.levels_db)
    if len(levels) < 4 or np.ptp(levels) < _LEAST_LEVEL_SPREAD_DB:
        return None, None
    offsets = np.array(trace.offsets_cents) - np.mean(trace.offsets_cents)
    slope = float(levels @ offsets / (levels @ levels))
    rest = offsets - slope * levels
    return slope, float(np.sqrt(rest @ rest / (len(levels) - 2) / (levels @ levels)))
