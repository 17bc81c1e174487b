"""How a note sounds besides its pitch: how it starts, its breath, and what the recording adds.

- The *rise* is that of the partials alone, 10 to 90 % of where they settle in the
  first half second of the steady part.
- The *speaking delay* runs from the button's click to 10 % of the settled amplitude.
- *Breath* is the noise between the partials, by octaves, re the power of all partials.
- *Hum* of the mains is looked for between the partials and in the pause before the
  note. A reed whose partials lie on multiples of the mains hides it; that is said.
- *Clipping* counts samples in cut-off tops (``science.rails``).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from reedwright.instrument.reading import NoiseBand
from reedwright.science.between_partials import (
    MAINS,
    Spectrum,
    mains_hum,
    noise_bands,
    power_spectrum,
)
from reedwright.science.envelope import Rise, click_time, harmonic_amplitude, rise
from reedwright.science.harmonic_fit import HarmonicFit
from reedwright.science.rails import clipped_fraction

__all__ = ["Sounding", "describe_sounding"]

#: Before the note's start its attack and its click are looked for so far back, seconds.
_BEFORE_S = 0.5
#: The settled amplitude is the median over so much of the steady part.
_SETTLED_S = 0.5
#: The strongest partials that hold this share of the power make the attack, at most so many.
_SHARE, _MOST_PARTIALS = 0.95, 8
#: A pause shorter than this says nothing of hum, nor one louder re the note, decibels.
_LEAST_PAUSE_S = 0.2
#: Partials named when hum lies on them, and how near that is, relative and in bins.
_NAMED_PARTIALS = 6


@dataclass(frozen=True, slots=True)
class Sounding:
    """All that is heard in a note besides its pitch; fields as in ``Tone``.

    ``level_dbfs`` is the rms level of the steady part re full scale, all sound in it
    (a sine that just reaches full scale has -3.0). ``rise_time_s`` is None where the
    recording does not show the attack.
    """

    rise_time_s: float | None
    speaking_delay_s: float | None
    noise_bands: tuple[NoiseBand, ...]
    hum_hz: float | None
    clipped_fraction: float
    level_dbfs: float
    cautions: tuple[str, ...]


def describe_sounding(
    samples: NDArray[np.floating],
    sample_rate_hz: float,
    *,
    start_s: float,
    end_s: float,
    fit: HarmonicFit,
    fitted_from_s: float,
    other_frequencies_hz: tuple[float, ...] = (),
) -> Sounding:
    """Return how a note sounds.

    Parameters
    ----------
    samples : array, shape (n,), full scale = 1
        A piece of the recording that holds the note and, if it can, half a second before it.
    sample_rate_hz : float > 0
    start_s, end_s : float
        The note in the piece, seconds from its first sample.
    fit : HarmonicFit
        The note's steady part, fitted.
    fitted_from_s : float
        Where in the piece the samples began that ``fit`` was made from, seconds.
    other_frequencies_hz : tuple of floats
        Fundamentals of other reeds that sound along.
    """
    note = samples[max(0, round(start_s * sample_rate_hz)) : round(end_s * sample_rate_hz)]
    steady_from_s, steady_to_s = fitted_from_s + fit.start, fitted_from_s + fit.stop
    steady = samples[round(steady_from_s * sample_rate_hz) : round(steady_to_s * sample_rate_hz)]
    powers = 0.5 * np.mean(np.abs(fit.amplitudes) ** 2, axis=0)
    attack = _attack(samples, sample_rate_hz, start_s=start_s, until_s=steady_from_s, fit=fit)
    begun_s = start_s if attack is None else attack.begun
    click_s = None
    if attack is not None:
        click_s = click_time(samples, sample_rate_hz, start=begun_s - _BEFORE_S, stop=begun_s)
    spectrum = power_spectrum(steady, sample_rate_hz)
    reeds = (fit.mean_frequency, *other_frequencies_hz)
    quiet_to_s = begun_s if click_s is None else click_s
    hum_hz, cautions = _hum(
        spectrum, _pause(samples, sample_rate_hz, quiet_to_s), reeds, sample_rate_hz
    )
    return Sounding(
        rise_time_s=None if attack is None else attack.duration,
        speaking_delay_s=None if attack is None or click_s is None else attack.begun - click_s,
        noise_bands=tuple(
            NoiseBand(
                low_hz=band.low,
                high_hz=band.high,
                ratio_db=10.0 * float(np.log10(band.power / np.sum(powers) + 1e-15)),
            )
            for band in noise_bands(spectrum, reeds)
        ),
        hum_hz=hum_hz,
        clipped_fraction=clipped_fraction(note),
        level_dbfs=10.0 * float(np.log10(np.mean(np.square(steady, dtype=np.float64)) + 1e-20)),
        cautions=cautions,
    )


def _attack(
    samples: NDArray[np.floating],
    sample_rate_hz: float,
    *,
    start_s: float,
    until_s: float,
    fit: HarmonicFit,
) -> Rise | None:
    """Return the rise of the strongest partials, if the piece shows it."""
    settled_part = np.abs(fit.amplitudes[fit.frame_times < fit.start + _SETTLED_S]) ** 2
    powers = np.mean(settled_part, axis=0)
    loudest = np.argsort(-powers)
    needed = int(np.searchsorted(np.cumsum(powers[loudest]), _SHARE * np.sum(powers))) + 1
    partials = np.sort(loudest[: min(needed, _MOST_PARTIALS)]) + 1
    times, amplitude, frame = harmonic_amplitude(
        samples,
        sample_rate_hz,
        frequency=float(fit.mean_frequency),
        partials=partials,
        start=start_s - 0.5 * _BEFORE_S,
        stop=until_s + 0.5 * _BEFORE_S,
    )
    if len(times) == 0:
        return None
    settled = float(np.sqrt(np.median(np.sum(settled_part[:, partials - 1], axis=1))))
    return rise(times, amplitude, steady=settled, frame=frame)


def _pause(
    samples: NDArray[np.floating], sample_rate_hz: float, until_s: float
) -> NDArray[np.floating] | None:
    """Return what comes before the note, if it is long enough."""
    last = round((until_s - 0.01) * sample_rate_hz)
    pause = samples[max(0, last - round(2.0 * _BEFORE_S * sample_rate_hz)) : max(0, last)]
    return pause if len(pause) >= _LEAST_PAUSE_S * sample_rate_hz else None


def _hum(
    spectrum: Spectrum,
    pause: NDArray[np.floating] | None,
    reeds: tuple[float, ...],
    sample_rate_hz: float,
) -> tuple[float | None, tuple[str, ...]]:
    """Return the mains that hum, and what a person should know of it."""
    hum_hz = mains_hum(spectrum, reeds)
    if hum_hz is None and pause is not None:
        hum_hz = mains_hum(power_spectrum(pause, sample_rate_hz), ())
    near_hz = 2.0 * spectrum.spacing
    orders = np.arange(1, _NAMED_PARTIALS + 1)
    if hum_hz is not None:
        partials = orders * reeds[0]
        away = np.abs(partials - hum_hz * np.rint(partials / hum_hz))
        on = [str(order) for order in orders[away < near_hz + 0.002 * partials]]
        if on:
            return hum_hz, (
                f"Mains hum of {hum_hz:.0f} Hz lies on partial {', '.join(on)} and may add to it.",
            )
    elif pause is None and any(
        abs(reeds[0] - multiple * mains) < near_hz for mains in MAINS for multiple in (0.5, 1, 2)
    ):
        return None, ("This reed's partials hide any mains hum; record a second of silence first.",)
    return hum_hz, ()
