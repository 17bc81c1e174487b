"""What a room does to the amplitudes of a tone whose pitch drifts.

A delayed copy of a drifting tone has the pitch of a moment ago. Relative to the
direct sound, a copy with delay T adds exp(-i w(t) T) to a partial of momentary
angular frequency w(t); a tail of copies adds a function of w(t) and of where it
was a little earlier. With w(t) = w0 (1 + u x(t)), x the drift counted in ``DRIFT_UNIT``
u, the power that goes into the n-th power of x is that of a Poisson series in
``reach(w0)`` = w0 u ``DELAY``.

Limits: copies weaker than the direct sound, delays short against the drift.
"""

import numpy as np
from numpy.typing import NDArray

__all__ = ["DELAY", "DRIFT_UNIT", "lagging", "reach"]

#: Time constant of the delays of a small furnished room, and of the lag with which its
#: sound follows a drift, seconds. From memory; not critical within a factor of two.
DELAY = 0.050
LAG = 0.080
#: Relative drift is counted in thousandths (1.7 cents) so that its powers stay near 1.
DRIFT_UNIT = 1e-3


def reach(angular_frequency: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return by how many radians a drift of ``DRIFT_UNIT`` turns the room's copies."""
    return DELAY * DRIFT_UNIT * angular_frequency


def lagging(drift: NDArray[np.float64], *, hop: float) -> NDArray[np.float64]:
    """Return a drift as the room hears it: its exponential mean over the past, ``hop`` apart."""
    keep = float(np.exp(-hop / LAG))
    held = float(drift[0])
    lagged = np.empty_like(drift)
    for place, value in enumerate(drift.tolist()):
        held = keep * held + (1.0 - keep) * value
        lagged[place] = held
    return lagged
