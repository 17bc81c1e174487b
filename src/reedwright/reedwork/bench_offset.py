"""How much a reed's pitch in the closed instrument differs from that on the bench.

The offset is instrument minus bench, learned from paired readings of the same reed.
A pair i is taken as::

    offset_i = level + curve(pitch) + curve of its direction(pitch) + the reed's own + seating

all normal about 0: ``level`` is common to all; the curves are smooth, Gaussian processes
over the pitch in octaves with squared-exponential covariance; the reed's own part comes
again each time; the seating (pan, shoes, bolts) is new each time the instrument is
closed, and the error of the readings adds to it. Where there are few pairs the offset
shrinks towards its neighbours', and far from all pairs towards 0, with the doubt to
match.

Source: Rasmussen and Williams, *Gaussian Processes for Machine Learning* (2006),
algorithm 2.1 and section 5.4.1, from memory; checked against scikit-learn in
tests/validation/test_learning_gaussian_process.py. No published table of offsets of
concertinas was found: the sizes in ``OffsetRules`` are common practice, no source.
"""

import math
from collections.abc import Sequence
from dataclasses import astuple, dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import cho_factor, cho_solve
from scipy.optimize import minimize

from reedwright.errors import InputError
from reedwright.instrument.layout import Direction, Reed
from reedwright.reedwork.scrapes import BenchReading

__all__ = [
    "BenchOffset",
    "OffsetRules",
    "PairedReading",
    "PlacedReed",
    "fitted_rules",
    "learn_offsets",
    "log_evidence",
    "on_the_bench",
]

Values = NDArray[np.float64]

#: How far the sizes may move from the rules when fitted: one sigma of their logarithm.
FIT_SPREAD = 0.7

#: With fewer pairs the rules are kept as they are.
FEWEST_TO_FIT = 8


@dataclass(frozen=True, slots=True)
class OffsetRules:
    """How large the parts of an offset are: one-sigma sizes in cents, length in octaves."""

    level_cents: float = 3.0
    curve_cents: float = 3.0
    curve_octaves: float = 1.0
    direction_cents: float = 1.5
    own_cents: float = 2.0
    seating_cents: float = 1.0


@dataclass(frozen=True, slots=True)
class PlacedReed:
    """A reed and the pitch it is about."""

    reed: Reed
    frequency_hz: float


@dataclass(frozen=True, slots=True)
class PairedReading:
    """One reed in the closed instrument minus the same on the bench, metal untouched between.

    ``doubt_cents`` is the one-sigma doubt of the difference by the readings alone.
    """

    place: PlacedReed
    offset_cents: float
    doubt_cents: float


@dataclass(frozen=True, slots=True)
class BenchOffset:
    """What a reed will read in the closed instrument more than on the bench.

    ``doubt_cents`` is one sigma for the next closing, its seating included;
    ``seating_cents`` the part of it that no more pairs can take away, and
    ``lasting_doubt_cents`` the doubt of the mean over all closings.
    """

    reed: Reed
    frequency_hz: float
    offset_cents: float
    doubt_cents: float
    seating_cents: float
    pairs: int

    @property
    def lasting_doubt_cents(self) -> float:
        """The doubt of what comes again at every closing."""
        return math.sqrt(max(self.doubt_cents**2 - self.seating_cents**2, 0.0))


def learn_offsets(
    pairs: Sequence[PairedReading], wanted: Sequence[PlacedReed], *, rules: OffsetRules
) -> tuple[BenchOffset, ...]:
    """Return the offset of each reed wanted, whether it was paired or not.

    ``pairs`` may hold several of one reed, from several closings; none at all leaves
    offsets of 0 with their whole doubt.

    Raises
    ------
    InputError
        If a doubt is not above zero.
    """
    before = _covariance(wanted, wanted, rules)
    mean, variance = np.zeros(len(wanted)), np.diag(before).copy()
    if pairs:
        places = [pair.place for pair in pairs]
        found = np.array([pair.offset_cents for pair in pairs])
        solved = cho_factor(_of_pairs(pairs, rules), lower=True)
        across = _covariance(wanted, places, rules)
        mean = across @ cho_solve(solved, found)
        variance = variance - np.sum(across * cho_solve(solved, across.T).T, axis=1)
    counts = [sum(pair.place.reed == place.reed for pair in pairs) for place in wanted]
    return tuple(
        BenchOffset(
            reed=place.reed,
            frequency_hz=place.frequency_hz,
            offset_cents=float(middle),
            doubt_cents=math.sqrt(max(float(square), 0.0) + rules.seating_cents**2),
            seating_cents=rules.seating_cents,
            pairs=count,
        )
        for place, middle, square, count in zip(wanted, mean, variance, counts, strict=True)
    )


def fitted_rules(pairs: Sequence[PairedReading], *, rules: OffsetRules) -> OffsetRules:
    """Return the sizes that make the pairs most likely, held towards the rules.

    The logarithm of each size is given a normal prior about its rule, of ``FIT_SPREAD``,
    so that a few pairs move it little. Fewer than ``FEWEST_TO_FIT`` move nothing.
    """
    if len(pairs) < FEWEST_TO_FIT:
        return rules
    start = np.log(astuple(rules))

    def price(logs: Values) -> float:
        return 0.5 * float(np.sum(((logs - start) / FIT_SPREAD) ** 2)) - log_evidence(
            pairs, rules=OffsetRules(*np.exp(logs))
        )

    bounds = [(log - 3.0 * FIT_SPREAD, log + 3.0 * FIT_SPREAD) for log in start]
    best = minimize(price, start, method="L-BFGS-B", bounds=bounds)
    return OffsetRules(*(float(size) for size in np.exp(best.x)))


def log_evidence(pairs: Sequence[PairedReading], *, rules: OffsetRules) -> float:
    """Return the log likelihood of the pairs under the sizes, everything else integrated out."""
    found = np.array([pair.offset_cents for pair in pairs])
    lower, is_lower = cho_factor(_of_pairs(pairs, rules), lower=True)
    fit = float(found @ cho_solve((lower, is_lower), found))
    volume = 2.0 * float(np.sum(np.log(np.diag(lower))))
    return -0.5 * (fit + volume + found.size * math.log(2.0 * math.pi))


def on_the_bench(reading: BenchReading, offset: BenchOffset) -> BenchReading:
    """Return a reading on the bench as what the reed stands at on the mean of all closings.

    A reed is tuned to that mean: the seating of one closing is not its fault. The doubt
    of the mean becomes one that all readings on the bench share.
    """
    return replace(
        reading,
        offset_cents=reading.offset_cents + offset.offset_cents,
        common_doubt_cents=math.hypot(reading.common_doubt_cents, offset.lasting_doubt_cents),
        is_by_offset=True,
    )


def _of_pairs(pairs: Sequence[PairedReading], rules: OffsetRules) -> Values:
    doubts = np.array([pair.doubt_cents for pair in pairs])
    if not np.all(doubts > 0.0):
        raise InputError(
            f"a pair of readings has a doubt above 0 cents, got {doubts.min():g}; give the doubts "
            "that were printed"
        )
    places = [pair.place for pair in pairs]
    noise = doubts**2 + rules.seating_cents**2
    return np.asarray(_covariance(places, places, rules) + np.diag(noise))


def _covariance(
    ones: Sequence[PlacedReed], others: Sequence[PlacedReed], rules: OffsetRules
) -> Values:
    """Return the covariance of what repeats of the offsets of two lists of reeds."""
    octaves = np.subtract.outer(_octaves(ones), _octaves(others))
    curve = np.exp(-0.5 * (octaves / rules.curve_octaves) ** 2)
    is_one_way = np.equal.outer(_directions(ones), _directions(others))
    is_one_reed = np.array([[one.reed == other.reed for other in others] for one in ones])
    return np.asarray(
        rules.level_cents**2
        + curve * (rules.curve_cents**2 + rules.direction_cents**2 * is_one_way)
        + rules.own_cents**2 * is_one_reed
    )


def _octaves(places: Sequence[PlacedReed]) -> Values:
    return np.log2([place.frequency_hz for place in places])


def _directions(places: Sequence[PlacedReed]) -> NDArray[np.bool_]:
    return np.array([place.reed.direction is Direction.PRESS for place in places])
