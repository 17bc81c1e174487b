"""Bars tapered linearly, to a point and truncated, against Kirchhoff and Bessel functions.

Sources: G. Kirchhoff, Berliner Monatsberichte 1879, 815 (wedge 5.315, 15.207, 30.020;
cone 8.719, 21.146, 38.453), as quoted in S. Timoshenko, *Vibration Problems in
Engineering*, and S. Naguleswaran, J. Sound Vib. 172 (1994) 289-304 (from memory).
A pyramid of rectangular section has the cone's frequencies, its root gyration radius
being h0/sqrt(12). The determinants are solved here, with scipy's Bessel functions.

Of a bar whose root is at X = 1 and whose tip is at X = r, thickness X and width 1
(n = 1) or X (n = 2), the deflection is X^(-n/2) Z_n(2 k sqrt X), Z any of J, Y, I, K;
omega L^2 sqrt(12 rho / E) / h0 = k^2 (1 - r)^2.
"""

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import iv, jv, kv, yv

from reedwright.science.cantilever import Cantilever, cantilever_from_stations
from reedwright.science.cantilever_modes import natural_modes
from reedwright.units import cents_from_ratio

LENGTH, ROOT_THICKNESS, ROOT_WIDTH = 0.020, 0.0004, 0.003
YOUNGS_MODULUS, DENSITY = 1.1e11, 8500.0

#: omega L^2 sqrt(12 rho / E) / h0 as Kirchhoff printed them.
PRINTED = {1: (5.315, 15.207, 30.020), 2: (8.719, 21.146, 38.453)}


def bar(order: int, ratio: float) -> Cantilever:
    """Return a bar of tip/root ratio; order 1 tapers the thickness, 2 the width as well."""
    return cantilever_from_stations(
        x=[0.0, LENGTH],
        thickness=[ROOT_THICKNESS, ROOT_THICKNESS * ratio],
        width=[ROOT_WIDTH, ROOT_WIDTH * (ratio if order == 2 else 1.0)],
        youngs_modulus=YOUNGS_MODULUS,
        density=DENSITY,
    )


def constants(cantilever: Cantilever) -> list[float]:
    """Frequencies as omega L^2 sqrt(12 rho / E) / h0."""
    unit = ROOT_THICKNESS * np.sqrt(YOUNGS_MODULUS / (12.0 * DENSITY)) / LENGTH**2
    return [2.0 * np.pi * f / unit for f in natural_modes(cantilever, count=3).frequencies]


def pointed_determinant(order: int, z: float) -> float:
    n = order
    return float(jv(n, z) * iv(n + 1, z) + iv(n, z) * jv(n + 1, z))


def truncated_determinant(order: int, ratio: float, k: float) -> float:
    """Clamped at X = 1, free at X = ratio.

    With u = 2 k sqrt X the derivatives of X^(-n/2) Z_n(u) go up one order each:
    y' ~ X^(-(n+1)/2) Z_(n+1), y'' ~ X^(-(n+2)/2) Z_(n+2), and the shear
    (X^(n+2) y'')' ~ X^((n+1)/2) Z_(n+1); the signs are those of each kind.
    """
    n = order
    root, tip = 2.0 * k, 2.0 * k * np.sqrt(ratio)
    rows = [
        [jv(n, root), yv(n, root), iv(n, root), kv(n, root)],
        [-jv(n + 1, root), -yv(n + 1, root), iv(n + 1, root), -kv(n + 1, root)],
        [jv(n + 2, tip), yv(n + 2, tip), iv(n + 2, tip), kv(n + 2, tip)],
        [jv(n + 1, tip), yv(n + 1, tip), iv(n + 1, tip), -kv(n + 1, tip)],
    ]
    scaled = np.array(rows) / [1.0, 1.0, iv(n, root), kv(n, tip)]
    return float(np.linalg.det(scaled))


@pytest.mark.parametrize("order", [1, 2], ids=["wedge", "pyramid"])
@pytest.mark.parametrize("mode", range(3))
def test_bars_to_a_point_have_kirchhoffs_frequencies(order: int, mode: int) -> None:
    """They agree with Kirchhoff's three decimals and with his equation to 1e-6 cent."""
    found = constants(bar(order, 0.0))[mode]
    printed = PRINTED[order][mode]
    assert found == pytest.approx(printed, abs=1e-3)
    middle = 2.0 * np.sqrt(printed)
    root = brentq(lambda z: pointed_determinant(order, z), middle - 0.01, middle + 0.01, xtol=1e-14)
    assert abs(cents_from_ratio(found / (root**2 / 4.0))) < 1e-6


@pytest.mark.parametrize("order", [1, 2], ids=["thickness", "thickness and width"])
@pytest.mark.parametrize("ratio", [0.8, 0.6, 0.5, 0.4, 0.2, 0.1])
def test_truncated_tapers_solve_the_bessel_determinant(order: int, ratio: float) -> None:
    """The first three frequencies are zeros of the determinant, to 5e-5 cent."""
    for found in constants(bar(order, ratio)):
        k = np.sqrt(found) / (1.0 - ratio)
        root = brentq(
            lambda k: truncated_determinant(order, ratio, k), k * 0.999, k * 1.001, xtol=1e-14
        )
        assert abs(cents_from_ratio((k / root) ** 2)) < 5e-5


def test_half_taper_has_the_widely_tabulated_values() -> None:
    """At a ratio of a half: 3.8238 (thickness), 4.6252 (both), as tabulated in the literature.

    Values from memory; the exact ones, 3.823785 and 4.625150, round to them within 0.0001.
    """
    assert constants(bar(1, 0.5))[0] == pytest.approx(3.8238, abs=1e-4)
    assert constants(bar(2, 0.5))[0] == pytest.approx(4.6252, abs=1e-4)


@pytest.mark.parametrize(("ratio", "second_to_first"), [(1.0, 6.267), (0.5, 4.790), (0.4, 4.445)])
def test_the_second_mode_tells_the_taper(ratio: float, second_to_first: float) -> None:
    """f2/f1 falls from 6.267 as the tongue thins to its tip (a vendor's guide; determinant)."""
    first, second, _ = constants(bar(1, ratio))
    assert second / first == pytest.approx(second_to_first, abs=1e-3)
