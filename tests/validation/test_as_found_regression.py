"""The tuning as found against other libraries and against brute force.

Sources of truth: least squares of NumPy (polyfit) on clean reeds; the robust estimators
of scikit-learn (HuberRegressor, TheilSenRegressor) and SciPy (least_squares with Cauchy's
loss) on the same contaminated data; quadrature of the posterior on a fine grid.
"""

import math
from functools import partial

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import least_squares
from scipy.stats import norm
from sklearn.linear_model import (  # type: ignore[import-untyped]
    HuberRegressor,
    TheilSenRegressor,
)

from reedwright.tuning.as_found import student_sigmas
from reedwright.tuning.first_look import sound_reeds
from reedwright.tuning.outlier_mixture import (
    ASTRAY_BETA,
    ASTRAY_CENTS,
    SCATTER_LOG_DOUBT,
    SOUND_BETA,
    USUAL_SCATTER_CENTS,
    Design,
    MixtureFit,
    fit_mixture,
)

Values = NDArray[np.float64]

SHIFT_CENTS, SLOPE_CENTS = 48.0, -3.42


def data(seed: int, *, astray_share: float = 0.1) -> tuple[Values, Values, NDArray[np.bool_]]:
    """Return places on the chain, offsets with 8 cents of scatter, and which reeds are astray."""
    rng = np.random.default_rng(seed)
    places = rng.integers(-7, 7, 86).astype(float)
    astray = rng.random(86) < astray_share
    sides = np.where(rng.random(86) < 0.85, 1.0, -1.0)
    off = np.where(astray, rng.uniform(30.0, 60.0, 86) * sides, rng.normal(0.0, 8.0, 86))
    return places, SHIFT_CENTS + SLOPE_CENTS * places + off, astray


def line(places: Values, values: Values) -> MixtureFit:
    """Return our line."""
    columns = np.column_stack([np.ones(len(values)), places])
    design = Design(np.zeros(len(values)), columns, np.array([1000.0, 100.0]))
    errors = np.full(len(values), 0.2)
    return fit_mixture(values, errors, [design], sound=sound_reeds(values, places))[0]


def _residuals(places: Values, values: Values, line_of: Values) -> Values:
    return np.asarray(values - line_of[0] - line_of[1] * places)


def test_it_is_nearer_the_truth_than_the_robust_lines_of_other_libraries() -> None:
    """Over 60 instruments astray on one side ours errs less than each of the others."""
    errors: dict[str, list[float]] = {"ours": [], "huber": [], "cauchy": [], "theil-sen": []}
    for seed in range(60):
        places, values, _ = data(seed)
        column = places[:, None]
        huber = HuberRegressor(alpha=0.0, max_iter=1000).fit(column, values)
        theil = TheilSenRegressor(random_state=0, max_subpopulation=300).fit(column, values)
        cauchy = least_squares(
            partial(_residuals, places, values),
            [float(np.median(values)), 0.0],
            loss="cauchy",
            f_scale=8.0,
        )
        errors["ours"].append(float(line(places, values).coefficients[0]) - SHIFT_CENTS)
        errors["huber"].append(float(huber.intercept_) - SHIFT_CENTS)
        errors["theil-sen"].append(float(theil.intercept_) - SHIFT_CENTS)
        errors["cauchy"].append(float(cauchy.x[0]) - SHIFT_CENTS)
    rms = {name: math.sqrt(float(np.mean(np.square(own)))) for name, own in errors.items()}
    assert rms["ours"] < min(rms["huber"], rms["theil-sen"], rms["cauchy"])
    assert rms["ours"] < 1.15


def test_all_agree_where_nothing_is_astray() -> None:
    """On clean reeds it is NumPy's line within a tenth of its standard error, Huber's in one.

    Huber's own constant gives away 5 % of the efficiency, so that it errs by about a
    quarter of a standard error against least squares.
    """
    places, values, _ = data(1, astray_share=0.0)
    ours = line(places, values)
    sigma = np.sqrt(np.diag(ours.covariance))
    slope, shift = np.polyfit(places, values, 1)
    assert np.all(np.abs(ours.coefficients - np.array([shift, slope])) < 0.1 * sigma)
    huber = HuberRegressor(alpha=0.0, max_iter=1000).fit(places[:, None], values)
    other = np.array([float(huber.intercept_), float(huber.coef_[0])])
    assert np.all(np.abs(ours.coefficients - other) < sigma)


def test_errors_stay_near_the_least_squares_limit_and_intervals_hold() -> None:
    """On 200 instruments: within 1.15 of what clean reeds allow, 95 % intervals hold 91 to 99 %.

    The benchmark does this with a thousand; two hundred know a coverage to 1.5 %.
    """
    ours, limit, held = [], [], []
    for seed in range(200):
        places, values, astray = data(1000 + seed)
        fit = line(places, values)
        slope, shift = np.polyfit(places[~astray], values[~astray], 1)
        error = fit.coefficients - np.array([SHIFT_CENTS, SLOPE_CENTS])
        left = fit.degrees_of_freedom
        sigma = np.sqrt(np.diag(fit.covariance) * (left + 2.0) / left)
        ours.append(error)
        limit.append([shift - SHIFT_CENTS, slope - SLOPE_CENTS])
        held.append(np.abs(error) < 1.96 * sigma)
    ratio = np.sqrt(np.mean(np.square(ours), axis=0) / np.mean(np.square(limit), axis=0))
    assert np.all(ratio < 1.15)
    coverage = np.mean(held, axis=0)
    assert np.all((coverage > 0.91) & (coverage < 0.99))


def _log_joint(values: Values, shifts: Values, scatters: Values, shares: Values) -> Values:
    """Return the logarithm of likelihood times prior on a grid (shift, scatter, share)."""
    away = values[:, None, None, None] - shifts[:, None, None]
    variance = scatters[:, None] ** 2 + 0.2**2
    sound = norm.logpdf(away, scale=np.sqrt(variance))
    astray = (
        2.0 * np.log(np.maximum(np.abs(away), 1e-6))
        - 0.5 * (away / ASTRAY_CENTS) ** 2
        - 3.0 * math.log(ASTRAY_CENTS)
        - 0.5 * math.log(2.0 * math.pi)
    )
    likelihood = np.logaddexp(np.log1p(-shares) + sound, np.log(shares) + astray).sum(axis=0)
    prior = norm.logpdf(shifts, scale=200.0)[:, None, None]
    far = np.log(scatters / USUAL_SCATTER_CENTS)
    prior = prior + (norm.logpdf(far, scale=SCATTER_LOG_DOUBT) - np.log(scatters))[:, None]
    of_share = math.lgamma(ASTRAY_BETA + SOUND_BETA)
    of_share -= math.lgamma(ASTRAY_BETA) + math.lgamma(SOUND_BETA)
    density = of_share + (ASTRAY_BETA - 1.0) * np.log(shares)
    return np.asarray(likelihood + prior + density + (SOUND_BETA - 1.0) * np.log1p(-shares))


@pytest.mark.parametrize(("count", "tolerance"), [(12, 0.15), (40, 0.05)])
def test_evidence_and_posterior_agree_with_quadrature(count: int, tolerance: float) -> None:
    """Evidence, level and 95 % interval of a pitch agree with sums over a fine grid."""
    rng = np.random.default_rng(count)
    values = rng.normal(5.0, 4.0, count)
    values[: count // 10] += 45.0
    design = Design(np.zeros(count), np.ones((count, 1)), np.array([200.0]))
    fit = fit_mixture(values, np.full(count, 0.2), [design], sound=np.abs(values - 5.0) < 15.0)[0]
    shifts = np.linspace(-8.0, 18.0, 105)
    log_scatters = np.linspace(math.log(0.8), math.log(25.0), 61)
    logits = np.linspace(-9.0, 2.0, 61)
    shares = 1.0 / (1.0 + np.exp(-logits))
    joint = _log_joint(values, shifts, np.exp(log_scatters), shares)
    joint = joint + log_scatters[:, None] + np.log(shares * (1.0 - shares))
    step = (shifts[1] - shifts[0]) * (log_scatters[1] - log_scatters[0]) * (logits[1] - logits[0])
    weights = np.exp(joint - joint.max())
    evidence = joint.max() + math.log(weights.sum() * step)
    of_shift = weights.sum(axis=(1, 2)) / weights.sum()
    upper_edges = shifts + 0.5 * (shifts[1] - shifts[0])
    low, middle, high = np.interp((0.025, 0.5, 0.975), np.cumsum(of_shift), upper_edges)
    assert fit.log_evidence == pytest.approx(evidence, abs=tolerance)
    left = fit.degrees_of_freedom
    reach = student_sigmas(left) * math.sqrt(fit.covariance[0, 0] * (left + 1.0) / left)
    assert fit.coefficients[0] == pytest.approx(middle, abs=0.1 * reach)
    assert reach == pytest.approx(0.5 * (high - low), rel=0.08)
