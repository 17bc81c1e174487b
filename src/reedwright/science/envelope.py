"""How a tone begins: its rise, and a click before it.

Conventions: SI; times count from the first sample.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from reedwright.science.demodulation import demodulate

__all__ = ["Rise", "click_time", "tone_rise"]

#: A step seen through a Hann window of length L takes 0.482 L from 10 to 90 %: the
#: window's integral x - sin(2 pi x) / (2 pi) is 0.1 at 0.259 and 0.9 at 0.741.
HANN_RISE = 0.482
#: The settled level is the median over this long, seconds, from where the rise ends.
_SETTLED = 0.3
#: Partials the envelope is taken from: enough for power, few enough to be quick.
_PARTIALS = 6

#: A click is looked for in steps of this, seconds, by what is above this frequency, hertz.
_CLICK_STEP, _CLICK_FROM = 0.001, 2000.0
#: It stands out of the quiet before by this factor in power, and is gone again, by this
#: factor, within this time, seconds.
_CLICK_ABOVE, _CLICK_DECAY, _CLICK_GONE = 30.0, 4.0, 0.015


@dataclass(frozen=True, slots=True)
class Rise:
    """When a tone passes 10 and 90 % of its settled amplitude, and how long that takes, seconds."""

    begins: float
    ends: float
    duration: float


def tone_rise(
    samples: NDArray[np.floating], sample_rate: float, *, frequency: float
) -> Rise | None:
    """Return when a tone rises through 10 and 90 % of its settled amplitude.

    Parameters
    ----------
    samples : array (n,)
        From before the tone to well into it.
    frequency : float > 0
        The fundamental, hertz, within about 20 cents.

    Returns
    -------
    Rise or None
        None where the tone is there from the beginning, or the samples are too
        few. The rise time has the window's own rise taken off in quadrature; nothing is
        resolved below two thirds of the window, which is two periods or 8 ms,
        whichever is longer.
    """
    length = max(2.0, np.ceil(0.008 * frequency)) / frequency
    if len(samples) < 8 * length * sample_rate:
        return None
    reach = int(0.45 * sample_rate / frequency)
    if reach < 1:
        return None
    frames = demodulate(
        samples,
        sample_rate,
        frequency=frequency,
        partials=min(_PARTIALS, reach),
        length=length,
    )
    envelope = np.sqrt(np.sum(np.abs(frames.amplitudes) ** 2, axis=1))
    settled = float(np.median(envelope[envelope > 0.5 * envelope.max()]))
    reached = int(np.argmax(envelope >= 0.9 * settled))
    after = envelope[reached : reached + max(3, round(_SETTLED / frames.hop))]
    settled = float(np.median(after))
    upper = int(np.argmax(envelope >= 0.9 * settled))
    below = np.flatnonzero(envelope[: upper + 1] < 0.1 * settled)
    if len(below) == 0 or upper == 0:
        return None
    from_time = _crossing(frames.times, envelope, int(below[-1]), 0.1 * settled)
    to_time = _crossing(frames.times, envelope, upper - 1, 0.9 * settled)
    seen = max(0.0, to_time - from_time)
    duration = float(np.sqrt(max(0.0, seen**2 - (HANN_RISE * length) ** 2)))
    return Rise(from_time, to_time, duration)


def click_time(samples: NDArray[np.floating], sample_rate: float) -> float | None:
    """Return when a click is heard in what comes before a tone, None if there is none.

    A click is a burst above 2 kHz that stands 15 dB out of the median of the rest
    and has fallen by 6 dB within 15 ms: a knock is shorter than a tone, and a tone's
    own beginning does not fall again.
    """
    step = max(1, round(_CLICK_STEP * sample_rate))
    count = len(samples) // step
    if count < 3 * round(_CLICK_GONE / _CLICK_STEP) or sample_rate < 2.5 * _CLICK_FROM:
        return None
    # A second difference is a high-pass filter: its gain is 4 sin^2(pi f / fs).
    spread = max(1, round(sample_rate / (4.0 * _CLICK_FROM)))
    sharp = samples[2 * spread :] - 2.0 * samples[spread:-spread] + samples[: -2 * spread]
    power = np.square(np.asarray(sharp, dtype=np.float64))
    power = power[: len(power) // step * step].reshape(-1, step).mean(axis=1)
    quiet = float(np.median(power))
    peak = int(np.argmax(power))
    gone = round(_CLICK_GONE / _CLICK_STEP)
    after = power[peak + gone : peak + 2 * gone]
    if quiet <= 0.0 or power[peak] < _CLICK_ABOVE * quiet or len(after) < gone:
        return None
    if float(np.median(after)) * _CLICK_DECAY > power[peak]:
        return None
    return (peak * step + spread) / sample_rate


def _crossing(
    times: NDArray[np.float64], envelope: NDArray[np.float64], before: int, height: float
) -> float:
    """Return when the envelope passes ``height`` between frame ``before`` and the next."""
    low, high = float(envelope[before]), float(envelope[before + 1])
    share = (height - low) / (high - low) if high > low else 0.0
    return float(times[before] + np.clip(share, 0.0, 1.0) * (times[before + 1] - times[before]))
