"""A first look at the reeds that up to half of them cannot mislead.

The narrowest strip along the chain of fifths that holds half of the reeds: the least
median of squares of [Rousseeuw1984]_, searched over the size of the fifth. It says which
reeds to start from; what they say is then found by ``outlier_mixture``.
"""

import numpy as np
from numpy.typing import NDArray

__all__ = ["sound_reeds"]

Values = NDArray[np.float64]

#: Fifths that are tried, cents from 700: beyond both ends of what a scale can be.
_FIFTHS = np.arange(-10.0, 6.01, 0.25)
#: The half of a normal distribution lies within 0.6745 standard deviations.
_HALF = 0.6745
_SOUND_WITHIN = 3.0
_LEAST_SCATTER_CENTS = 0.3


def sound_reeds(values: Values, places: Values) -> NDArray[np.bool_]:
    """Return which reeds lie near the line that half of them agree on best.

    Parameters
    ----------
    values : (n,) float, n at least 3
        Cents.
    places : (n,) float
        Places on the chain of fifths.
    """
    half = len(values) // 2 + 1
    levels = np.sort(values - _FIFTHS[:, None] * places, axis=1)
    widths = levels[:, half - 1 :] - levels[:, : len(values) - half + 1]
    fifth, first = np.unravel_index(int(widths.argmin()), widths.shape)
    width = float(widths[fifth, first])
    middle = float(levels[fifth, first]) + 0.5 * width
    scatter = max(0.5 * width / _HALF, _LEAST_SCATTER_CENTS)
    away = np.abs(values - _FIFTHS[fifth] * places - middle)
    return np.asarray(away < _SOUND_WITHIN * scatter)
