"""Regression with values astray: what it finds, and that its derivatives are right."""

import numpy as np
import pytest

from reedwright.tuning.first_look import sound_reeds
from reedwright.tuning.outlier_mixture import Design, fit_mixture

ALL = np.ones(60, dtype=bool)


def constant(count: int) -> Design:
    """Return the design of one free level."""
    return Design(np.zeros(count), np.ones((count, 1)), np.array([1000.0]))


def test_a_value_astray_has_no_say_and_is_known_for_it() -> None:
    """One value 60 cents out of 60 that scatter by 2: the mean is that of the others."""
    values = np.random.default_rng(1).normal(10.0, 2.0, 60)
    values[7] = 70.0
    fit = fit_mixture(values, np.full(60, 0.1), [constant(60)], sound=ALL)[0]
    others = np.delete(values, 7)
    assert fit.coefficients[0] == pytest.approx(others.mean(), abs=0.02)
    assert fit.probabilities_astray[7] > 0.9999
    assert np.delete(fit.probabilities_astray, 7).max() < 0.2
    assert fit.scatter == pytest.approx(others.std(), rel=0.05)


def test_forty_in_a_hundred_on_one_side_do_not_carry_it_away() -> None:
    """With 40 % of the values 45 cents up, the level stays with the majority."""
    rng = np.random.default_rng(2)
    values = rng.normal(0.0, 4.0, 100)
    values[:40] = rng.uniform(35.0, 55.0, 40)
    sound = sound_reeds(values, np.zeros(100))
    fit = fit_mixture(values, np.full(100, 0.1), [constant(100)], sound=sound)[0]
    assert fit.coefficients[0] == pytest.approx(0.0, abs=1.5)
    assert fit.astray_share == pytest.approx(0.4, abs=0.06)


def test_known_errors_are_told_from_scatter() -> None:
    """Values with errors of 5 cents and nothing else scatter by next to nothing."""
    values = np.random.default_rng(3).normal(0.0, 5.0, 400)
    fit = fit_mixture(values, np.full(400, 5.0), [constant(400)], sound=np.ones(400, dtype=bool))[0]
    assert fit.scatter < 2.0
    assert fit.covariance[0, 0] ** 0.5 == pytest.approx(5.0 / 20.0, rel=0.15)


def test_half_the_information_widens_by_root_two() -> None:
    """Values that count for half give the same level and twice the variance."""
    values = np.random.default_rng(4).normal(0.0, 5.0, 60)
    whole = fit_mixture(values, np.full(60, 0.1), [constant(60)], sound=ALL)[0]
    half = fit_mixture(values, np.full(60, 0.1), [constant(60)], sound=ALL, information=0.5)[0]
    assert half.coefficients[0] == pytest.approx(whole.coefficients[0], abs=0.05)
    assert half.covariance[0, 0] == pytest.approx(2.0 * whole.covariance[0, 0], rel=0.05)


def test_designs_fitted_together_are_as_fitted_alone() -> None:
    """Nothing of one design enters the fit of another."""
    rng = np.random.default_rng(5)
    values = rng.normal(0.0, 5.0, 60)
    other = Design(rng.normal(0.0, 10.0, 60), np.ones((60, 1)), np.array([50.0]))
    errors = np.full(60, 0.3)
    together = fit_mixture(values, errors, [constant(60), other], sound=ALL)
    for design, fit in zip([constant(60), other], together, strict=True):
        alone = fit_mixture(values, errors, [design], sound=ALL)[0]
        assert fit.log_evidence == pytest.approx(alone.log_evidence, abs=1e-6)
        assert fit.coefficients == pytest.approx(alone.coefficients, abs=1e-5)


def test_moving_all_values_moves_the_level_and_nothing_else() -> None:
    """A shift of 30 cents goes into the coefficient whole."""
    values = np.random.default_rng(6).normal(0.0, 5.0, 60)
    values[:5] += 40.0
    here = fit_mixture(values, np.full(60, 0.3), [constant(60)], sound=ALL)[0]
    there = fit_mixture(values + 30.0, np.full(60, 0.3), [constant(60)], sound=ALL)[0]
    assert there.coefficients[0] - here.coefficients[0] == pytest.approx(30.0, abs=1e-3)
    assert there.scatter == pytest.approx(here.scatter, rel=1e-5)
    assert there.probabilities_astray == pytest.approx(here.probabilities_astray, abs=1e-4)


def test_the_first_look_keeps_the_line_of_the_majority() -> None:
    """With 45 % of the reeds on another line, the first look keeps the other 55 %."""
    rng = np.random.default_rng(7)
    places = rng.integers(-7, 7, 80).astype(float)
    values = 20.0 - 3.0 * places + rng.normal(0.0, 2.0, 80)
    values[:36] += 50.0
    sound = sound_reeds(values, places)
    assert not sound[:36].any()
    assert sound[36:].mean() > 0.9


@pytest.mark.parametrize("away_cents", [100.0, 400.0, 1200.0, -2400.0])
def test_a_value_of_another_note_or_octave_is_astray_like_any_other(away_cents: float) -> None:
    """One reed read a semitone, a third or octaves off moves nothing and stretches no scatter."""
    values = np.random.default_rng(8).normal(0.0, 6.0, 60)
    clean = fit_mixture(values, np.full(60, 0.2), [constant(60)], sound=ALL)[0]
    values[0] += away_cents
    fit = fit_mixture(
        values, np.full(60, 0.2), [constant(60)], sound=sound_reeds(values, np.zeros(60))
    )[0]
    assert fit.coefficients[0] == pytest.approx(clean.coefficients[0], abs=0.3)
    assert fit.scatter == pytest.approx(clean.scatter, rel=0.05)
    assert fit.probabilities_astray[0] > 0.999
