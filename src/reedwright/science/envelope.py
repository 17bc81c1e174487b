"""How a harmonic tone grows: its amplitude over time, its rise, and the click before it.

The amplitude is that of the partials alone, in frames of few periods: breath, hum
and knocks between the partials hardly count. A frame blurs what it sees: a step
appears to rise, from 10 to 90 %, in ``STEP_RISE`` of a Hann frame's length; that
is taken out of a rise by squares, as for two blurs in a row (exact for Gaussian
ones; W. C. Elmore, J. Appl. Phys. 19 (1948) 55-63, from memory).

Limits: a rise shorter than the blur of a frame is only known to be short.

Conventions: SI; times count from the first sample.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from reedwright.science.demodulation import demodulate_at, frame_length

__all__ = ["STEP_RISE", "Rise", "click_time", "harmonic_amplitude", "rise"]

#: The Hann frame's answer to a step is y = x - sin(2 pi x) / (2 pi); it takes so much of
#: the frame from y = 0.1 to y = 0.9.
STEP_RISE = 0.4822
#: No frame is shorter than this, seconds.
_SHORTEST_FRAME = 0.004
#: Where an attack has settled: times the growth from 10 to 50 %, and so many seconds more.
_SETTLING = (3.0, 5.0)
_SETTLED_FOR = 0.030
#: Frames in a frame's length.
_OVERLAP = 3
#: A click is looked for in the difference of samples half a period of this apart, hertz,
#: which weakens 50 Hz by 30 dB, in slices of this length, seconds.
_CLICK_FREQUENCY = 2500.0
_SLICE = 0.001
#: A click dies within this time, seconds, and stands out by this factor of power.
_CLICK_DIES = 0.005
_CLICK_STANDS = 5.0


@dataclass(frozen=True, slots=True)
class Rise:
    """When a tone passed 10 % of its settled amplitude, and how long it took to 90 %; seconds."""

    begun: float
    duration: float


def harmonic_amplitude(
    samples: NDArray[np.floating],
    sample_rate: float,
    *,
    frequency: float,
    partials: NDArray[np.int_],
    start: float,
    stop: float,
) -> tuple[NDArray[np.float64], NDArray[np.float64], float]:
    """Return times, the root of the summed squares of the partials' peak amplitudes, the frame.

    Parameters
    ----------
    samples : array, shape (n,)
    sample_rate, frequency : float > 0
        Hertz; ``frequency`` within a few per cent of the fundamental.
    partials : array
        Numbers of the partials that count.
    start, stop : float
        Frames lie between these times, seconds, as far as the samples reach.
    """
    length = frame_length(frequency, shortest=_SHORTEST_FRAME)
    width = int(length * sample_rate) + 1
    step = max(1, round(length * sample_rate / _OVERLAP))
    first = max(width, round(start * sample_rate))
    last = min(len(samples) - width, round(stop * sample_rate))
    times = np.arange(first, max(last, first), step) / sample_rate
    if len(times) == 0:
        return times, times.copy(), length
    amplitudes = demodulate_at(
        times,
        samples,
        sample_rate,
        frequency=frequency,
        partials=int(np.max(partials)),
        length=length,
    )
    power = np.sum(np.abs(amplitudes[:, partials - 1]) ** 2, axis=1)
    return times, np.asarray(np.sqrt(power)), length


def rise(
    times: NDArray[np.float64],
    amplitude: NDArray[np.float64],
    *,
    steady: float,
    frame: float,
) -> Rise | None:
    """Return the rise to the settled amplitude, or None if the sound does not show one.

    The settled amplitude is the median soon after the attack, from ``_SETTLING`` times
    the time that 10 to 50 % took after the 50 %, so that a swell of the steady part
    does not count as attack.

    Parameters
    ----------
    times, amplitude : arrays, shape (M,)
        As of ``harmonic_amplitude``, from before the tone to well after it has settled.
    steady : float > 0
        A first idea of the settled amplitude.
    frame : float > 0
        Length of a frame, seconds.
    """
    rough = _passed(times, amplitude / steady, 0.5)
    if rough is None:
        return None
    grew = rough[1] - rough[0]
    after = times - rough[1]
    settling = (after >= _SETTLING[0] * grew) & (after <= _SETTLING[1] * grew + _SETTLED_FOR)
    if not np.any(settling):
        return None
    passed = _passed(times, amplitude / float(np.median(amplitude[settling])), 0.9)
    if passed is None:
        return None
    blur = STEP_RISE * frame
    duration = float(np.sqrt(max((passed[1] - passed[0]) ** 2 - blur**2, 0.0)))
    return Rise(begun=passed[0], duration=duration)


def _passed(
    times: NDArray[np.float64], share: NDArray[np.float64], upper: float
) -> tuple[float, float] | None:
    """Return when a growing share last passed 0.1 and then first ``upper``, or None."""
    full = np.flatnonzero(share >= upper)
    if len(full) == 0:
        return None
    faint = np.flatnonzero(share[: full[0]] < 0.1)
    if len(faint) == 0:
        return None
    begun = _crossing(times, share, int(faint[-1]), 0.1)
    return begun, _crossing(times, share, int(full[0]) - 1, upper)


def _crossing(
    times: NDArray[np.float64], share: NDArray[np.float64], before: int, level: float
) -> float:
    """Return the time between frame ``before`` and the next at which ``level`` is passed."""
    part = (level - share[before]) / (share[before + 1] - share[before])
    return float(times[before] + part * (times[before + 1] - times[before]))


def click_time(
    samples: NDArray[np.floating], sample_rate: float, *, start: float, stop: float, period: float
) -> float | None:
    """Return when a click sounded between two times, or None if none stands out.

    A click is a slice of ``_SLICE`` whose sharpness exceeds, by ``_CLICK_STANDS`` in
    power, the usual between the two times and also the sharpest during a ``period``
    (seconds) of the tone that follows, ``_CLICK_DIES`` later. A growing tone does the
    first only: its next period is no weaker.
    """
    first, last = max(0, round(start * sample_rate)), round(stop * sample_rate)
    width = max(1, round(_SLICE * sample_rate))
    slices = (last - first) // width
    dies, lasts = round(_CLICK_DIES / _SLICE), int(np.ceil(1.1 * period / _SLICE)) + 1
    if slices < 3 * (dies + lasts):
        return None
    piece = np.asarray(samples[first : first + slices * width], dtype=np.float64)
    apart = max(1, round(0.5 * sample_rate / _CLICK_FREQUENCY))
    sharp = np.zeros_like(piece)
    sharp[apart:] = piece[apart:] - piece[:-apart]
    power = np.mean(sharp.reshape(slices, width) ** 2, axis=1) + 1e-20
    looked = slices - dies - lasts
    later = np.lib.stride_tricks.sliding_window_view(power[dies:], lasts).max(axis=1)[:looked]
    stands = power[:looked] / np.maximum(float(np.median(power)), later)
    loudest = int(np.argmax(stands))
    if stands[loudest] < _CLICK_STANDS:
        return None
    return (first + (loudest + 0.5) * width) / sample_rate
