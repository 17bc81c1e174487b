"""Clipping: samples that lie at the rails because the sound went beyond them.

A rail is the greatest or least value of a stretch. A top that was cut off has
several samples in a row at the rail, and enters it steeply: carried on along a
parabola it would have gone well beyond. The top of a slow clean tone can have
several equal samples too, where its curve is flatter than one step of the
converter; carried on, it goes beyond the rail by less than a step.

With d the last difference before the rail and n samples at the rail, a parabola
overshoots by d n / 4. On a clean top, n samples within one step q of the converter
allow d of at most 4 q (n + 2) / n^2, hence an overshoot under 2 q, and rounding
adds n q / 4 at most.

Limits: a sound that was clipped and then filtered, resampled or coded with loss no
longer has its rails and is not found.
"""

import numpy as np
from numpy.typing import NDArray

__all__ = ["clipped_fraction"]

#: Fewest samples in a row at the rail.
_LEAST_RUN = 3
#: A rail is believed from this many cut-off tops.
_LEAST_TOPS = 3
#: Step of a converter finer than any in use (24 bit), re full scale.
_FINEST_STEP = 2.0**-23
#: Samples looked at for the step.
_LOOKED_AT = 8192


def clipped_fraction(samples: NDArray[np.floating]) -> float:
    """Return the share of samples at the rails, 0 where nothing was cut off.

    Parameters
    ----------
    samples : array, shape (n,), full scale = 1
        A stretch of the recording as it came, neither filtered nor resampled.
    """
    if len(samples) < _LEAST_RUN + 2:
        return 0.0
    return (_at_rail(samples) + _at_rail(-samples)) / len(samples)


def _at_rail(samples: NDArray[np.floating]) -> int:
    """Return how many samples lie at the upper rail in cut-off tops."""
    rail = samples.max()
    at_rail = np.flatnonzero(samples == rail)
    if rail <= 0.0 or len(at_rail) < _LEAST_RUN * _LEAST_TOPS:
        return 0
    breaks = np.flatnonzero(np.diff(at_rail) > 1)
    starts = at_rail[np.concatenate([[0], breaks + 1])]
    runs = at_rail[np.concatenate([breaks, [len(at_rail) - 1]])] - starts + 1
    long = (starts > 1) & (runs >= _LEAST_RUN)
    starts, runs = starts[long], runs[long]
    entering = samples[starts - 1] - samples[starts - 2]
    cut = entering * runs / 4.0 > (4.0 + 0.5 * runs) * _converter_step(samples)
    return int(np.sum(runs[cut])) if np.sum(cut) >= _LEAST_TOPS else 0


def _converter_step(samples: NDArray[np.floating]) -> float:
    """Return the least difference between values in use."""
    differences = np.diff(np.unique(samples[:_LOOKED_AT]))
    return max(float(np.min(differences, initial=np.inf)), _FINEST_STEP)
