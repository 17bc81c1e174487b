"""Which of the tunings held possible the reeds speak for, and how surely.

Probabilities are prior times evidence [KassRaftery1995]_, so that a tuning with more
freedom has to earn it.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from reedwright.tuning.families import Candidate, Family
from reedwright.tuning.outlier_mixture import MixtureFit, fit_mixture

__all__ = ["ALL_BUT_CERTAIN_FROM", "SURE_FROM", "Choice", "Weighed", "choose"]

Values = NDArray[np.float64]

#: A tuning is named from odds of three to one ("positive evidence" starts there in
#: [KassRaftery1995]_): saying nothing is then the better choice for those who hold a
#: wrong name three times as bad as the right one is good.
SURE_FROM = 0.75
#: The convention of 95 %.
ALL_BUT_CERTAIN_FROM = 0.95


@dataclass(frozen=True, slots=True, eq=False)
class Weighed:
    """A candidate, its fit to the reeds, and its probability after hearing them."""

    candidate: Candidate
    fit: MixtureFit
    probability: float


@dataclass(frozen=True, slots=True, eq=False)
class Choice:
    """All candidates, the likeliest first, and what can be named of them.

    ``family`` is UNCLEAR where none of the three reaches odds of three to one;
    ``probability`` holds that of each. ``named`` is the tuning of the named family that
    is as sure within it, None where there is none or it has no name.
    """

    weighed: tuple[Weighed, ...]
    probability: dict[Family, float]
    family: Family
    named: Weighed | None

    def of_family(self, family: Family) -> tuple[Weighed, ...]:
        """Return the candidates of one family, the likeliest first."""
        return tuple(entry for entry in self.weighed if entry.candidate.family is family)

    def pitch_of_a(self, line: MixtureFit) -> tuple[float, float]:
        """Return where A stands, cents from 440 Hz, and its variance.

        The line along the chain of fifths tells it. The A of a circulating temperament
        is off that line: where these are all but certain they tell it, in the measure of
        their probabilities; where it is open whether there is one, the line's A stays and
        its variance takes in how far those still in question are from it.
        """
        shift, variance = float(line.coefficients[0]), float(line.covariance[0, 0])
        if self.family in {Family.EQUAL, Family.REGULAR}:
            return shift, variance
        round_ones = self.of_family(Family.CIRCULATING)
        weights = np.array([entry.probability for entry in round_ones])
        shifts = np.array([entry.fit.coefficients[0] for entry in round_ones])
        variances = np.array([entry.fit.covariance[0, 0] for entry in round_ones])
        if weights.sum() >= ALL_BUT_CERTAIN_FROM:
            weights = weights / weights.sum()
            shift = float(weights @ shifts)
            variance = float(weights @ variances)
        return shift, variance + float(weights @ (shifts - shift) ** 2)


def choose(
    values: Values,
    errors: Values,
    candidates: Sequence[Candidate],
    *,
    sound: NDArray[np.bool_],
    information: float,
) -> Choice:
    """Weigh the candidates by what the reeds say.

    ``values``, ``errors``, ``sound`` and ``information`` as in ``fit_mixture``.
    """
    fits = _fits(values, errors, candidates, sound=sound, information=information)
    heights = np.array(
        [
            math.log(candidate.prior) + fit.log_evidence
            for candidate, fit in zip(candidates, fits, strict=True)
        ]
    )
    weights = np.exp(heights - heights.max())
    weights = weights / weights.sum()
    weighed = sorted(
        map(Weighed, candidates, fits, weights.tolist()), key=lambda entry: -entry.probability
    )
    probability = {
        family: math.fsum(w.probability for w in weighed if w.candidate.family is family)
        for family in Family
    }
    family = max(probability, key=lambda each: probability[each])
    if probability[family] < SURE_FROM:
        family = Family.UNCLEAR
    best = next(entry for entry in weighed if entry.candidate.family is family)
    is_sure = best.probability >= SURE_FROM * probability[family]
    is_named = family is not Family.UNCLEAR and best.candidate.temperament is not None
    return Choice(tuple(weighed), probability, family, best if is_sure and is_named else None)


def _fits(
    values: Values,
    errors: Values,
    candidates: Sequence[Candidate],
    *,
    sound: NDArray[np.bool_],
    information: float,
) -> list[MixtureFit]:
    """Return the fit of each candidate, those of one width fitted together."""
    by_width: dict[int, list[int]] = {}
    for place, candidate in enumerate(candidates):
        by_width.setdefault(candidate.design.columns.shape[1], []).append(place)
    fits: dict[int, MixtureFit] = {}
    for places in by_width.values():
        designs = [candidates[place].design for place in places]
        found = fit_mixture(values, errors, designs, sound=sound, information=information)
        fits.update(zip(places, found, strict=True))
    return [fits[place] for place in range(len(candidates))]
