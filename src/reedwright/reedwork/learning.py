"""How far a stroke moves a reed, learned from scrapes.

The mean shift of a stroke of tool t on reed r is, in logarithms, a sum of factors::

    ln rate = ln(depth per stroke x cents per um) + tool + tool in metal
              + tool in octave + zone + reed + reed at zone

all normal about 0 before anything was learned (``LearningRules``), so that a scrape
teaches its reed most, its tool much, and the tools in general a little. The prior
mean comes from the beam model (``ZoneResponse``).

A scrape of n strokes is heard with an error. Given the log rate u, the shift is
normal with mean ``n e^u`` and variance ``n e^(2u) v + errors`` (v: a stroke's
variance over its squared mean). The one-dimensional posterior of u is taken by
quadrature, its mean and variance are carried back to the factors as for jointly
normal variables. Source: assumed-density filtering, Maybeck, *Stochastic Models,
Estimation and Control*, vol. 2 (1982) ch. 12, from memory; derivation and limits
in docs/theory/learning.md; checked against brute-force quadrature in
tests/validation/test_learning_quadrature.py.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from reedwright.errors import InputError
from reedwright.reedwork.model import Zone
from reedwright.reedwork.scrapes import BenchReed, FilingTool, LearningRules, StrokeRate

__all__ = [
    "Factors",
    "Heard",
    "factor_names",
    "hear_scrape",
    "no_scrapes_yet",
    "of_tools",
    "stroke_rate",
]

#: Places of the quadrature, and how many standard deviations it reaches.
PLACES, REACH = 401, 6.0

#: Middle C in the equal temperament of A4 = 440 Hz, 440 x 2^(-9/12), where octaves begin.
MIDDLE_C_HZ = 261.6255653

#: How the names of the factors of single reeds begin.
_OF_A_REED = "reed "


@dataclass(frozen=True, slots=True, eq=False)
class Factors:
    """What is believed of the factors met so far: jointly normal, in logarithms.

    ``means`` (n,) and ``covariance`` (n, n) are in the order of ``names``; a factor
    that was not met yet has mean 0 and the spread the rules give its kind.
    """

    names: tuple[str, ...]
    means: NDArray[np.float64]
    covariance: NDArray[np.float64]


def of_tools(factors: Factors) -> Factors:
    """Return what holds for other instruments too: the belief without its reeds' own factors."""
    kept = [at for at, name in enumerate(factors.names) if not name.startswith(_OF_A_REED)]
    return Factors(
        tuple(factors.names[at] for at in kept),
        factors.means[kept],
        factors.covariance[np.ix_(kept, kept)],
    )


def no_scrapes_yet() -> Factors:
    """Return the belief before anything was learned."""
    return Factors((), np.zeros(0), np.zeros((0, 0)))


def factor_names(
    reed: BenchReed, zone: Zone, tool: str, rules: LearningRules
) -> tuple[tuple[str, float], ...]:
    """Return the factors of a stroke with their log standard deviations before learning."""
    octave = math.floor(math.log2(reed.frequency_hz / MIDDLE_C_HZ)) + 4  # as in C4
    return (
        (tool, rules.tool),
        (f"{tool} in {reed.metal}", rules.tool_in_metal),
        (f"{tool} in {reed.metal} in octave {octave}", rules.tool_in_octave),
        (f"at the {zone}", rules.zone),
        (f"{_OF_A_REED}{reed.name}", rules.reed),
        (f"{_OF_A_REED}{reed.name} at the {zone}", rules.reed_at_zone),
    )


def _prior_rate(reed: BenchReed, zone: Zone, tool: FilingTool) -> float:
    """Return what the beam model gives for a stroke, cents."""
    return tool.depth_um_in(reed.metal) * reed.response(zone).cents_per_um


def _known(factors: Factors, wanted: Iterable[tuple[str, float]]) -> Factors:
    """Return the belief with factors not met yet added."""
    new = [(name, spread) for name, spread in wanted if name not in factors.names]
    if not new:
        return factors
    old = len(factors.names)
    covariance = np.zeros((old + len(new), old + len(new)))
    covariance[:old, :old] = factors.covariance
    covariance[range(old, old + len(new)), range(old, old + len(new))] = [s**2 for _, s in new]
    return Factors(
        (*factors.names, *(name for name, _ in new)),
        np.concatenate([factors.means, np.zeros(len(new))]),
        covariance,
    )


def stroke_rate(
    factors: Factors, reed: BenchReed, zone: Zone, tool: FilingTool, rules: LearningRules
) -> StrokeRate:
    """Return what is believed of a stroke of a tool on one end of a reed."""
    place = {name: at for at, name in enumerate(factors.names)}
    wanted = factor_names(reed, zone, tool.tool, rules)
    met = [place[name] for name, _ in wanted if name in place]
    unmet = sum(spread**2 for name, spread in wanted if name not in place)
    mean = float(factors.means[met].sum())
    variance = float(factors.covariance[np.ix_(met, met)].sum()) + unmet
    return StrokeRate(
        tool=tool.tool,
        zone=zone,
        cents_per_stroke=_prior_rate(reed, zone, tool) * math.exp(mean),
        doubt_fraction=math.sqrt(variance),
        stroke_fraction=rules.stroke,
    )


@dataclass(frozen=True, slots=True, eq=False)
class Heard:
    """What a scrape taught: the factors, and where the reed stands after it."""

    factors: Factors
    offset_cents: float
    doubt_cents: float


def hear_scrape(
    factors: Factors,
    reed: BenchReed,
    zone: Zone,
    tool: FilingTool,
    *,
    strokes: int,
    before_cents: float,
    before_doubt_cents: float,
    after_cents: float,
    after_doubt_cents: float,
    rules: LearningRules,
) -> Heard:
    """Return what is believed after so many strokes and a reading.

    Parameters
    ----------
    before_cents, before_doubt_cents : float
        What was believed of the reed re its target before.
    after_cents, after_doubt_cents : float
        What was read afterwards, the doubt > 0.

    Raises
    ------
    InputError
        If there were no strokes, or a doubt is not above zero.
    """
    if strokes < 1:
        raise InputError(f"a scrape has at least 1 stroke, got {strokes}; log only what was filed")
    if not (after_doubt_cents > 0.0 and before_doubt_cents >= 0.0):
        raise InputError(
            f"a reading has a doubt above 0 cents, got {after_doubt_cents:g} after and "
            f"{before_doubt_cents:g} before; give the doubt that was printed"
        )
    grown = _known(factors, factor_names(reed, zone, tool.tool, rules))
    rate = stroke_rate(grown, reed, zone, tool, rules)
    middle, spread = math.log(rate.cents_per_stroke), rate.doubt_fraction
    logs = middle + spread * np.linspace(-REACH, REACH, PLACES)
    sign = 1.0 if zone is Zone.TIP else -1.0
    each = np.exp(logs)
    expected = before_cents + sign * strokes * each
    variance = before_doubt_cents**2 + strokes * rules.stroke_variance * each**2
    total = variance + after_doubt_cents**2
    log_weights = -0.5 * (((logs - middle) / spread) ** 2 + np.log(total))
    log_weights -= 0.5 * (after_cents - expected) ** 2 / total
    weights = np.exp(log_weights - log_weights.max())
    weights /= weights.sum()
    mean = float(weights @ logs)
    new_variance = float(weights @ (logs - mean) ** 2)
    # Where the reed stands: for each rate the prediction weighed against the reading.
    pull = variance / total
    stands = expected + pull * (after_cents - expected)
    offset = float(weights @ stands)
    doubt = math.sqrt(float(weights @ (pull * after_doubt_cents**2 + (stands - offset) ** 2)))
    own = [name for name, _ in factor_names(reed, zone, tool.tool, rules)]
    taught = _taught(grown, own, moved=mean - middle, new_variance=new_variance)
    return Heard(taught, offset, doubt)


def _taught(factors: Factors, names: list[str], *, moved: float, new_variance: float) -> Factors:
    """Return the factors when the sum of those named moved and got a new variance."""
    own = [factors.names.index(name) for name in names]
    along = factors.covariance[:, own].sum(axis=1)
    old_variance = float(along[own].sum())
    gain = along / old_variance
    return Factors(
        factors.names,
        factors.means + gain * moved,
        factors.covariance + np.outer(gain, gain) * (new_variance - old_variance),
    )
