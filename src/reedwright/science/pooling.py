"""One value from several measurements that scatter more than their own noise.

Random effects: measurement k is the common value plus an effect of its own, of
variance ``scale^2 shape_k``, plus noise of known variance. The scale is not
known: the answer is averaged over a grid of scales with the weights of the
restricted likelihood (R. DerSimonian, N. Laird, Controlled Clinical Trials 7
(1986) 177-188, for the model; the average over the scale instead of a point
estimate widens the interval when there are few measurements, as Student's t
does).

Limits: effects are Gaussian and independent of one another.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

__all__ = ["Pooled", "pooled_mean"]

Vector = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Pooled:
    """The common value: one Gaussian for each scale (S of them), and their ``weights``.

    ``effects`` (K,) is the mean variance of the measurements' own effects.
    """

    weights: Vector
    means: Vector
    variances: Vector
    effects: Vector

    @property
    def mean(self) -> float:
        """The common value."""
        return float(self.weights @ self.means)

    @property
    def variance(self) -> float:
        """The variance of its error."""
        return float(self.weights @ (self.variances + (self.means - self.mean) ** 2))

    def half_width(self, *, coverage: float, further_variance: float = 0.0) -> float:
        """Return the half width of the interval about the mean that holds ``coverage``.

        ``further_variance`` is that of an error independent of all this.
        """
        deviation = np.sqrt(self.variances + further_variance)
        widest = 8.0 * float(np.sqrt(self.variance + further_variance))
        widths = np.linspace(0.0, widest, 400)
        away = (self.means - self.mean)[:, None]
        spread = deviation[:, None]
        held = self.weights @ (ndtr((widths - away) / spread) - ndtr((-widths - away) / spread))
        return float(np.interp(coverage, held, widths))


def pooled_mean(values: Vector, *, noise: Vector, shape: Vector, scales: Vector) -> Pooled:
    """Return the common value of ``values`` (K,).

    ``noise`` (K,) is the variance of each by noise alone, > 0; ``shape`` (K,)
    times the square of one of ``scales`` (S,) is that of its own effect.
    """
    effects = scales[:, None] ** 2 * shape
    variances = noise + effects
    precision = 1.0 / variances
    total = precision.sum(axis=1)
    means = precision @ values / total
    misses = np.sum(precision * (values - means[:, None]) ** 2, axis=1)
    scores = -0.5 * (np.log(variances).sum(axis=1) + np.log(total) + misses)
    weights = np.exp(scores - scores.max())
    weights /= weights.sum()
    return Pooled(weights=weights, means=means, variances=1.0 / total, effects=weights @ effects)
