"""Between which two times a tone's mean frequency is known best, and what it is there.

The mean frequency between two times is the difference of the phase over 2 pi T,
so only the phases at two times have to be right; at times a little inside the
note they are known from both sides.

A room answers each partial with its own delay tau_k: when the pitch moves by df,
the phase of partial k, over k, is off by 2 pi df tau_k until the partial has moved
so far (k df times the room's decay) that the room has forgotten. The delays of
the partials scatter about the direct sound's by the square root of the room's
energy g (re the direct sound) times its decay. That scatter is measured and
pooled (``pooling``). What all partials share cannot be seen: for a response
1 + R with R complex Gaussian of power g, the mean delay is the decay times the
chance exp(-1/g) that R outweighs the direct sound (by the argument principle).
Where noise rules the weights of the partials, those that the room makes louder
count more, and these are late by g / (1 + g) of the decay in the mean (the mean
of the delay weighted by the power of 1 + R). Both are counted as doubt.

Limits: one decay stands for all rooms; Gaussian tails (M. R. Schroeder, K. H.
Kuttruff, J. Acoust. Soc. Am. 34 (1962) 76-80, for the statistics of rooms).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from reedwright.science.phase_smoothing import PhaseSmoothing
from reedwright.science.phase_track import PartialPhases
from reedwright.science.pooling import Pooled, pooled_mean

__all__ = ["EndPhases", "Span", "best_span", "first_effects", "mean_phase_step"]

Vector = NDArray[np.float64]

#: Spreads of the room's delay between partials that are weighed, seconds.
DELAY_SPREADS = 10.0 ** np.arange(-2.7, -0.9, 0.2)
#: How likely each is before the data speak: reeds are recorded from nearby.
DELAY_PRIOR = 1.0 / (1.0 + (DELAY_SPREADS / 0.015) ** 2)
#: Decay of a room's power, seconds: reverberation time / 13.8, here of 0.4 s.
ROOM_DECAY = 0.03
#: Places, as shares of the frames from either end, between which the mean is taken.
EDGES = (0.0, 0.04, 0.08, 0.12, 0.16, 0.20, 0.24)
#: Share of the spread of delays that may be the same for all partials: an echo whose
#: delay is a whole number of periods delays them all alike.
_ALIKE = 0.10
#: However alike the pitch at two times, this share of its range is thought to lie between.
_LEAST_CHANGE = 0.15
_LEAST_RANGE = 1e-7
#: Variance of the mean over a Hann frame of two hops about its middle, per unit
#: variance of first (jitter) and second (wander) differences of the phase: computed
#: from random walks and integrated random walks sampled 64 times a hop.
_JITTER_BLUR = 0.087
_WANDER_BLUR = 0.0055


@dataclass(frozen=True, slots=True, eq=False)
class Span:
    """Two frames, and the weights (M,) that give the phase step between them.

    ``gain`` is the variance of the step per unit variance of one frame,
    ``misfit`` the variance of what the smoothing does not follow, ``change`` how
    far the pitch is thought to have moved, hertz.
    """

    first: int
    last: int
    seconds: float
    weights: Vector
    gain: float
    misfit: float
    change: float


@dataclass(frozen=True, slots=True, eq=False)
class EndPhases:
    """Deviations (2, K) of the partials from the smooth phase in short frames at both ends.

    The frames are ``share`` as long as the others, so their noise is 1 / share of it.
    """

    deviations: NDArray[np.float64]
    share: float


def _effect_shape(change: float | NDArray[np.float64], partials: int) -> NDArray[np.float64]:
    """Return the variance of the fundamental's phase step, per squared spread of delays."""
    turns = np.multiply(2.0 * np.pi, change)
    forgotten = (turns * np.arange(1, partials + 1) * ROOM_DECAY) ** 2
    return np.asarray(turns**2 / (1.0 + forgotten), dtype=np.float64)


def first_effects(phase: Vector, heard: PartialPhases, *, hop: float) -> tuple[Vector, float]:
    """Return a first idea of what the room does, from the first against the last quarter.

    The variances (K,) of the partials' own effects, in their own phase, and the
    mean square of their delays' spread, seconds squared.
    """
    count, partials = heard.deviations.shape
    orders = np.arange(1, partials + 1)
    quarter = max(1, count // 4)
    weights = np.zeros(count)
    weights[:quarter], weights[-quarter:] = -1.0 / quarter, 1.0 / quarter
    course = np.gradient(phase) / (2.0 * np.pi * hop)
    change = max(abs(float(weights @ course)), _LEAST_CHANGE * float(np.ptp(course)))
    pooled = pooled_mean(
        weights @ (heard.deviations / orders),
        noise=heard.noise * 2.0 / quarter / orders**2,
        shape=_effect_shape(change, partials),
        scales=DELAY_SPREADS,
        prior=DELAY_PRIOR,
    )
    return np.asarray(pooled.effects * orders**2, dtype=np.float64), pooled.scale2


def best_span(
    times: Vector,
    heard: PartialPhases,
    smoothing: PhaseSmoothing,
    *,
    noise: float,
    spread2: float,
    least_span: float,
) -> Span:
    """Return the two frames between which the mean frequency is known best.

    ``noise`` is the usual variance of the measured phase of one frame;
    ``spread2`` is the mean square of the delays' spread; ``least_span`` seconds.
    """
    count, partials = heard.deviations.shape
    orders = np.arange(1, partials + 1)
    near = np.unique(np.round(np.array(EDGES) * (count - 1)).astype(int))
    first, last = (grid.ravel() for grid in np.meshgrid(near, count - 1 - near))
    seconds = times[last] - times[first]
    fits = seconds >= min(least_span, seconds.max())
    first, last, seconds = first[fits], last[fits], seconds[fits]
    pairs = np.arange(first.size)
    sums = np.zeros((count, first.size))
    sums[first, pairs], sums[last, pairs] = -1.0, 1.0
    found = smoothing.contrasts(sums)

    course = np.gradient(smoothing.phase, times) / (2.0 * np.pi)
    wandered = float(np.ptp(course))
    change = np.hypot(course[last] - course[first], _LEAST_CHANGE * wandered)
    variance = heard.noise * (found.noise / noise)[:, None] / orders**2
    variance += spread2 * _effect_shape(change[:, None], partials)
    alike = spread2 * (2.0 * np.pi * change * _ALIKE) ** 2
    cost = (1.0 / np.sum(1.0 / variance, axis=1) + found.misfit + alike) / seconds**2
    best = int(np.argmin(cost))
    return Span(
        first=int(first[best]),
        last=int(last[best]),
        seconds=float(seconds[best]),
        weights=found.filters[:, best],
        gain=float(found.noise[best]) / noise,
        misfit=float(found.misfit[best]),
        change=float(change[best]),
    )


def mean_phase_step(
    span: Span,
    phase: Vector,
    heard: PartialPhases,
    smoothing: PhaseSmoothing,
    ends: EndPhases,
    *,
    weights: Vector,
    hop: float,
    sounded: float,
) -> tuple[Pooled, float]:
    """Return the phase step over ``span``, radians, and the variance of what else it is off by.

    ``weights`` (K,) are those of the partials in the measured phase. The tone began
    ``sounded`` seconds before the span: what the room still lacks then of its
    answer turns each partial by an angle of its own. Where the phase jitters
    faster than a frame, the short frames at the ends say how far it was from its
    mean over the long ones.
    """
    orders = np.arange(1, heard.noise.size + 1)
    blur = _JITTER_BLUR * smoothing.jitter + _WANDER_BLUR * smoothing.wander
    seen = blur * (1.0 - ends.share)
    end_noise = heard.noise / ends.share
    trust = seen / (seen + float(np.sum(weights**2 * end_noise / orders**2)))
    own = span.weights @ (heard.deviations / orders + phase[:, None])
    own += trust * (ends.deviations[1] - ends.deviations[0]) / orders
    own_noise = (heard.noise * span.gain + 2.0 * trust**2 * end_noise) / orders**2
    remembered = 2.0 * smoothing.jitter / (hop * ROOM_DECAY)
    lacking = 0.5 * np.exp(-sounded / ROOM_DECAY) / (ROOM_DECAY * orders) ** 2
    pooled = pooled_mean(
        own,
        noise=own_noise,
        shape=_effect_shape(span.change, orders.size) + remembered + lacking,
        scales=DELAY_SPREADS,
        prior=DELAY_PRIOR,
    )
    precision = 1.0 / (pooled.effects + own_noise)
    noisy = float(np.sum(precision**2 * own_noise) / np.sum(precision))
    energy = (DELAY_SPREADS / ROOM_DECAY) ** 2
    mean_delay = ROOM_DECAY * (np.exp(-1.0 / energy) + noisy * energy / (1.0 + energy))
    shared = (2.0 * np.pi * span.change) ** 2 * (mean_delay**2 + (_ALIKE * DELAY_SPREADS) ** 2)
    further = span.misfit + 2.0 * (blur - seen * trust) + float(pooled.weights @ shared)
    return pooled, further
