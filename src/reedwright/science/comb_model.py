"""A sound in frames, and the shapes that several reeds and their room may take in it.

Partial k of a sound of several reeds i, taken in frames relative to a middle frequency, is

    y_k(t) = sum over i of a_ik exp(i k p_i(t)) + what a room and a swell add + noise,

    p_i(t) = 2 pi d_i (t - t0) + sum over j of c_ij Q_j(t),

with Q_j Legendre polynomials that are equal at both ends of a span, so that d_i is the
unweighted mean of reed i's frequency over it, re the middle one. ``two_reeds`` fits d
and c; the a_ik and what a room and a swell add are linear (``columns``).

Drift polynomials have a prior: reeds on one bellows drift by a few cents, and much the
same way. A *room* repeats the sound later, which for a drifting reed is one of another
pitch: its first powers (``room``) are linear unknowns with a prior of their own.

Conventions: SI; times count from the first sample; partials are numbered from 1.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.polynomial import legendre
from numpy.typing import NDArray

from reedwright.science.beating import spectral_noise
from reedwright.science.demodulation import demodulate, frame_length
from reedwright.science.room import DRIFT_UNIT, lagging, reach

__all__ = ["DRIFT_ORDER", "CombModel", "columns", "framed", "passed_share", "prior_curvature"]

#: Most partials used, and the highest degree of a drift polynomial.
MOST_PARTIALS = 24
DRIFT_ORDER = 8
#: Frames last this long, or as much less as the distance of the reeds demands; seconds.
_LONGEST_FRAME = 0.030
#: Half the distance between the lines of the highest partial, in units of 1 / frame:
#: the Hann window still passes 0.5 of its amplitude at 1.
_PASSED = 0.7
#: One-sigma drift of a reed over a note, and of one reed against the other, cents.
_DRIFT, _RELATIVE_DRIFT = 2.0, 1.0
#: One-sigma distance from the middle, cents: wide, to keep a silent reed from running off.
_WANDER = 100.0
#: One-sigma swell of one partial against the others, linear and quadratic.
_SWELL = (0.16, 0.10)
#: Amplitude of the room's copies re the direct sound.
_ROOM = 0.1
#: What leaks from the strongest partial into others counts as noise (-70 dB).
_LEAKED, _SILENCE = 1e-7, 1e-30
_CENT = np.log(2.0) / 1200.0


@dataclass(frozen=True, slots=True, eq=False)
class CombModel:
    """Frames of a sound and the shapes its reeds' phases may take.

    ``observed`` (K, M) are complex amplitudes re ``middle`` (hertz) in frames ``frame``
    long and ``hop`` apart at ``times`` (M,), seconds; ``noise`` and ``variance`` (K,)
    those of one amplitude: of the noise, and of all that the model will not explain.
    ``scaled`` (M,) is the time, -1 and 1 at the ends of a span of twice ``half_span``
    seconds; ``bends`` and ``bend_rates`` (M, J) the drift polynomials and their slopes.
    """

    observed: NDArray[np.complex128]
    noise: NDArray[np.float64]
    variance: NDArray[np.float64]
    orders: NDArray[np.int_]
    times: NDArray[np.float64]
    frame: float
    hop: float
    middle: float
    scaled: NDArray[np.float64]
    bends: NDArray[np.float64]
    bend_rates: NDArray[np.float64]
    half_span: float
    room: bool

    def first(self, partials: int) -> "CombModel":
        """Return the model of the first partials alone."""
        return replace(
            self,
            observed=self.observed[:partials],
            noise=self.noise[:partials],
            variance=self.variance[:partials],
            orders=self.orders[:partials],
        )


def framed(
    samples: NDArray[np.floating],
    sample_rate: float,
    frequencies: NDArray[np.float64],
    *,
    start: float,
    stop: float,
    room: bool,
    unexplained: float,
) -> CombModel:
    """Return the sound in frames short enough to let the lines of all reeds pass."""
    middle = 0.5 * float(np.min(frequencies) + np.max(frequencies))
    half_distance = 0.5 * float(np.ptp(frequencies))
    partials = max(1, min(MOST_PARTIALS, int(0.46 * sample_rate / middle)))
    if half_distance > 0.0:
        shortest = 4.0 / middle
        partials = max(1, min(partials, int(_PASSED / (shortest * half_distance))))
        shortest = min(_LONGEST_FRAME, _PASSED / (partials * half_distance))
    else:
        shortest = _LONGEST_FRAME
    frames = demodulate(
        samples,
        sample_rate,
        frequency=middle,
        partials=partials,
        length=frame_length(middle, shortest=shortest),
    )
    observed = frames.amplitudes.T
    loudest = float(np.max(np.mean(np.abs(observed) ** 2, axis=1)))
    noise = spectral_noise(observed) + _LEAKED * loudest + _SILENCE
    half_span = 0.5 * (stop - start)
    scaled = (frames.times - 0.5 * (start + stop)) / half_span
    return CombModel(
        observed=observed,
        noise=noise,
        variance=noise + unexplained**2 * np.mean(np.abs(observed) ** 2, axis=1),
        orders=np.arange(1, partials + 1),
        times=frames.times,
        frame=frames.length,
        hop=frames.hop,
        middle=middle,
        scaled=scaled,
        bends=_level_legendres(scaled),
        bend_rates=_level_legendres(scaled, rate=True) / half_span,
        half_span=half_span,
        room=room,
    )


def _level_legendres(scaled: NDArray[np.float64], *, rate: bool = False) -> NDArray[np.float64]:
    """Return P2, P3 - P1, P4, P5 - P1, ... (or their slopes), shape (M, DRIFT_ORDER - 1).

    All are equal at -1 and 1.
    """
    polynomials = []
    for degree in range(2, DRIFT_ORDER + 1):
        series = np.zeros(degree + 1)
        series[degree] = 1.0
        series[1] = -(degree % 2)
        polynomials.append(legendre.legval(scaled, legendre.legder(series) if rate else series))
    return np.stack(polynomials, axis=1)


def prior_curvature(model: CombModel, reeds: int) -> NDArray[np.float64]:
    """Return the prior curvature of the parameters, shape (n (1 + J), n (1 + J))."""
    bends = model.bends.shape[1]
    per_cent = 2.0 * model.middle * _CENT * model.half_span / np.arange(2, bends + 2)
    prior = np.zeros((reeds, 1 + bends, reeds, 1 + bends))
    for reed in range(reeds):
        prior[reed, 0, reed, 0] = 1.0 / (_WANDER * _CENT * model.middle) ** 2
    for place, size in enumerate(per_cent, start=1):
        own = 1.0 / (_DRIFT * size) ** 2
        relative = 1.0 / (_RELATIVE_DRIFT * size) ** 2
        prior[0, place, 0, place] = own + relative * (reeds - 1)
        for other in range(1, reeds):
            prior[other, place, other, place] = relative
            prior[0, place, other, place] = prior[other, place, 0, place] = -relative
    return prior.reshape(reeds * (1 + bends), reeds * (1 + bends))


def columns(
    model: CombModel,
    parameters: NDArray[np.float64],
    strengths: NDArray[np.float64],
    lines: NDArray[np.complex128],
) -> tuple[NDArray[np.complex128], NDArray[np.float64]]:
    """Return the linear unknowns' shapes (K, M, n, C) and prior powers (K, n, C).

    The first of the C is the reed itself, the others are its swell and its room.
    """
    powers = strengths.T**2 + 1e-6 * model.variance[:, None]
    free = 1e4 * np.sum(powers, axis=1, keepdims=True) * np.ones_like(powers)
    if not model.room:
        return lines[..., None], free[..., None]
    turned_by = reach(np.asarray(2.0 * np.pi * model.middle * model.orders, dtype=np.float64))
    first = (_ROOM * turned_by) ** 2
    second = first * turned_by**2 / 2.0
    sizes = [np.full_like(first, swell**2) for swell in _SWELL] + [first, first, second, second]
    square = 1.5 * model.scaled**2 - 0.5
    shaped, priors = [], []
    for reed, bends in enumerate(parameters[:, 1:]):
        drift = model.bend_rates @ bends / (2.0 * np.pi * model.middle * DRIFT_UNIT)
        lag = lagging(drift, hop=model.hop) - drift
        shapes = [np.ones_like(drift), model.scaled, square, drift, lag, drift**2, drift * lag]
        shaped.append(lines[:, :, reed, None] * np.stack(shapes, axis=1))
        priors.append(
            np.stack([free[:, reed], *(size * powers[:, reed] for size in sizes)], axis=1)
        )
    return np.stack(shaped, axis=2), np.stack(priors, axis=1)


def passed_share(away: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return what a Hann frame passes of a line ``away`` from its middle, in 1 / frame."""
    far = np.where(np.abs(np.abs(away) - 1.0) < 1e-6, 1.0 + 1e-6, away)
    return np.asarray(np.sinc(far) / (1.0 - far**2))
