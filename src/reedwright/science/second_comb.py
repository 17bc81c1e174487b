"""A second comb of partials well apart from the first, sought in one long spectrum.

Two reeds more than a few cents apart show two lines at every partial. For each
distance (cents) the power found at that distance from the partials is compared,
partial by partial, with the noise between the partials and with the power at the
same distance on the *other* side: what a player's unsteadiness spreads around a
line it spreads to both sides. The logarithms are summed over the partials.

Limits: distances up to ``WIDEST`` cents, so that the lines of the first
``_PARTIALS`` partials cannot be taken for one another's neighbours; nearer than
``_GUARD`` hertz to a partial nothing is looked for (``beating`` does that).

Conventions: SI; distances in cents because both reeds' lines lie evenly in them.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.fft import prev_fast_len, rfft

from reedwright.science.beating import MEAN_LOG_GAIN

__all__ = ["WIDEST", "CombSearch", "search_second_comb"]

#: The two reeds are at most so far apart, cents.
WIDEST = 60.0
_STEP = 0.5
_PARTIALS = 12
#: Half the width, in cents, over which power is gathered: reeds drift.
_SMEAR = 1.0
#: Nearer than this, cents, a drifting reed's own skirts are taken for another.
_NEAREST = 6.0
#: Distance from the first reed's partials from which on power counts, hertz, and
#: what the Hann window's own skirts need besides, in units of 1 / duration.
_GUARD, _SKIRT = 12.0, 6.0
#: A line this far below the strongest of its partial (-20 dB) counts as half a strong
#: one. Where the partials hold a strong second line (on average -10 dB: log(1 + 10)),
#: such lines place the second comb. For strong reeds in one box also make lines
#: *between* theirs, at k f1 + j (f2 - f1); in the higher partials these can be stronger
#: than the reeds' own, but lie at another distance, in cents, in each.
_STRONG = 0.01
#: Each comb is then placed within this many cents.
_SEARCHED = 4.0
_SHARED = 2.4
#: Noise is never taken to be lower than this part of a partial's power.
_FLOOR, _SILENCE = 1e-7, 1e-30
#: Bins of a gap that are enough for its median.
_ENOUGH = 200
_CENT = np.log(2.0) / 1200.0


@dataclass(frozen=True, slots=True)
class CombSearch:
    """The two combs that explain the spectrum best: their fundamentals, hertz.

    ``first`` is the one more partials agree on. ``score`` is the summed gain of
    the second in standard units; the frequencies are good to about a cent.
    """

    score: float
    first: float
    second: float


@dataclass(frozen=True, slots=True, eq=False)
class _Powers:
    """Cumulated power spectrum."""

    cumulated: NDArray[np.float64]
    spacing: float

    def mean(
        self, frequency: NDArray[np.float64], half_width: NDArray[np.float64]
    ) -> NDArray[np.float64]:
        """Return the mean power within ``half_width`` of each frequency, hertz."""
        last = len(self.cumulated) - 1
        low = np.rint((frequency - half_width) / self.spacing).astype(np.intp)
        high = np.rint((frequency + half_width) / self.spacing).astype(np.intp) + 1
        low, high = np.clip(low, 0, last - 1), np.clip(high, 1, last)
        mean: NDArray[np.float64] = (self.cumulated[high] - self.cumulated[low]) / (high - low)
        return mean


def search_second_comb(
    samples: NDArray[np.floating], sample_rate: float, *, frequency: float
) -> CombSearch:
    """Return the best pair of combs within ``WIDEST`` cents of ``frequency`` and each other.

    Parameters
    ----------
    samples : array, shape (n,)
        The steady part of a note.
    sample_rate, frequency : float > 0
        Hertz; ``frequency`` a first idea of either reed's fundamental.
    """
    powers, spectrum = _power_spectrum(samples, sample_rate)
    duration = len(samples) / sample_rate
    orders = np.arange(1, max(1, min(_PARTIALS, int(0.46 * sample_rate / frequency))) + 1)
    reach = 2.0 * WIDEST
    cents = np.arange(-reach, reach + _STEP, _STEP)
    lines = np.outer(orders, frequency * np.exp(cents * _CENT))
    widths = np.maximum(lines * (_SMEAR * _CENT), powers.spacing)
    found = powers.mean(lines, widths)
    noise = _noise_between(spectrum, frequency / powers.spacing, len(orders))
    noise = np.maximum(noise, _FLOOR * np.max(found, axis=1) + _SILENCE)[:, None]

    middle = np.abs(cents) <= WIDEST
    strongest = np.max(found[:, middle], axis=1, keepdims=True)
    strong = np.log1p(found / (noise + _STRONG * strongest)) / orders[:, None]
    strong /= np.sum(1.0 / orders)
    agreed = np.convolve(np.sum(strong, axis=0), np.full(5, 0.2), mode="same")
    place = int(np.argmax(np.where(middle, agreed, -np.inf)))
    first = frequency * float(np.exp(cents[place] * _CENT))

    beside = np.abs(cents - cents[place]) <= WIDEST
    distances = lines[:, beside] - orders[:, None] * first
    mirrored = powers.mean(lines[:, beside] - 2.0 * distances, widths[:, beside])
    counted = np.abs(distances) > _GUARD + _SKIRT / duration
    counted &= np.abs(cents[beside] - cents[place]) >= _NEAREST
    gains = np.log1p(found[:, beside] / np.maximum(noise, mirrored)) - MEAN_LOG_GAIN
    scores = np.sum(np.where(counted, gains, 0.0), axis=0)
    scores /= np.sqrt(1.0 + np.sum(counted, axis=0))
    best = int(np.argmax(scores))
    shared = np.sum(np.where(counted, strong[:, beside], 0.0), axis=0)
    if np.max(shared) > _SHARED:
        best = int(np.argmax(np.where(shared > _SHARED, agreed[beside], -np.inf)))
    second = frequency * float(np.exp(cents[beside][best] * _CENT))
    within = min(_SEARCHED, 0.3 * abs(float(np.log(second / first))) / _CENT)
    return CombSearch(
        score=float(scores[best]),
        first=_refined(powers, first, orders, within=within),
        second=_refined(powers, second, orders, within=within),
    )


def _refined(
    powers: _Powers, frequency: float, orders: NDArray[np.int_], *, within: float
) -> float:
    """Return the comb ``within`` so many cents that holds the sharpest lines.

    Low partials count most.
    """
    near = frequency * np.exp(np.arange(-within, within + 0.05, 0.1) * _CENT)
    found = powers.mean(np.outer(orders, near), np.zeros((len(orders), 1)))
    strongest = np.max(found, axis=1, keepdims=True) + _SILENCE
    sharp = np.log1p(found / (_STRONG * strongest)) / orders[:, None]
    return float(near[int(np.argmax(np.convolve(np.sum(sharp, axis=0), np.ones(5), mode="same")))])


def _power_spectrum(
    samples: NDArray[np.floating], sample_rate: float
) -> tuple[_Powers, NDArray[np.float32]]:
    """Return the power spectrum under a Hann window (applied to the spectrum), also cumulated."""
    length = prev_fast_len(len(samples), real=True)
    raw = rfft(np.asarray(samples[:length], dtype=np.float32))
    spectrum = raw[1:-1] - 0.5 * (raw[:-2] + raw[2:])
    power = np.zeros(len(raw), dtype=np.float32)
    power[1:-1] = spectrum.real**2 + spectrum.imag**2
    cumulated = np.concatenate([[0.0], np.cumsum(power, dtype=np.float64)])
    return _Powers(cumulated=cumulated, spacing=sample_rate / length), power


def _noise_between(power: NDArray[np.float32], bins: float, partials: int) -> NDArray[np.float64]:
    """Return the mean noise power beside each partial: the greater of its two sides.

    ``bins`` is the fundamental in bins. The median of exponentially distributed
    power is ln 2 times its mean, and heeds no lines.
    """
    within = np.linspace(0.25, 0.75, min(_ENOUGH, int(0.5 * bins) + 1))
    places = ((np.arange(partials + 1)[:, None] + within) * bins).astype(np.intp)
    gaps = np.median(power[np.minimum(places, len(power) - 1)], axis=1)
    sides = gaps / np.log(2.0)
    noise: NDArray[np.float64] = np.maximum(sides[:-1], sides[1:])
    return noise
