"""Regression in which some values have nothing to do with the rest.

A value either lies near a linear predictor, with normal scatter, or it is astray. How
large the scatter is and how many are astray is found together with the coefficients,
so that no cutting point is chosen beforehand: the mixture of [AitkinWilson1980]_. The
density of the values astray is the moment density of [JohnsonRossell2010]_,

    g(r) = r^2 / (T^3 sqrt(2 pi)) exp(-r^2 / 2 T^2),

which vanishes at r = 0: a value near the line is never taken for astray. Beyond 4 T it
is held, so that a value hundreds of cents away (another octave, another note) is astray
like any other and does not stretch the scatter.

The mode is climbed to by the gradient form of expectation and maximisation
[Lange1995]_, standard errors come from the exact second derivatives there, and the
evidence from Laplace's approximation [KassRaftery1995]_.

Limits: fewer than half of the values astray, at least five values. The evidence is an
approximation, good to a tenth in its logarithm from a dozen values on.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["Design", "MixtureFit", "fit_mixture"]

Values = NDArray[np.float64]

#: T: a value astray is most likely sqrt(2) times this away, 42 cents. Common practice,
#: no source: reeds that are plainly wrong are a quarter of a tone out or so.
ASTRAY_CENTS = 30.0
_HELD_BEYOND_CENTS = 4.0 * ASTRAY_CENTS
#: Before any reading the scatter is about so large, give or take a factor of e (log-normal).
#: Common practice, no source: a kept instrument scatters by 2 cents, a neglected one by 15.
USUAL_SCATTER_CENTS = 6.0
SCATTER_LOG_DOUBT = 1.0
#: Before any reading the share astray is Beta(1, 9): a tenth on the average.
ASTRAY_BETA, SOUND_BETA = 1.0, 9.0
_MOST_STEPS = 300
_CLOSE_ENOUGH = 1e-7
_LEAST_SCATTER_CENTS = 1e-3
_NO_LESS = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class Design:
    """A linear predictor of n values: ``fixed + columns @ coefficients``.

    ``columns`` is n by q. ``prior_deviations`` (q) are the one-sigma widths of the
    normal priors of the coefficients, about zero. They must be stated, since the
    evidence of a predictor with a free coefficient depends on them.
    """

    fixed: Values
    columns: Values
    prior_deviations: Values


@dataclass(frozen=True, slots=True, eq=False)
class MixtureFit:
    """A fitted mixture.

    ``covariance`` is that of the coefficients, scatter and share being unknown too.
    ``residuals`` and ``probabilities_astray`` are in the order of the values.
    ``degrees_of_freedom`` counts the values with the rest, less the coefficients.
    ``log_evidence`` is the natural logarithm of the density of the values.
    """

    coefficients: Values
    covariance: Values
    scatter: float
    astray_share: float
    residuals: Values
    probabilities_astray: Values
    degrees_of_freedom: float
    log_evidence: float


def fit_mixture(
    values: Values,
    errors: Values,
    designs: Sequence[Design],
    *,
    sound: NDArray[np.bool_],
    information: float = 1.0,
) -> tuple[MixtureFit, ...]:
    """Fit each design to the same values.

    Parameters
    ----------
    values : (n,) float
        Cents.
    errors : (n,) float > 0
        Standard error of each value by itself, cents; the scatter comes on top.
    designs : sequence of Design
        All with equally many columns.
    sound : (n,) bool
        The values not astray by a robust first look. The climb starts once from these
        and once from all, and the higher end counts.
    information : float in (0, 1]
        What one value counts for, below 1 where values repeat one another (the
        likelihood to that power [Ribatet2012]_).
    """
    mixture = _Mixtures(
        values=values - np.stack([design.fixed for design in designs]),
        columns=np.stack([design.columns for design in designs]),
        noise=errors**2,
        precision=np.stack([design.prior_deviations for design in designs]) ** -2.0,
        information=information,
    )
    careful = mixture.climb(np.where(sound, 1.0, 0.0))
    trusting = mixture.climb(np.ones(len(values)))
    is_careful = mixture.height(careful) >= mixture.height(trusting)
    return mixture.fits(
        _Place(
            np.where(is_careful[:, None], careful.coefficients, trusting.coefficients),
            np.where(is_careful, careful.log_scatter, trusting.log_scatter),
            np.where(is_careful, careful.astray, trusting.astray),
        )
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Place:
    """Where each of k mixtures stands: coefficients (k, q), log scatter (k), share astray (k)."""

    coefficients: Values
    log_scatter: Values
    astray: Values


@dataclass(frozen=True, slots=True, eq=False)
class _Terms:
    """What every value (k, n) contributes at a place."""

    residuals: Values
    variances: Values
    log_sound: Values
    log_astray: Values

    @property
    def weights(self) -> Values:
        """Probability that a value is with the rest."""
        return np.asarray(1.0 / (1.0 + np.exp(np.minimum(self.log_astray - self.log_sound, 700.0))))


@dataclass(frozen=True, slots=True, eq=False)
class _Mixtures:
    """K mixtures for the same n values: values (k, n), columns (k, n, q), precision (k, q)."""

    values: Values
    columns: Values
    noise: Values
    precision: Values
    information: float

    def terms(self, place: _Place) -> _Terms:
        residuals = self.values - np.einsum("knq,kq->kn", self.columns, place.coefficients)
        variances = np.exp(2.0 * place.log_scatter)[:, None] + self.noise
        return _Terms(
            residuals,
            variances,
            np.log1p(-place.astray)[:, None]
            - 0.5 * (np.log(2.0 * np.pi * variances) + residuals**2 / variances),
            np.log(place.astray)[:, None] + _log_astray(residuals),
        )

    def height(self, place: _Place) -> Values:
        """Return the logarithm of likelihood times prior, up to the prior's constants."""
        terms = self.terms(place)
        likelihood = np.logaddexp(terms.log_sound, terms.log_astray).sum(axis=1)
        far = (place.log_scatter - math.log(USUAL_SCATTER_CENTS)) / SCATTER_LOG_DOUBT
        return np.asarray(
            self.information * likelihood
            - 0.5 * (self.precision * place.coefficients**2).sum(axis=1)
            - 0.5 * far**2
            + ASTRAY_BETA * np.log(place.astray)
            + SOUND_BETA * np.log1p(-place.astray)
        )

    def climb(self, weights: Values) -> _Place:
        """Return the mode that is reached from (n,) first weights."""
        count = len(self.values)
        place = _Place(
            np.zeros((count, self.columns.shape[2])),
            np.full(count, math.log(USUAL_SCATTER_CENTS)),
            np.full(count, ASTRAY_BETA / (ASTRAY_BETA + SOUND_BETA)),
        )
        first = np.broadcast_to(weights, self.values.shape)
        # Far from the start the line is first brought to the values by plain least squares.
        place = self._moved(place, first, slope_astray=0.0)
        place = self._moved(place, first, slope_astray=0.0)
        for _ in range(_MOST_STEPS):
            moved = self._moved(place, self.terms(place).weights, slope_astray=1.0)
            step = np.abs(moved.coefficients - place.coefficients).max()
            step = max(step, np.abs(moved.log_scatter - place.log_scatter).max())
            place = moved
            if step < _CLOSE_ENOUGH:
                break
        return place

    def _moved(self, place: _Place, weights: Values, *, slope_astray: float) -> _Place:
        """Return the place one step further up."""
        coefficients = self._moved_coefficients(place, weights, slope_astray)
        terms = self.terms(_Place(coefficients, place.log_scatter, place.astray))
        log_scatter = self._moved_scatter(place.log_scatter, weights, terms)
        astray = self.information * (1.0 - weights).sum(axis=1) + ASTRAY_BETA
        total = self.information * weights.shape[1] + ASTRAY_BETA + SOUND_BETA
        return _Place(coefficients, log_scatter, astray / total)

    def _moved_coefficients(self, place: _Place, weights: Values, slope_astray: float) -> Values:
        terms = self.terms(place)
        pull = weights * terms.residuals / terms.variances
        pull = pull - slope_astray * (1.0 - weights) * _slope_astray(terms.residuals)
        gradient = self.information * np.einsum("kn,knq->kq", pull, self.columns)
        gradient = gradient - self.precision * place.coefficients
        curvature = self.information * np.einsum(
            "kn,knp,knq->kpq", weights / terms.variances, self.columns, self.columns
        ) + self.precision[:, :, None] * np.eye(self.precision.shape[1])
        return place.coefficients + np.linalg.solve(curvature, gradient[:, :, None])[:, :, 0]

    def _moved_scatter(self, log_scatter: Values, weights: Values, terms: _Terms) -> Values:
        """Return the log scatter that maximises the expected likelihood times its prior."""
        square = np.exp(2.0 * log_scatter)[:, None]
        share = square / terms.variances
        expected = share**2 * terms.residuals**2 + share * self.noise
        count = self.information * weights.sum(axis=1)
        total = self.information * (weights * expected).sum(axis=1)
        usual = math.log(USUAL_SCATTER_CENTS)
        moved = log_scatter
        for _ in range(4):
            slope = total * np.exp(-2.0 * moved) - count - (moved - usual) / SCATTER_LOG_DOUBT**2
            bend = 2.0 * total * np.exp(-2.0 * moved) + 1.0 / SCATTER_LOG_DOUBT**2
            moved = moved + np.clip(slope / bend, -1.0, 1.0)
        return np.maximum(moved, math.log(_LEAST_SCATTER_CENTS))

    def fits(self, place: _Place) -> tuple[MixtureFit, ...]:
        """Return the fits at a mode."""
        terms = self.terms(place)
        free = self.columns.shape[2]
        curvature = self._curvature(place, terms)
        covariance = np.asarray(np.linalg.inv(curvature), dtype=np.float64)
        log_evidence = self.height(place) + _prior_constant(self.precision)
        log_evidence = log_evidence + 0.5 * (free + 2) * math.log(2.0 * math.pi)
        log_evidence = log_evidence - 0.5 * np.linalg.slogdet(curvature)[1]
        sound = self.information * terms.weights.sum(axis=1)
        return tuple(
            MixtureFit(
                coefficients=place.coefficients[k],
                covariance=covariance[k, :free, :free],
                scatter=float(np.exp(place.log_scatter[k])),
                astray_share=float(place.astray[k]),
                residuals=terms.residuals[k],
                probabilities_astray=1.0 - terms.weights[k],
                degrees_of_freedom=float(sound[k] - free),
                log_evidence=float(log_evidence[k]),
            )
            for k in range(len(self.values))
        )

    def _curvature(self, place: _Place, terms: _Terms) -> Values:
        """Return minus the second derivatives by (coefficients, log scatter, logit astray).

        Of a mixture w is the mean of the parts' second derivatives, plus w (1 - w) times
        the square of the difference of their first ones.
        """
        free = self.columns.shape[2]
        count = len(self.values)
        weights, r, v = terms.weights, terms.residuals, terms.variances
        square = np.exp(2.0 * place.log_scatter)[:, None]
        of_sound = r / v
        difference = np.zeros((*r.shape, free + 2))
        difference[:, :, :free] = self.columns * (of_sound + _slope_astray(r))[:, :, None]
        difference[:, :, free] = square * (r**2 / v**2 - 1.0 / v)
        difference[:, :, free + 1] = -1.0
        second = np.einsum("kn,kna,knb->kab", weights * (1.0 - weights), difference, difference)
        bend = weights / v + (1.0 - weights) * _bend_astray(r)
        second[:, :free, :free] -= np.einsum("kn,knp,knq->kpq", bend, self.columns, self.columns)
        mixed = np.einsum("kn,knp->kp", weights * 2.0 * square * r / v**2, self.columns)
        second[:, :free, free] -= mixed
        second[:, free, :free] -= mixed
        by_scatter = 2.0 * square * (r**2 / v**2 - 1.0 / v)
        by_scatter = by_scatter + 2.0 * square**2 * (1.0 / v**2 - 2.0 * r**2 / v**3)
        second[:, free, free] += (weights * by_scatter).sum(axis=1)
        spread = place.astray * (1.0 - place.astray)
        second[:, free + 1, free + 1] -= r.shape[1] * spread
        prior = np.zeros((count, free + 2, free + 2))
        prior[:, range(free), range(free)] = self.precision
        prior[:, free, free] = SCATTER_LOG_DOUBT**-2
        prior[:, free + 1, free + 1] = (ASTRAY_BETA + SOUND_BETA) * spread
        return np.asarray(prior - self.information * second)


def _log_astray(residuals: Values) -> Values:
    """Return log g."""
    square = np.clip(residuals**2, _NO_LESS**2, _HELD_BEYOND_CENTS**2)
    constant = 3.0 * math.log(ASTRAY_CENTS) + 0.5 * math.log(2.0 * math.pi)
    return np.asarray(np.log(square) - 0.5 * square / ASTRAY_CENTS**2 - constant)


def _slope_astray(residuals: Values) -> Values:
    """Return the derivative of log g by the residual."""
    away = np.where(np.abs(residuals) < _NO_LESS, _NO_LESS, residuals)
    is_held = np.abs(residuals) > _HELD_BEYOND_CENTS
    return np.where(is_held, 0.0, 2.0 / away - residuals / ASTRAY_CENTS**2)


def _bend_astray(residuals: Values) -> Values:
    """Return minus the second derivative of log g."""
    square = np.maximum(residuals**2, _NO_LESS**2)
    is_held = np.abs(residuals) > _HELD_BEYOND_CENTS
    return np.where(is_held, 0.0, 2.0 / square + ASTRAY_CENTS**-2)


def _prior_constant(precision: Values) -> Values:
    """Return what ``height`` leaves out of the logarithm of the priors."""
    of_coefficients = 0.5 * (np.log(precision) - math.log(2.0 * math.pi)).sum(axis=1)
    of_scatter = -math.log(SCATTER_LOG_DOUBT) - 0.5 * math.log(2.0 * math.pi)
    of_share = (
        math.lgamma(ASTRAY_BETA + SOUND_BETA) - math.lgamma(ASTRAY_BETA) - math.lgamma(SOUND_BETA)
    )
    return np.asarray(of_coefficients + of_scatter + of_share)
