"""One value from several measurements that scatter more than their own noise.

Random effects: measurement k is the common value plus an effect of its own, of
variance ``scale^2 shape_k``, plus noise of known variance. The scale is not
known: the answer is averaged over a grid of scales with the weights of the
restricted likelihood (R. DerSimonian, N. Laird, Controlled Clinical Trials 7
(1986) 177-188, for the model; the average over the scale instead of a point
estimate widens the interval when there are few measurements, as Student's t
does). A measurement far outside the rest has its variance raised until it is
two standard deviations away (P. J. Huber, Ann. Math. Stat. 35 (1964) 73-101).

Limits: effects are independent of one another, and Gaussian but for a few.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

__all__ = ["Pooled", "pooled_mean"]

Vector = NDArray[np.float64]

#: Measurements further from the rest than this many standard deviations are reined in.
_FAR = 2.0
_ROUNDS = 2


@dataclass(frozen=True, slots=True, eq=False)
class Pooled:
    """The common value: one Gaussian for each scale (S of them), and their ``weights``.

    ``effects`` (K,) is the mean variance of the measurements' own effects,
    ``scale2`` the mean square of the scale.
    """

    weights: Vector
    means: Vector
    variances: Vector
    effects: Vector
    scale2: float

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
        deviation = np.sqrt(self.variances + further_variance)[:, None]
        widest = 8.0 * float(np.sqrt(self.variance + further_variance))
        widths = np.linspace(0.0, widest, 400)
        away = (self.means - self.mean)[:, None]
        held = ndtr((widths - away) / deviation) - ndtr((-widths - away) / deviation)
        return float(np.interp(coverage, self.weights @ held, widths))


def pooled_mean(
    values: Vector, *, noise: Vector, shape: Vector, scales: Vector, prior: Vector
) -> Pooled:
    """Return the common value of ``values`` (K,).

    ``noise`` (K,) is the variance of each by noise alone, > 0; ``shape`` (K,)
    times the square of one of ``scales`` (S,) is that of its own effect, and
    ``prior`` (S,) says how likely each scale is before the data speak.
    """
    effects = scales[:, None] ** 2 * shape
    reined = np.ones(values.size)
    for _ in range(_ROUNDS):
        variances = (noise + effects) * reined
        precision = 1.0 / variances
        total = precision.sum(axis=1)
        means = precision @ values / total
        misses = precision * (values - means[:, None]) ** 2
        scores = -0.5 * (np.log(variances) + misses).sum(axis=1) - 0.5 * np.log(total)
        weights = prior * np.exp(scores - scores.max())
        weights /= weights.sum()
        reined *= np.maximum(1.0, (weights @ misses) / _FAR**2)
    return Pooled(
        weights=weights,
        means=means,
        variances=1.0 / total,
        effects=(weights @ effects) * reined,
        scale2=float(weights @ scales**2),
    )
