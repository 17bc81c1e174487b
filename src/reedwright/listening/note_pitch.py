"""Which of several pitches a steady stretch has: the fundamental, told from its octaves.

A pitch is right when the peaks of the spectrum are its partials (octave above:
half of them are left over) and its partials are there (octave below: half of
them are missing). Both are asked of the mean spectrum of a few long windows, so
that a fundamental 25 dB under its octave still counts.
"""

import math
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import scipy.fft
from numpy.typing import NDArray

from reedwright.listening.model import Sound

__all__ = ["PitchFit", "fit_pitch"]

_WINDOW_S = 0.37
_WINDOWS = 6
_LOWEST_PEAK_HZ = 45.0
_HIGHEST_PEAK_HZ = 9_000.0
#: A peak stands this far (nepers of power) out of the noise, and no further below the highest.
_ABOVE_FLOOR = 2.5
_BELOW_HIGHEST = 10.4
_NO_POWER = 1e-14
#: Partials considered, and how far a peak may lie from one, as a ratio (20 cents).
_PARTIALS = 14
_TOLERANCE = 0.0116
#: A peak within 20 dB (nepers of power) of the highest is loud; a chord's other notes are.
_LOUD = 4.6
_RATIOS = (1.0, 2.0, 0.5, 3.0, 1.0 / 3.0, 1.5, 2.0 / 3.0, 4.0, 0.25)
_LOWEST_PITCH_HZ = 48.0
_HIGHEST_PITCH_HZ = 4_600.0


@dataclass(frozen=True, slots=True)
class PitchFit:
    """A pitch and how well it explains a stretch.

    ``explained`` (0 to 1) is the share of the peaks, by height over the noise in
    decibels, that are its partials; ``filled`` (0 to 1) the share of its
    partials, low ones counting more, that are there. ``oneness`` (0 to 1) says
    how far the loud peaks are of this one pitch: a chord falls short, a note in
    noise or two reeds a little apart do not.
    """

    frequency_hz: float
    explained: float
    filled: float
    oneness: float = 0.0

    @property
    def merit(self) -> float:
        """What decides between pitches: being explained weighs more than being filled."""
        return self.explained * math.sqrt(self.filled)


def fit_pitch(sound: Sound, start_s: float, end_s: float, near_hz: float) -> PitchFit:
    """Return the best of ``near_hz`` and its octaves, twelfths and fifths, refined to a cent or so.

    ``explained`` is 0 where the stretch has no peaks or holds under 64 samples.
    """
    spectrum = _mean_spectrum(sound, start_s, end_s)
    if spectrum is None:
        return PitchFit(near_hz, 0.0, 0.0)
    power, bin_hz, resolution_hz = spectrum
    peaks_hz, heights = _peaks(power, bin_hz)
    best = PitchFit(near_hz, 0.0, 0.0)
    for ratio in _RATIOS:
        if not _LOWEST_PITCH_HZ <= near_hz * ratio <= _HIGHEST_PITCH_HZ:
            continue
        # The first fit may be off by half a cell of the path: wider tolerance, then refined.
        fit = _judged(near_hz * ratio, peaks_hz, heights, resolution_hz, 2.0 * _TOLERANCE)
        fit = _judged(fit.frequency_hz, peaks_hz, heights, resolution_hz, _TOLERANCE)
        if fit.merit > best.merit:
            best = fit
    if best.explained == 0.0:
        return best
    return replace(best, oneness=_oneness(best.frequency_hz, peaks_hz, heights, resolution_hz))


def _mean_spectrum(
    sound: Sound, start_s: float, end_s: float
) -> tuple[NDArray[np.float64], float, float] | None:
    """Return the mean power of up to six windows, the bin's width and the resolution in hertz."""
    rate_hz = sound.sample_rate_hz
    start, stop = max(0, round(start_s * rate_hz)), min(sound.frames, round(end_s * rate_hz))
    length = min(stop - start, round(_WINDOW_S * rate_hz))
    if length < 64:
        return None
    count = max(1, min(_WINDOWS, 2 * (stop - start) // length - 1))
    padded = scipy.fft.next_fast_len(length, real=True)
    window = np.hanning(length + 2)[1:-1].astype(np.float32)
    total = np.zeros(padded // 2 + 1)
    for first in np.linspace(start, stop - length, count).round().astype(int):
        spectrum = scipy.fft.rfft(sound.read(int(first), int(first) + length) * window, padded)
        total += spectrum.real**2 + spectrum.imag**2
    power = total * (4.0 / (count * float(np.sum(window)) ** 2))
    return power, rate_hz / padded, rate_hz / length


def _noise_floor(power: NDArray[np.float64], bin_hz: float) -> NDArray[np.float64]:
    """Return the log power between the peaks: a low quantile in bands of a third of an octave."""
    edges_hz = [0.9 * _LOWEST_PEAK_HZ]
    highest_hz = min(1.2 * _HIGHEST_PEAK_HZ, power.size * bin_hz)
    while edges_hz[-1] < highest_hz:
        edges_hz.append(max(edges_hz[-1] * 2.0 ** (1.0 / 3.0), edges_hz[-1] + 80.0))
    places = np.unique(np.minimum(np.array(edges_hz) / bin_hz, power.size).astype(int))
    quiet = [
        np.log(_low_quantile(power[low:high]) + _NO_POWER)
        for low, high in pairwise(places.tolist())
    ]
    middles = 0.5 * (places[:-1] + places[1:])
    floor: NDArray[np.float64] = np.interp(np.arange(power.size), middles, quiet)
    return floor


def _low_quantile(values: NDArray[np.float64]) -> float:
    """Return what three in ten lie under."""
    rank = int(0.3 * (values.size - 1))
    return float(np.partition(values, rank)[rank])


def _peaks(
    power: NDArray[np.float64], bin_hz: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the peaks' frequencies and heights (nepers over the threshold)."""
    height: NDArray[np.float64] = np.log(power + _NO_POWER)
    low = round(_LOWEST_PEAK_HZ / bin_hz)
    high = min(power.size - 1, round(_HIGHEST_PEAK_HZ / bin_hz))
    highest = float(np.max(height[low:high]))
    over = height - np.maximum(_noise_floor(power, bin_hz) + _ABOVE_FLOOR, highest - _BELOW_HIGHEST)
    is_peak = (height[1:-1] > height[:-2]) & (height[1:-1] >= height[2:]) & (over[1:-1] > 0.0)
    place = np.flatnonzero(is_peak) + 1
    place = place[(place >= low) & (place < high)]
    left, top, right = height[place - 1], height[place], height[place + 1]
    # Parabola through three points of the logarithm: exact for a Gaussian lobe, near for Hann.
    shift = 0.5 * (left - right) / np.minimum(left - 2.0 * top + right, -1e-9)
    peaks_hz = ((place + np.clip(shift, -0.6, 0.6)) * bin_hz).astype(np.float64)
    return peaks_hz, over[place]


def _judged(
    pitch_hz: float,
    peaks_hz: NDArray[np.float64],
    heights: NDArray[np.float64],
    resolution_hz: float,
    tolerance: float,
) -> PitchFit:
    """Return how well a pitch explains the peaks, its frequency refined from its partials."""
    numbers = np.maximum(1, np.round(peaks_hz / pitch_hz)).astype(int)
    off_hz = np.abs(peaks_hz - numbers * pitch_hz)
    fits = off_hz < np.maximum(resolution_hz, numbers * pitch_hz * tolerance)
    low = fits & (numbers <= _PARTIALS)
    if not np.any(low):
        return PitchFit(pitch_hz, 0.0, 0.0)
    # The strongest peak at each partial tells the pitch; the others are something else.
    strongest_first = np.lexsort((-heights[low], numbers[low]))
    present, first = np.unique(numbers[low][strongest_first], return_index=True)
    strongest = strongest_first[first]
    shares = heights[low][strongest] * present
    pitches_hz = peaks_hz[low][strongest] / present
    weights = np.arange(1, present[-1] + 1) ** -0.5
    return PitchFit(
        frequency_hz=float(np.sum(shares * pitches_hz) / np.sum(shares)),
        explained=float(np.sum(heights[fits]) / np.sum(heights)),
        filled=float(np.sum(weights[present - 1]) / np.sum(weights)),
    )


def _oneness(
    pitch_hz: float,
    peaks_hz: NDArray[np.float64],
    heights: NDArray[np.float64],
    resolution_hz: float,
) -> float:
    """Return how far the loud peaks are partials, and none that would be heard is missing."""
    loud = np.maximum(heights - (np.max(heights) - _LOUD), 0.0)
    numbers = np.maximum(1, np.round(peaks_hz / pitch_hz)).astype(int)
    off_hz = np.abs(peaks_hz - numbers * pitch_hz)
    # Wide enough for two reeds of one key.
    fits = off_hz < np.maximum(resolution_hz, numbers * pitch_hz * 2.0 * _TOLERANCE)
    reached = np.zeros(_PARTIALS + 2)
    low = fits & (numbers <= _PARTIALS)
    np.maximum.at(reached, numbers[low], heights[low])
    places = np.arange(1, int(np.max(np.flatnonzero(reached), initial=1)) + 1)
    beside = np.maximum(reached[places - 1], reached[places + 1])
    absent = (reached[places] == 0.0) * np.minimum(beside / _LOUD, 1.0)
    weights = places**-0.5
    present = 1.0 - float(np.sum(weights * absent) / np.sum(weights))
    share = float(np.sum(loud[fits]) / np.sum(loud))
    return share**3 * present**2
