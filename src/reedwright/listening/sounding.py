"""How a reed speaks: its rise, the click before it, its breath, hum, and clipping."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from reedwright.instrument.reading import NoiseBand
from reedwright.listening.model import Segment
from reedwright.science.between_partials import (
    band_noise,
    clipped_fraction,
    mains_hum,
    spectrum_gaps,
)
from reedwright.science.envelope import click_time, tone_rise

__all__ = ["Sounding", "describe_sounding"]

#: Edges of the bands of breath noise, hertz: octaves.
_BAND_EDGES_HZ = (125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0, 16000.0)
#: How much of the piece before and after the beginning of the note is looked at, seconds.
_BEFORE_S, _INTO_S = 0.35, 0.8
#: A click is looked for up to where the tone has risen to a tenth, and a little more.
_CLICK_MARGIN_S = 0.03


@dataclass(frozen=True, slots=True)
class Sounding:
    """What is heard of a note besides its pitch; the fields are those of ``Tone``."""

    rise_time_s: float | None
    speaking_delay_s: float | None
    noise_bands: tuple[NoiseBand, ...]
    hum_hz: float | None
    clipped_fraction: float


def describe_sounding(
    samples: NDArray[np.floating],
    sample_rate_hz: float,
    *,
    piece_start_s: float,
    segment: Segment,
    steady: NDArray[np.floating],
    frequency_hz: float,
    partials_power: float,
) -> Sounding:
    """Return how the note of ``segment`` speaks.

    Parameters
    ----------
    samples : array (n,)
        A piece of the recording that holds the note and a little around it.
    piece_start_s : float
        When the piece starts, seconds from the start of the recording.
    steady : array (m,)
        The steady part of the note, in which noise, hum and clipping are looked for.
    frequency_hz : float > 0
        The fundamental.
    partials_power : float > 0
        Mean-square power of all partials together, re full scale.
    """
    begins = round((segment.start_s - piece_start_s) * sample_rate_hz)
    first = max(0, begins - round(_BEFORE_S * sample_rate_hz))
    start = samples[first : begins + round(_INTO_S * sample_rate_hz)]
    rise = tone_rise(start, sample_rate_hz, frequency=frequency_hz)
    delay_s = None
    if rise is not None:
        before = start[: round((rise.begins + _CLICK_MARGIN_S) * sample_rate_hz)]
        clicked_s = click_time(before, sample_rate_hz)
        if clicked_s is not None and clicked_s <= rise.begins:
            delay_s = rise.begins - clicked_s
    gaps = spectrum_gaps(steady, sample_rate_hz, frequency=frequency_hz)
    bands = []
    for low_hz, high_hz in pairwise(_BAND_EDGES_HZ):
        if high_hz > 0.5 * sample_rate_hz:
            break
        noise = band_noise(gaps, low=low_hz, high=high_hz)
        if noise is not None and noise > 0.0 and partials_power > 0.0:
            ratio_db = 10.0 * float(np.log10(noise / partials_power))
            bands.append(NoiseBand(low_hz, high_hz, ratio_db))
    return Sounding(
        rise_time_s=None if rise is None else rise.duration,
        speaking_delay_s=delay_s,
        noise_bands=tuple(bands),
        hum_hz=mains_hum(gaps),
        clipped_fraction=clipped_fraction(steady),
    )
