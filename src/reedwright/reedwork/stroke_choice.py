"""How many strokes of which tool now: the choice of least expected loss.

What is left after n strokes is the way to go (normal) less their shift (log-normal).
Each outcome has a price in visits to the bench (``VisitRules``): nothing in the
middle of the tolerance, a visit and more when short of it, several when past it.
The choice with the least expected price is taken. It stops short by itself while
little is known of the strokes, because being past costs more than being short.

Source: expected loss over a predictive distribution, one step ahead (Berger,
*Statistical Decision Theory*, 1985, ch. 4, from memory). Limits: the price of being
short is a rule of thumb for the visits that follow, not their own best plan.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.polynomial.hermite_e import hermegauss
from numpy.typing import NDArray

from reedwright.reedwork.scrapes import StrokeRate, VisitRules

__all__ = ["Strokes", "Way", "choose_strokes", "normal_chance"]

#: Quantiles by which the log of a shift is sampled, and places of the way to go.
SHIFT_PLACES, WAY_PLACES = 31, 7

#: How many numbers of strokes are compared, evenly spaced in the logarithm.
NUMBERS_COMPARED = 40


def normal_chance(below: float) -> float:
    """Return the chance that a standard normal variable is below a number."""
    return 0.5 * math.erfc(-below / math.sqrt(2.0))


@dataclass(frozen=True, slots=True)
class Way:
    """How far the pitch must still move, > 0 in the direction the zone moves it."""

    to_go_cents: float
    doubt_cents: float
    tolerance_cents: float


@dataclass(frozen=True, slots=True)
class Strokes:
    """A choice: strokes of a tool, what is left to go then, and the chances."""

    rate: StrokeRate
    strokes: int
    left_cents: float
    left_doubt_cents: float
    chance_within: float
    chance_past: float


def choose_strokes(
    way: Way,
    rates: Sequence[tuple[StrokeRate, int]],
    rules: VisitRules,
) -> Strokes | None:
    """Return the strokes of least expected loss, None if no tool may make one.

    ``rates`` are the tools with the most strokes each may make (the thickness left).
    """
    best: tuple[float, StrokeRate, int] | None = None
    for rate, most in rates:
        if most < 1:
            continue
        numbers = np.unique(
            np.geomspace(1, min(most, rules.most_strokes), NUMBERS_COMPARED).astype(int)
        )
        losses = _losses(way, rate, numbers, rules)
        at = int(np.argmin(losses))
        if best is None or losses[at] < best[0]:
            best = (float(losses[at]), rate, int(numbers[at]))
    return None if best is None else _described(way, best[1], best[2])


def _left(
    way: Way, rate: StrokeRate, numbers: NDArray[np.int_]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return what is left after each number of strokes (n, places) and the weights (places)."""
    logs = [rate.log_shift(int(number)) for number in numbers]
    middles, spreads = (np.array(column)[:, None] for column in zip(*logs, strict=True))
    nodes, weights = hermegauss(SHIFT_PLACES)
    way_nodes, way_weights = hermegauss(WAY_PLACES)
    shifts = np.exp(middles + spreads * nodes)
    ways = way.to_go_cents + way.doubt_cents * way_nodes
    left = ways[None, None, :] - shifts[:, :, None]
    both = np.outer(weights, way_weights).ravel()
    return left.reshape(numbers.size, -1), both / both.sum()


def _losses(
    way: Way, rate: StrokeRate, numbers: NDArray[np.int_], rules: VisitRules
) -> NDArray[np.float64]:
    left, weights = _left(way, rate, numbers)
    tolerance = way.tolerance_cents
    off = np.maximum(np.abs(left) / tolerance, 1.0)
    more_visits = 1.0 + np.log(off) / math.log(rules.nearer_per_visit)
    loss = np.where(
        np.abs(left) <= tolerance,
        rules.off_centre_cost * (left / tolerance) ** 2,
        more_visits + np.where(left < 0.0, rules.overshoot_cost, 0.0),
    )
    return np.asarray(loss @ weights + rules.stroke_cost * numbers)


def _described(way: Way, rate: StrokeRate, strokes: int) -> Strokes:
    left, weights = _left(way, rate, np.array([strokes]))
    mean = float(left[0] @ weights)
    return Strokes(
        rate=rate,
        strokes=strokes,
        left_cents=mean,
        left_doubt_cents=math.sqrt(float(weights @ (left[0] - mean) ** 2)),
        chance_within=float(weights @ (np.abs(left[0]) <= way.tolerance_cents)),
        chance_past=float(weights @ (left[0] < -way.tolerance_cents)),
    )
