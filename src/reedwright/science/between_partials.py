"""What sounds between the partials of a reed: breath, by octaves, and the mains.

Noise is read in the middle half between neighbouring partials, where a partial's
own unsteadiness has died away, from the median of a long spectrum: that of
exponentially distributed power is ln 2 times its mean and heeds no lines. Octave
bands are those of IEC 61260 (mid-bands 125 Hz to 16 kHz, edges half an octave
off, base 2; from memory).

Mains hum is a comb of lines at multiples of 50 or 60 Hz. Lines that a partial of
the reed may have made are not counted, nor multiples of 300 Hz, which both
mains share, where it is to be told which mains it is.

Limits: a reed whose partials cover all multiples of the mains (a fundamental of
the mains' frequency over a whole number, and for a rectifier's hum of twice it)
hides the hum.

Conventions: SI; frequencies in hertz; power spectra one-sided, mean square.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.fft import prev_fast_len, rfft

__all__ = [
    "MAINS",
    "MIDBANDS",
    "Band",
    "Spectrum",
    "mains_hum",
    "noise_bands",
    "partial_powers",
    "power_spectrum",
]

MIDBANDS = tuple(125.0 * 2.0**octave for octave in range(8))
#: Mains frequencies, and multiples looked at.
MAINS = (50.0, 60.0)
_MULTIPLES = 20
#: Mains keep within this of their name, relative.
_MAINS_ERROR = 0.002
#: Power of a line over the noise around it that is no accident (false alarm e^-14 a bin),
#: and how many lines, or one of which power, make a hum.
_LINE = 14.0
_LINES = 2
_STRONG_LINE = 100.0
#: A line stands by so much above what is right beside it.
_ABOVE_SKIRT = 3.0
#: A rectifier hums at twice the mains.
_RECTIFIED = 2
#: Noise around a line is read within this, hertz, of it.
_AROUND = 15.0
#: A band is told where at least this many bins, and this share of it, lie between partials.
_LEAST_BINS = 8
_LEAST_SHARE = 0.15
#: Bins of a band that are enough for its median.
_ENOUGH = 1000
#: Half the width of a Hann line, and of its skirts to 50 dB down, in bins.
_LINE_BINS, _SKIRT_BINS = 2.0, 5.0


@dataclass(frozen=True, slots=True)
class Band:
    """Noise power (mean square) between two frequencies."""

    low: float
    high: float
    power: float


@dataclass(frozen=True, slots=True, eq=False)
class Spectrum:
    """Power in each bin under a Hann window, as density (mean square per hertz)."""

    density: NDArray[np.float64]
    spacing: float


def power_spectrum(samples: NDArray[np.floating], sample_rate: float) -> Spectrum:
    """Return the spectrum of (nearly) all samples."""
    length = prev_fast_len(len(samples), real=True)
    raw = rfft(np.asarray(samples[:length], dtype=np.float32))
    density = np.zeros(len(raw))
    hann = raw[1:-1] - 0.5 * (raw[:-2] + raw[2:])
    # Mean square of the window re[1 - cos]: 1.5 of the length; one-sided: twice.
    density[1:-1] = (hann.real**2 + hann.imag**2) * 2.0 / (1.5 * length * sample_rate)
    return Spectrum(density=density, spacing=sample_rate / length)


def partial_powers(spectrum: Spectrum, fundamental: float, *, most: int) -> NDArray[np.float64]:
    """Return the mean-square power of the first partials, at most so many, shape (K,).

    All that lies in the middle half around a partial is counted as its own.
    """
    half = 0.25 * fundamental / spectrum.spacing
    partials = min(most, int((len(spectrum.density) - 1) * spectrum.spacing / fundamental - 0.25))
    middles = np.arange(1, partials + 1) * fundamental / spectrum.spacing
    cumulated = np.concatenate([[0.0], np.cumsum(spectrum.density)]) * spectrum.spacing
    low, high = np.rint(middles - half).astype(np.intp), np.rint(middles + half).astype(np.intp)
    powers: NDArray[np.float64] = cumulated[high + 1] - cumulated[low]
    return powers


def noise_bands(spectrum: Spectrum, fundamentals: tuple[float, ...]) -> tuple[Band, ...]:
    """Return the noise in octave bands, as far as it can be read between the partials.

    ``fundamentals`` are those of all reeds that sound, hertz.
    """
    highest = (len(spectrum.density) - 1) * spectrum.spacing
    bands = []
    for middle in MIDBANDS:
        low, high = middle / np.sqrt(2.0), middle * np.sqrt(2.0)
        if high > highest:
            break
        first, last = int(low / spectrum.spacing) + 1, int(high / spectrum.spacing) + 1
        bins = np.arange(first, last, max(1, (last - first) // _ENOUGH))
        free = np.ones(len(bins), dtype=bool)
        for fundamental in fundamentals:
            order = bins * (spectrum.spacing / fundamental)
            free &= np.abs(order - np.maximum(1.0, np.rint(order))) >= 0.25
        if np.sum(free) < max(_LEAST_BINS, _LEAST_SHARE * len(bins)):
            continue
        heard = float(np.median(spectrum.density[bins[free]])) / np.log(2.0)
        bands.append(Band(low=float(low), high=float(high), power=heard * float(high - low)))
    return tuple(bands)


def mains_hum(spectrum: Spectrum, fundamentals: tuple[float, ...]) -> float | None:
    """Return 50 or 60 where hum of these mains stands out, else None.

    ``fundamentals`` are those of all reeds that sound, hertz; none for a pause.
    """
    multiples = np.arange(1, _MULTIPLES + 1)
    best: tuple[float, float | None] = (0.0, None)
    for mains in MAINS:
        distinct = multiples[(mains * multiples) % 300.0 != 0.0]
        excesses = _excesses(spectrum, mains * distinct, fundamentals)
        clear = excesses > _LINE
        if np.sum(clear) < _LINES and np.max(excesses, initial=0.0) < _STRONG_LINE:
            continue
        # Multiples of a multiple, from the third on, are some note, not the mains.
        if math.gcd(*distinct[clear].tolist()) <= _RECTIFIED:
            best = max(best, (float(np.sum(np.log(excesses[clear]))), mains))
    return best[1]


def _excesses(
    spectrum: Spectrum, lines: NDArray[np.float64], fundamentals: tuple[float, ...]
) -> NDArray[np.float64]:
    """Return the power of each line over the noise around it; 0 where a partial may stand."""
    spacing = spectrum.spacing
    reach = _MAINS_ERROR * lines / spacing + 0.5
    widest = int(np.max(reach) + _LINE_BINS) + 1
    around = max(int(_AROUND / spacing), widest + _LEAST_BINS)
    places = np.rint(lines / spacing).astype(np.intp)
    hidden = (places <= around) | (places + around >= len(spectrum.density))
    for fundamental in fundamentals:
        nearest = fundamental * np.maximum(1.0, np.rint(lines / fundamental))
        hidden |= np.abs(nearest - lines) < _SKIRT_BINS * spacing + 0.003 * lines
    steps = np.arange(-around, around + 1)
    places[hidden] = around
    near = spectrum.density[places[:, None] + steps]
    usual = np.median(near[:, np.abs(steps) > widest], axis=1) / np.log(2.0)
    line = np.max(np.where(np.abs(steps) <= reach[:, None], near, 0.0), axis=1)
    # What rises towards one side is the skirt of a note that was not named.
    past = np.abs(steps) - reach[:, None] - _LINE_BINS
    beside = np.max(np.where((past > 0.0) & (past <= 3.0), near, 0.0), axis=1)
    hidden |= line < _ABOVE_SKIRT * beside
    excess: NDArray[np.float64] = np.where(hidden, 0.0, line / np.maximum(usual, 1e-30))
    return excess
