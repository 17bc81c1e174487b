"""The choice of strokes beside the best plan there is, found by dynamic programming.

Run ``python -m benchmarks.stroke_plan`` (half a minute). One reed, three files whose
strokes move it 0.4, 1.5 and 4 cents, log-normal with 30 % among themselves; the reed is
known to an offset and its files to a doubt; each visit is read to 0.15 cent and teaches
what it teaches. Landing within 1 cent ends it; just outside, by up to 0.04 cent, ends it
too, as a failure; past it on the far side it goes on from there. Both plans pay the same
prices (``VisitRules``). The best plan looks to the end; ours looks one visit ahead.
"""

import argparse
import json
import math
from dataclasses import asdict, dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from reedwright.reedwork.model import Zone
from reedwright.reedwork.scrapes import StrokeRate, VisitRules
from reedwright.reedwork.stroke_choice import Way, choose_strokes

__all__ = ["Outcome", "World", "best_plan", "main", "our_plan", "outcomes"]

Values = NDArray[np.float64]

STROKES_CENTS = (0.4, 1.5, 4.0)
STROKE_SPREAD, READING_DOUBT, TOLERANCE = 0.30, 0.15, 1.0
NUMBERS = np.unique(np.geomspace(1, 150, 50).astype(int))
#: The doubts of the files among which visits move, as log standard deviations.
DOUBTS = np.array([0.0, 0.03, 0.05, 0.08, 0.12, 0.17, 0.23, 0.3, 0.42])
FIRST_DOUBT = 7
SWEEPS = 14
FURTHEST_CENTS = 74.9


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a plan does, on average over where reeds begin."""

    plan: str
    begin: str
    visits: float
    failed_percent: float
    past_percent: float
    strokes: float


@dataclass(frozen=True, slots=True, eq=False)
class World:
    """Where a visit leads: for d doubts, a acts, x distances, the chance of each outcome.

    Outcomes are the distances past the target from the farthest on, the failure past
    it, success, the failure short of it, and the distances short of it. ``after`` is
    the place among the doubts that a visit leads to.
    """

    distances: Values
    widths: Values
    acts: tuple[tuple[float, int], ...]
    chances: Values
    after: Values

    def expected(self, later: Values, ends: tuple[float, float, float], past: float) -> Values:
        """Return (d, a, x) what is to come of acts, from what is to come of (d, x) later.

        ``ends`` are the values of failure past, success and failure short; ``past`` is
        added to every outcome on the far side.
        """
        doubts = len(DOUBTS)
        whole = np.concatenate(
            [
                later[:, ::-1] + past,
                np.broadcast_to([ends[0] + past, ends[1], ends[2]], (doubts, 3)),
                later,
            ],
            axis=1,
        )
        low = np.minimum(np.floor(self.after).astype(int), doubts - 2)
        part = (self.after - low)[..., None]
        then = whole[low] * (1.0 - part) + whole[low + 1] * part
        return np.asarray(np.einsum("daxe,dae->dax", self.chances, then))


def world(rules: VisitRules) -> World:
    """Return the world of the three files."""
    near = TOLERANCE + rules.undecided_cents
    edges = near + np.concatenate([[0.0], np.cumsum(np.geomspace(0.08, 6.0, 60))])
    edges = edges[edges <= FURTHEST_CENTS]
    middles = (edges[:-1] + edges[1:]) / 2.0
    every = np.concatenate([-edges[::-1], [-TOLERANCE, TOLERANCE], edges])
    acts = tuple((c, int(n)) for c in STROKES_CENTS for n in NUMBERS if c * n <= FURTHEST_CENTS)
    nodes = np.array([-1.5, -0.5, 0.5, 1.5])
    weights = np.exp(-(nodes**2) / 2.0)
    weights /= weights.sum()
    variance = math.expm1(STROKE_SPREAD**2)
    chances = np.zeros((len(DOUBTS), len(acts), middles.size, every.size - 1))
    after = np.zeros((len(DOUBTS), len(acts)))
    for d, doubt in enumerate(DOUBTS):
        for a, (cents, number) in enumerate(acts):
            spread = math.log1p(variance / number)
            needed = (middles[:, None] + READING_DOUBT * nodes)[:, None, :] - every[:, None]
            middle = math.log(cents * number) - spread / 2.0
            log_needed = np.log(np.maximum(needed, 1e-12))
            above = ndtr((log_needed - middle) / math.sqrt(doubt**2 + spread))
            chances[d, a] = np.diff((1.0 - above) @ weights, axis=1)
            seen = math.hypot(math.sqrt(spread), math.sqrt(2.0) * READING_DOUBT / (cents * number))
            then = doubt * seen / math.hypot(doubt, seen)
            after[d, a] = np.interp(then, DOUBTS, np.arange(len(DOUBTS)))
    chances[..., 0] += 1.0 - chances.sum(axis=-1)  # what flies farther past counts as farthest
    return World(middles, np.diff(edges), acts, chances, after)


def best_plan(here: World, rules: VisitRules) -> NDArray[np.intp]:
    """Return the act (d, x) of least price to the end, by value iteration."""
    strokes = np.array([number for _, number in here.acts])[None, :, None]
    value = np.ones((len(DOUBTS), here.distances.size))
    failed = rules.undecided_cost
    for _ in range(SWEEPS):
        prices = 1.0 + rules.stroke_cost * strokes
        prices = prices + here.expected(value, (failed, 0.0, failed), rules.overshoot_cost)
        value = prices.min(axis=1)
    return np.asarray(prices.argmin(axis=1))


def our_plan(here: World, rules: VisitRules) -> NDArray[np.intp]:
    """Return the act (d, x) that the program chooses."""
    place = {act: number for number, act in enumerate(here.acts)}
    acts = np.zeros((len(DOUBTS), here.distances.size), dtype=np.intp)
    for d, doubt in enumerate(DOUBTS):
        rates = [
            (_rate(cents, float(doubt)), int(FURTHEST_CENTS / cents)) for cents in STROKES_CENTS
        ]
        for x, distance in enumerate(here.distances):
            chosen = choose_strokes(Way(float(distance), READING_DOUBT, TOLERANCE), rates, rules)
            assert chosen is not None
            cents = chosen.rate.cents_per_stroke
            number = min(
                (n for c, n in here.acts if c == cents), key=lambda n: abs(n - chosen.strokes)
            )
            acts[d, x] = place[cents, number]
    return acts


def _rate(cents: float, doubt: float) -> StrokeRate:
    return StrokeRate(f"{cents}", Zone.ROOT, cents, doubt, STROKE_SPREAD)


def outcomes(here: World, plan: NDArray[np.intp], name: str) -> tuple[Outcome, ...]:
    """Return what a plan does to reeds up to 20 cents off, and about 48."""
    zero = np.zeros((len(DOUBTS), here.distances.size))
    visits, failed, past, strokes = zero, zero, zero, zero
    counts = np.array([number for _, number in here.acts], dtype=float)[None, :, None]

    def picked(values: Values) -> Values:
        return np.asarray(np.take_along_axis(values, plan[:, None, :], axis=1)[:, 0])

    for _ in range(SWEEPS):
        visits = picked(1.0 + here.expected(visits, (0.0, 0.0, 0.0), 0.0))
        failed = picked(here.expected(failed, (1.0, 0.0, 1.0), 0.0))
        past = picked(here.expected(past, (0.0, 0.0, 0.0), 1.0))
        strokes = picked(counts + here.expected(strokes, (0.0, 0.0, 0.0), 0.0))
    begins = {
        "1 to 20 cents": here.widths * (here.distances < 20.0),
        "48 ± 8 cents": here.widths * np.exp(-0.5 * ((here.distances - 48.0) / 8.0) ** 2),
    }
    return tuple(
        Outcome(
            name,
            begin,
            *(float(w @ each[FIRST_DOUBT] / w.sum()) for each in
              (visits, 100.0 * failed, 100.0 * past, strokes)),
        )
        for begin, w in begins.items()
    )  # fmt: skip


def main() -> None:
    """Print both plans side by side."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", action="store_true", help="the numbers as JSON")
    is_json = parser.parse_args().json
    rules = VisitRules()
    here = world(rules)
    found = [
        *outcomes(here, best_plan(here, rules), "best there is"),
        *outcomes(here, our_plan(here, rules), "one visit ahead"),
    ]
    if is_json:
        print(json.dumps([asdict(each) for each in found]))
        return
    print(f"{'plan':<16} {'begin':<14} {'visits':>7} {'failed %':>9} {'past %':>7} {'strokes':>8}")
    for each in found:
        print(
            f"{each.plan:<16} {each.begin:<14} {each.visits:7.2f} {each.failed_percent:9.2f} "
            f"{each.past_percent:7.2f} {each.strokes:8.0f}"
        )


if __name__ == "__main__":
    main()
