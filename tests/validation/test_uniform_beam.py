"""The uniform clamped bar against its frequency equation and its known mode shape.

Sources: Rayleigh, *The Theory of Sound*, vol. 1, section 174 (1 + cos z cosh z = 0);
roots to five digits as printed in a vendor's laboratory guide on cantilever beams
(1.8751, 4.6941, 7.8548, 10.99557, 14.1372); the equation itself is solved here.
"""

import numpy as np
import pytest
from scipy.optimize import brentq

from reedwright.science.cantilever import cantilever_from_stations
from reedwright.science.cantilever_modes import Modes, natural_modes
from reedwright.science.cantilever_sensitivity import (
    cut_sensitivity,
    mass_sensitivity,
    neutral_point,
    thickness_sensitivity,
)
from reedwright.units import CENTS_PER_NATURAL_LOG, cents_from_ratio

LENGTH, THICKNESS, WIDTH = 0.030, 0.00025, 0.003
YOUNGS_MODULUS, DENSITY = 2.0e11, 7850.0

#: As printed in the guide.
PRINTED_ROOTS = (1.8751, 4.6941, 7.8548, 10.99557, 14.1372)


def frequency_equation(z: float) -> float:
    """Divided by cosh z, so that it stays of order one."""
    return float(1.0 / np.cosh(z) + np.cos(z))


def exact_root(printed: float) -> float:
    return float(brentq(frequency_equation, printed - 0.01, printed + 0.01, xtol=1e-14))


@pytest.fixture(scope="module")
def modes() -> Modes:
    bar = cantilever_from_stations(
        x=[0.0, LENGTH],
        thickness=[THICKNESS, THICKNESS],
        width=[WIDTH, WIDTH],
        youngs_modulus=YOUNGS_MODULUS,
        density=DENSITY,
    )
    return natural_modes(bar, count=5)


@pytest.mark.parametrize("mode", range(5))
def test_frequencies_solve_the_frequency_equation(modes: Modes, mode: int) -> None:
    """The first five frequencies agree with the equation to a millionth of a cent."""
    root = exact_root(PRINTED_ROOTS[mode])
    assert root == pytest.approx(PRINTED_ROOTS[mode], abs=1e-4)
    speed = np.sqrt(YOUNGS_MODULUS / (12.0 * DENSITY))
    exact = root**2 * THICKNESS * speed / (2.0 * np.pi * LENGTH**2)
    assert abs(cents_from_ratio(modes.frequencies[mode] / exact)) < 1e-6


@pytest.mark.parametrize("mode", range(5))
def test_shapes_are_the_known_ones(modes: Modes, mode: int) -> None:
    """Deflection is cosh - cos - sigma (sinh - sin), 1 at the tip, to 1e-6."""
    z = exact_root(PRINTED_ROOTS[mode])
    sigma = (np.cosh(z) + np.cos(z)) / (np.sinh(z) + np.sin(z))
    at = np.linspace(0.0, 1.0, 41)
    known = np.cosh(z * at) - np.cos(z * at) - sigma * (np.sinh(z * at) - np.sin(z * at))
    shape = modes.shape(at * LENGTH, mode=mode)
    np.testing.assert_allclose(shape, known / known[-1], atol=1e-6)


def test_sensitivity_at_root_and_tip_is_six_and_minus_two(modes: Modes) -> None:
    """S h L is 6 at the root and -2 at the tip: L y''(0)^2 / int y''^2 = L y(L)^2 / int y^2 = 4."""
    ends = thickness_sensitivity(modes, [0.0, LENGTH]) * THICKNESS * LENGTH
    np.testing.assert_allclose(ends, [6.0, -2.0], rtol=1e-8)


def test_sensitivity_along_the_bar_follows_the_known_shape(modes: Modes) -> None:
    """S h L = (3 y''^2 / int y''^2 - y^2 / int y^2) / 2 with the exact mode, everywhere."""
    z = exact_root(PRINTED_ROOTS[0])
    sigma = (np.cosh(z) + np.cos(z)) / (np.sinh(z) + np.sin(z))
    at = np.linspace(0.0, 1.0, 51)
    deflection = np.cosh(z * at) - np.cos(z * at) - sigma * (np.sinh(z * at) - np.sin(z * at))
    bend = np.cosh(z * at) + np.cos(z * at) - sigma * (np.sinh(z * at) + np.sin(z * at))
    # Both integrals over the length are 1 for these functions (Rayleigh, section 172).
    known = (3.0 * bend**2 - deflection**2) / 2.0
    found = thickness_sensitivity(modes, at * LENGTH) * THICKNESS * LENGTH
    np.testing.assert_allclose(found, known, atol=1e-7)


def test_sensitivities_add_up_to_proportionality(modes: Modes) -> None:
    """The integral of S h is 1, because frequency is proportional to thickness."""
    total = cut_sensitivity(modes, start=0.0, stop=LENGTH) * THICKNESS
    assert total == pytest.approx(1.0, rel=1e-12)


def test_neutral_point_of_a_uniform_bar(modes: Modes) -> None:
    """It is where 3 y''^2 = y^2 holds for the exact mode, 0.57938 of the length."""
    z = exact_root(PRINTED_ROOTS[0])
    sigma = (np.cosh(z) + np.cos(z)) / (np.sinh(z) + np.sin(z))

    def balance(at: float) -> float:
        bend = np.cosh(z * at) + np.cos(z * at) - sigma * (np.sinh(z * at) + np.sin(z * at))
        move = np.cosh(z * at) - np.cos(z * at) - sigma * (np.sinh(z * at) - np.sin(z * at))
        return float(np.sqrt(3.0) * bend - move)

    exact = brentq(balance, 0.4, 0.8, xtol=1e-14)
    assert neutral_point(modes) == pytest.approx(exact, abs=1e-9)
    assert exact == pytest.approx(0.5794, abs=5e-5)


def test_a_mass_at_the_tip_costs_two_parts_per_part_of_the_bar(modes: Modes) -> None:
    """At the tip d ln f = -2 dm / m, 34.62 cents per 1 % of the tongue; at the root nothing."""
    mass = DENSITY * LENGTH * THICKNESS * WIDTH
    root, tip = mass_sensitivity(modes, [0.0, LENGTH])
    assert root == 0.0
    assert tip * mass == pytest.approx(-2.0, rel=1e-10)
    assert tip * mass * 0.01 * CENTS_PER_NATURAL_LOG == pytest.approx(-34.62, abs=0.005)
