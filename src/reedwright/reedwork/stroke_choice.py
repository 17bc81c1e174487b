"""How many strokes of which tool now: the choice of least expected loss.

What is left after n strokes is the way to go (normal) less their shift (log-normal).
Each outcome has a price in visits to the bench (``VisitRules``): nothing in the
middle of the tolerance, a visit and more when short of it, several when past it,
and several just outside it, where no reading tells within from without and nothing
may be filed. The choice with the least expected price is taken. It stops short by
itself while little is known of the strokes, because being past costs more than
being short.

Source: expected loss over a predictive distribution, one step ahead (Berger,
*Statistical Decision Theory*, 1985, ch. 4, from memory). Limits: the price of being
short stands for the visits that follow and is a rule of thumb, held against their
best plan (dynamic programming) in docs/theory/learning.md.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.polynomial.hermite_e import hermegauss
from numpy.typing import NDArray
from scipy.special import ndtr

from reedwright.reedwork.scrapes import StrokeRate, VisitRules

__all__ = ["Strokes", "Way", "choose_strokes", "normal_chance"]

#: Places of the way to go over which its doubt is integrated.
WAY_NODES, WAY_WEIGHTS = hermegauss(9)
WAY_WEIGHTS = WAY_WEIGHTS / WAY_WEIGHTS.sum()

#: How many numbers of strokes are compared, evenly spaced in the logarithm.
NUMBERS_COMPARED = 50

#: Outcomes are told apart by cells: so many within tolerance, so many beyond to each side.
CELLS_WITHIN, CELLS_BEYOND = 10, 16


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
    """A choice: strokes of a tool, what is left to go then, and the chances.

    ``price`` is what it is expected to cost, ``idle_price`` what leaving the reed would.
    """

    rate: StrokeRate
    strokes: int
    left_cents: float
    left_doubt_cents: float
    chance_within: float
    chance_past: float
    price: float
    idle_price: float


def choose_strokes(
    way: Way,
    rates: Sequence[tuple[StrokeRate, int]],
    rules: VisitRules,
) -> Strokes | None:
    """Return the strokes of least expected loss, None if no tool may make one.

    ``rates`` are the tools with the most strokes each may make (the thickness left).
    """
    edges = _edges(way, rules)
    prices = _prices(edges, way.tolerance_cents, rules)
    best: tuple[float, StrokeRate, int] | None = None
    for rate, most in rates:
        if most < 1:
            continue
        numbers = np.unique(
            np.geomspace(1, min(most, rules.most_strokes), NUMBERS_COMPARED).astype(int)
        )
        below = _chance_left_below(edges[1:-1], way, rate, numbers)
        chances = np.diff(below, axis=1, prepend=0.0, append=1.0)
        losses = chances @ prices + rules.stroke_cost * numbers
        at = int(np.argmin(losses))
        if best is None or losses[at] < best[0]:
            best = (float(losses[at]), rate, int(numbers[at]))
    if best is None:
        return None
    idle = ndtr((edges[1:-1] - way.to_go_cents) / way.doubt_cents)
    idle_price = float(np.diff(idle, prepend=0.0, append=1.0) @ prices)
    return _described(way, best[1], best[2], price=best[0], idle_price=idle_price)


def _edges(way: Way, rules: VisitRules) -> NDArray[np.float64]:
    """Return the edges of the cells of what may be left, from past to short, cents."""
    tolerance = way.tolerance_cents
    decided = tolerance + rules.undecided_cents
    furthest = 2.0 * max(way.to_go_cents + 4.0 * way.doubt_cents, 2.0 * decided)
    beyond = np.geomspace(decided, furthest, CELLS_BEYOND)
    within = np.linspace(-tolerance, tolerance, CELLS_WITHIN + 1)
    return np.concatenate([-beyond[::-1], within, beyond])


def _prices(
    edges: NDArray[np.float64], tolerance_cents: float, rules: VisitRules
) -> NDArray[np.float64]:
    """Return the price of an outcome in each cell, at its middle."""
    middles = (edges[:-1] + edges[1:]) / 2.0
    off = np.abs(middles) / tolerance_cents
    further = np.maximum(off / rules.finish_from, 1.0)
    more_visits = 1.0 + np.log(further) / math.log(rules.nearer_per_visit)
    is_within = off < 1.0
    is_undecided = ~is_within & (np.abs(middles) < tolerance_cents + rules.undecided_cents)
    prices = np.where(is_undecided, rules.undecided_cost, more_visits)
    prices = prices + np.where(middles < 0.0, rules.overshoot_cost, 0.0)
    return np.where(is_within, rules.off_centre_cost * off**2, prices)


def _chance_left_below(
    left_cents: NDArray[np.float64], way: Way, rate: StrokeRate, numbers: NDArray[np.int_]
) -> NDArray[np.float64]:
    """Return the chance that less than each of k is left after each of n numbers, (n, k)."""
    logs = [rate.log_shift(int(number)) for number in numbers]
    middles, spreads = (np.array(column)[:, None, None] for column in zip(*logs, strict=True))
    ways = way.to_go_cents + way.doubt_cents * WAY_NODES
    needed = ways - left_cents[:, None]  # the shift at which just this much is left
    with np.errstate(divide="ignore", invalid="ignore"):
        high = ndtr((np.log(np.maximum(needed, 0.0)) - middles) / spreads)
    return np.asarray((1.0 - high) @ WAY_WEIGHTS)


def _described(
    way: Way, rate: StrokeRate, strokes: int, *, price: float, idle_price: float
) -> Strokes:
    shift = rate.shift(strokes)
    limits = np.array([-way.tolerance_cents, way.tolerance_cents])
    past, not_short = _chance_left_below(limits, way, rate, np.array([strokes]))[0]
    return Strokes(
        rate=rate,
        strokes=strokes,
        left_cents=way.to_go_cents - shift.expected_cents,
        left_doubt_cents=math.hypot(way.doubt_cents, shift.doubt_cents),
        chance_within=float(not_short - past),
        chance_past=float(past),
        price=price,
        idle_price=idle_price,
    )
