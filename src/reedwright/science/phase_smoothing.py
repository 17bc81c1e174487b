"""A smooth phase out of a noisy one, with no opinion on how the pitch moves.

The phase of the fundamental is measured frame by frame with known noise. Its
frequency is taken to wander like a random walk, of a rate that the data weigh:
the second differences of the phase are independent with variance q, and the
answer is averaged over a grid of q with the weights of the restricted
likelihood. For one q this is the smoothing of E. T. Whittaker, Proc. Edinburgh
Math. Soc. 41 (1923) 63-75, read as a stochastic model by G. Wahba, J. Royal
Stat. Soc. B 40 (1978) 364-372; weighing models by their likelihood is Bayesian
averaging with a flat prior on log q. As q goes to nothing a straight line is
left, as for a steady tone.

Limits: Gaussian noise correlated with the next frame only; the error of a
contrast covers noise and wander, not what is wrong with all partials at once.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg.lapack import dpbtrf, dpbtrs

__all__ = ["Contrasts", "PhaseSmoothing", "smooth_phase"]

Vector = NDArray[np.float64]
Matrix = NDArray[np.float64]

#: Models this much less likely than the likeliest are left out of the average.
_LEAST_WEIGHT = 0.02


@dataclass(frozen=True, slots=True, eq=False)
class Contrasts:
    """Weighted sums of the smooth phase, C of them.

    ``filters`` (M, C) give the ``values`` when applied to the measured phase.
    The variance of an error is the sum of ``noise`` (from the frames) and
    ``misfit`` (wander that the smoothing does not follow), all of shape (C,).
    """

    filters: Matrix
    values: Vector
    noise: Vector
    misfit: Vector


@dataclass(frozen=True, slots=True, eq=False)
class PhaseSmoothing:
    """The models kept, the likeliest first, with what makes the smooth phase of M frames.

    ``wander`` and ``jitter`` are the mean variances of the models, radians
    squared per frame; ``phase`` (M,) is the smooth phase, radians.
    """

    measured: Vector
    phase: Vector
    noise_variance: Vector
    correlation: float
    weights: Vector
    factors: tuple[Matrix, ...]
    wander: float
    jitter: float

    def contrasts(self, sums: Matrix) -> Contrasts:
        """Return the weighted sums ``sums`` (M, C) of the smooth phase, with their variances."""
        noisy = _correlated(self.noise_variance, self.correlation, sums)
        rough = np.diff(noisy, n=2, axis=0)
        whole = np.einsum("mc,mc->c", sums, noisy)
        filters = np.zeros_like(sums)
        misfit = np.zeros(sums.shape[1])
        values = np.zeros((len(self.factors), sums.shape[1]))
        for place, (weight, factor) in enumerate(zip(self.weights, self.factors, strict=True)):
            taken = dpbtrs(factor, rough, lower=1)[0]
            filtered = sums - _second_sums(taken)
            posterior = whole - np.einsum("mc,mc->c", rough, taken)
            passed = _correlated(self.noise_variance, self.correlation, filtered)
            misfit += weight * (posterior - np.einsum("mc,mc->c", filtered, passed))
            values[place] = self.measured @ filtered
            filters += weight * filtered
        mean = self.weights @ values
        misfit += self.weights @ (values - mean) ** 2
        passed = _correlated(self.noise_variance, self.correlation, filters)
        return Contrasts(
            filters=filters,
            values=mean,
            noise=np.einsum("mc,mc->c", filters, passed),
            misfit=np.maximum(misfit, 0.0),
        )


def smooth_phase(
    measured: Vector,
    noise_variance: Vector,
    *,
    correlation: float,
    wander: Vector,
    jitter: Vector,
) -> PhaseSmoothing:
    """Return the smoothing of a measured phase.

    Parameters
    ----------
    measured : array, shape (M,), M >= 4
        Radians, evenly spaced in time.
    noise_variance : array, shape (M,)
        Of each frame, radians squared; neighbours are correlated by ``correlation``.
    wander : array, shape (Q,)
        The variances q of the second differences that are weighed, radians squared.
    jitter : array, shape (R,)
        The variances r of the first differences that are weighed, radians squared.
    """
    bands = _second_difference_bands(noise_variance, correlation)
    rough = np.diff(measured, n=2)
    q, r = (grid.ravel() for grid in np.meshgrid(wander, jitter))
    factors, scores = [], np.empty(q.size)
    solved = np.empty((q.size, rough.size))
    for place in range(q.size):
        loaded = bands.copy()
        loaded[0] += q[place] + 2.0 * r[place]
        loaded[1] -= r[place]
        factor = dpbtrf(loaded, lower=1, overwrite_ab=1)[0]
        solved[place] = dpbtrs(factor, rough, lower=1)[0]
        scores[place] = -np.log(factor[0]).sum() - 0.5 * rough @ solved[place]
        factors.append(factor)
    order = np.argsort(-scores)
    weights = np.exp(scores[order] - scores[order[0]])
    kept = order[weights >= _LEAST_WEIGHT]
    weights = weights[: kept.size] / np.sum(weights[: kept.size])
    taken = _second_sums((weights @ solved[kept])[:, None])
    return PhaseSmoothing(
        measured=measured,
        phase=measured - _correlated(noise_variance, correlation, taken)[:, 0],
        noise_variance=noise_variance,
        correlation=correlation,
        weights=weights,
        factors=tuple(factors[place] for place in kept),
        wander=float(weights @ q[kept]),
        jitter=float(weights @ r[kept]),
    )


def _correlated(variance: Vector, correlation: float, columns: Matrix) -> Matrix:
    """Return the covariance matrix of the frames' noise times ``columns``."""
    between = correlation * np.sqrt(variance[1:] * variance[:-1])[:, None]
    product = variance[:, None] * columns
    product[1:] += between * columns[:-1]
    product[:-1] += between * columns[1:]
    return product


def _second_sums(columns: Matrix) -> Matrix:
    """Return the transpose of the second difference, applied to ``columns`` (M - 2, C)."""
    sums = np.zeros((len(columns) + 2, columns.shape[1]))
    sums[:-2] += columns
    sums[1:-1] -= 2.0 * columns
    sums[2:] += columns
    return sums


def _second_difference_bands(variance: Vector, correlation: float) -> Matrix:
    """Return the covariance of second differences of the noise, lower banded form (4, M - 2)."""
    count = len(variance) - 2
    between = correlation * np.sqrt(variance[1:] * variance[:-1])
    steps = (1.0, -2.0, 1.0)
    bands = np.zeros((4, count))
    for lag in range(4):
        size = count - lag
        if size <= 0:
            continue
        for first, weight in enumerate(steps):
            for second, other in enumerate(steps):
                apart = lag + second - first
                if apart == 0:
                    bands[lag, :size] += weight * other * variance[first : first + size]
                elif abs(apart) == 1:
                    low = min(first, lag + second)
                    bands[lag, :size] += weight * other * between[low : low + size]
    return bands
