"""What lies between the partials of a tone: breath, hum, and samples held at the rails.

Conventions: SI; powers are mean squares re full scale.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import fft

__all__ = ["Gaps", "band_noise", "clipped_fraction", "mains_hum", "spectrum_gaps"]

#: Half the width left out round each partial: bins of the Hann window's main lobe and its
#: first side lobes, and this share of the partial's frequency for the drift of the pitch
#: (17 cents).
_LOBE_BINS, _DRIFT_SHARE = 6.0, 0.01
#: The median of a power with two degrees of freedom is ln 2 of its mean.
_MEDIAN_SHARE = float(np.log(2.0))
#: A band needs so many bins between partials to say anything.
_FEWEST_BINS = 8
#: Multiples of the mains frequency that are looked at, and how far they must stand out.
_HUM_MULTIPLES = (1, 2, 3, 4, 5, 6)
_HUM_ABOVE, _ABOVE_SKIRT = 20.0, 4.0
#: Samples held within this of the rail, relative, or one and a half steps of 16 bits.
_RAIL_SHARE, _RAIL_STEP = 2e-4, 1.5 / 32768.0
#: A held run is a flat top if the samples beside it lie this many times further in.
_STEEP = 8.0


@dataclass(frozen=True, slots=True, eq=False)
class Gaps:
    """A power spectrum and which of its bins lie between the partials.

    ``power`` is mean-square power per bin, one-sided; ``frequencies`` in hertz.
    """

    frequencies: NDArray[np.float64]
    power: NDArray[np.float64]
    is_gap: NDArray[np.bool_]
    resolution: float


def spectrum_gaps(samples: NDArray[np.floating], sample_rate: float, *, frequency: float) -> Gaps:
    """Return the spectrum of a steady tone, its partials marked.

    ``samples`` (n,) at least a few periods; ``frequency`` the fundamental, hertz. A
    Hann window is used, its noise power restored.
    """
    count = len(samples)
    window = np.hanning(count)
    size = fft.next_fast_len(count, real=True)
    raw = np.abs(fft.rfft(window * samples, size)) ** 2
    power = 2.0 * raw / (size * float(np.sum(window**2)))
    frequencies = np.arange(len(power)) * sample_rate / size
    resolution = sample_rate / count
    number = np.maximum(1.0, np.rint(frequencies / frequency))
    away = np.abs(frequencies - number * frequency)
    half = np.minimum(_LOBE_BINS * resolution + _DRIFT_SHARE * number * frequency, 0.45 * frequency)
    return Gaps(frequencies, power, (away > half) & (frequencies > 20.0), resolution)


def band_noise(gaps: Gaps, *, low: float, high: float) -> float | None:
    """Return the power of the noise from ``low`` to ``high`` hertz, gaps filled in.

    The median of the bins between partials stands for all: it is not moved by a
    line of hum or a leftover of a partial. None where too few bins are left.
    """
    inside = (gaps.frequencies >= low) & (gaps.frequencies < high)
    left = gaps.power[inside & gaps.is_gap]
    if len(left) < _FEWEST_BINS:
        return None
    return float(np.median(left)) / _MEDIAN_SHARE * int(inside.sum())


def mains_hum(gaps: Gaps, *, mains: Sequence[float] = (50.0, 60.0)) -> float | None:
    """Return the mains frequency whose hum stands between the partials, None if none does.

    At least two of its first six multiples must stand 13 dB out of the bins near
    them. Multiples that fall on a partial say nothing: near G1 (49.0 Hz) and B1 (61.7
    Hz) all may, and then no hum is found.
    """
    found = []
    for line in mains:
        heights = [
            height
            for multiple in _HUM_MULTIPLES
            if (height := _line_height(gaps, line * multiple)) is not None
        ]
        standing = [height for height in heights if height > _HUM_ABOVE]
        if len(standing) >= 2:
            found.append((len(standing), float(np.sum(np.log(standing))), line))
    return max(found)[2] if found else None


def clipped_fraction(samples: NDArray[np.floating]) -> float:
    """Return the share of samples held at the rails, wherever the rails lie.

    A run of two or more samples at the largest or the smallest value counts if the
    samples beside it lie much further in than a smooth peak of that width could: a
    clean loud sine is not clipped.
    """
    if len(samples) < 4:
        return 0.0
    return (_held(samples) + _held(-samples)) / len(samples)


def _line_height(gaps: Gaps, frequency: float) -> float | None:
    """Return how far a line at a frequency stands out of the gaps near it, None if unseen.

    A line is higher than what lies a few bins to either side; a partial's skirt is not.
    """
    near = np.abs(gaps.frequencies - frequency)
    at = (near < 2.0 * gaps.resolution) & gaps.is_gap
    beside = (near > 4.0 * gaps.resolution) & (near < 25.0 * gaps.resolution) & gaps.is_gap
    if not at.any() or int(beside.sum()) < _FEWEST_BINS:
        return None
    below = (near > 3.0 * gaps.resolution) & (near < 6.0 * gaps.resolution)
    sides = [
        below & gaps.is_gap & side
        for side in (gaps.frequencies < frequency, gaps.frequencies > frequency)
    ]
    if not all(side.any() for side in sides):
        return None
    skirt = max(float(gaps.power[side].max()) for side in sides)
    quiet = float(np.median(gaps.power[beside])) / _MEDIAN_SHARE
    height = float(gaps.power[at].max())
    return height / max(quiet, 1e-30) if height > _ABOVE_SKIRT * skirt else 0.0


def _held(samples: NDArray[np.floating]) -> int:
    """Return how many samples are held at the upper rail."""
    rail = float(samples.max())
    if rail <= 0.0:
        return 0
    slack = max(_RAIL_SHARE * rail, _RAIL_STEP)
    depth = rail - np.asarray(samples, dtype=np.float64)
    edges = np.flatnonzero(np.diff(np.concatenate([[0], depth <= slack, [0]]).astype(np.int8)))
    firsts, lasts = edges[::2], edges[1::2] - 1
    inner = (firsts > 0) & (lasts < len(samples) - 1)
    firsts, lasts = firsts[inner], lasts[inner]
    beside = 0.5 * (depth[firsts - 1] + depth[lasts + 1])
    runs = lasts - firsts + 1
    return int(runs[(runs >= 2) & (beside > _STEEP * slack)].sum())
