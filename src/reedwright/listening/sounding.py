"""How a note sounds besides its pitch: how it starts, its breath, and what the recording adds.

- The *rise* is that of the partials alone, 10 to 90 % of where they settle. A room's
  build-up belongs to it.
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
from reedwright.listening.model import Segment
from reedwright.science.between_partials import (
    MAINS,
    Spectrum,
    mains_hum,
    noise_bands,
    partial_powers,
    power_spectrum,
)
from reedwright.science.envelope import Rise, click_time, harmonic_amplitude, rise
from reedwright.science.rails import clipped_fraction

__all__ = ["Sounding", "describe_sounding"]

#: Before the note's start its attack and its click are looked for so far back, seconds.
_BEFORE_S = 0.5
#: And so far into it the attack is followed.
_AFTER_S = 0.8
#: Of the first so many partials, the strongest that hold this share of the power make the
#: attack, at most so many.
_LOOKED_THROUGH, _SHARE, _MOST_PARTIALS = 48, 0.95, 8
#: A pause shorter than this says nothing of hum.
_LEAST_PAUSE_S = 0.2
#: A reed so near to (half, twice) the mains hides their hum, hertz.
_HIDING_HZ = 1.5
#: Partials named when hum lies on them.
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
    piece_start_s: float,
    segment: Segment,
    steady: NDArray[np.floating],
    frequency_hz: float,
    partials_power: float,
    other_frequencies_hz: tuple[float, ...] = (),
) -> Sounding:
    """Return how the note of ``segment`` sounds.

    Parameters
    ----------
    samples : array (n,), full scale = 1
        A piece of the recording that holds the note and, if it can, half a second before it.
    sample_rate_hz : float > 0
    piece_start_s : float
        When the piece starts, seconds from the start of the recording.
    steady : array (m,)
        The steady part of the note.
    frequency_hz : float > 0
        The fundamental.
    partials_power : float > 0
        Mean-square power of all partials together, re full scale.
    other_frequencies_hz : tuple of floats
        Fundamentals of other reeds that sound along.
    """
    begins_s, ends_s = segment.start_s - piece_start_s, segment.end_s - piece_start_s
    note = samples[max(0, round(begins_s * sample_rate_hz)) : round(ends_s * sample_rate_hz)]
    spectrum = power_spectrum(steady, sample_rate_hz)
    attack = _attack(
        samples, sample_rate_hz, begins_s=begins_s, frequency_hz=frequency_hz, spectrum=spectrum
    )
    click_s = None
    if attack is not None:
        click_s = click_time(
            samples,
            sample_rate_hz,
            start=attack.begun - _BEFORE_S,
            stop=attack.begun,
            period=1.0 / frequency_hz,
        )
        begins_s = attack.begun if click_s is None else click_s
    reeds = (frequency_hz, *other_frequencies_hz)
    hum_hz, cautions = _hum(
        spectrum, _pause(samples, sample_rate_hz, begins_s), reeds, sample_rate_hz
    )
    return Sounding(
        rise_time_s=None if attack is None else attack.duration,
        speaking_delay_s=None if attack is None or click_s is None else attack.begun - click_s,
        noise_bands=tuple(
            NoiseBand(
                low_hz=band.low,
                high_hz=band.high,
                ratio_db=10.0 * float(np.log10(max(band.power, 1e-20) / partials_power)),
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
    begins_s: float,
    frequency_hz: float,
    spectrum: Spectrum,
) -> Rise | None:
    """Return the rise of the strongest partials, if the piece shows it."""
    powers = partial_powers(spectrum, frequency_hz, most=_LOOKED_THROUGH)
    if len(powers) == 0:
        return None
    loudest = np.argsort(-powers)
    needed = int(np.searchsorted(np.cumsum(powers[loudest]), _SHARE * np.sum(powers))) + 1
    partials = np.sort(loudest[: min(needed, _MOST_PARTIALS)]) + 1
    times, amplitude, frame = harmonic_amplitude(
        samples,
        sample_rate_hz,
        frequency=frequency_hz,
        partials=partials,
        start=begins_s - 0.5 * _BEFORE_S,
        stop=begins_s + _AFTER_S,
    )
    steady = float(np.sqrt(2.0 * np.sum(powers[partials - 1])))
    return rise(times, amplitude, steady=steady, frame=frame)


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
        abs(reeds[0] - multiple * mains) < max(near_hz, _HIDING_HZ)
        for mains in MAINS
        for multiple in (0.5, 1, 2)
    ):
        return None, ("This reed's partials hide any mains hum; record a second of silence first.",)
    return hum_hz, ()
