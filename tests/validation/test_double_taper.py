"""The double-taper benchmark SDLL09: printed values at their accuracy, and an exact solution.

Sources: SFM/AFNOR, *Guide de validation des progiciels de calcul de structures* (1990),
pp. 200-201, test SDLL09, as given in the Code_Aster documentation V2.02.009; root
reference H. H. Mabie and C. B. Rogers, J. Acoust. Soc. Am. 51 (1972) 1771-1774.

The bar is 1 m long, E = 2e11 Pa, rho = 7800 kg/m3, clamped at its thick end (40 x 40 mm,
or 40 mm thick and 50 mm wide) and 10 x 10 mm at its free tip. The printed numbers are
lambda_i = 2 pi f_i L^2 sqrt(12 rho / E) / h1 with h1 the tip's thickness. They are all
0.2 to 0.6 cent low, so that is the accuracy they are held to; the exact ones come from
shooting here, an integration that shares nothing with the finite elements.
"""

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from reedwright.science.cantilever import cantilever_from_stations
from reedwright.science.cantilever_modes import natural_modes
from reedwright.units import cents_from_ratio

PRINTED = {
    4.0: (23.289, 73.9, 165.23, 299.7, 478.1),
    5.0: (24.308, 75.56, 167.21, 301.9, 480.4),
}


def found(width_ratio: float) -> NDArray[np.float64]:
    """Return the first five lambdas of the model."""
    bar = cantilever_from_stations(
        x=[0.0, 1.0],
        thickness=[0.04, 0.01],
        width=[0.01 * width_ratio, 0.01],
        youngs_modulus=2.0e11,
        density=7800.0,
    )
    unit = 0.01 * np.sqrt(2.0e11 / (12.0 * 7800.0)) / (2.0 * np.pi)
    return np.asarray(natural_modes(bar).frequencies / unit)


def shot(width_ratio: float, squared: float) -> float:
    """Return the miss of the clamp after integrating from the free tip, in units of the tip.

    State: deflection, slope, moment and shear, s running from the tip (0) to the clamp (1).
    """

    def advance(s: float, state: NDArray[np.float64]) -> NDArray[np.float64]:
        h = 1.0 + 3.0 * s
        b = 1.0 + (width_ratio - 1.0) * s
        y = state.reshape(2, 4)
        return np.column_stack(
            [y[:, 1], y[:, 2] / (b * h**3), y[:, 3], squared * b * h * y[:, 0]]
        ).ravel()

    start = np.array([1.0, 0.0, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0])
    end = solve_ivp(advance, (0.0, 1.0), start, method="DOP853", rtol=1e-12, atol=1e-14).y[:, -1]
    first, second = end.reshape(2, 4)
    return float(first[0] * second[1] - first[1] * second[0])


@pytest.mark.parametrize("width_ratio", [4.0, 5.0])
@pytest.mark.parametrize("mode", range(5))
def test_printed_values_hold_to_their_accuracy(width_ratio: float, mode: int) -> None:
    """Each printed lambda is within 0.6 cent of the model (clamping the thin end gives 1.88)."""
    lambda_i = found(width_ratio)[mode]
    assert abs(cents_from_ratio(lambda_i / PRINTED[width_ratio][mode])) < 0.6


@pytest.mark.parametrize("width_ratio", [4.0, 5.0])
@pytest.mark.parametrize("mode", range(5))
def test_shooting_gives_the_same_frequencies(width_ratio: float, mode: int) -> None:
    """An exact shooting solution agrees with the model to 1e-5 cent."""
    lambda_i = found(width_ratio)[mode]
    root = brentq(
        lambda guess: shot(width_ratio, guess**2), lambda_i * 0.999, lambda_i * 1.001, xtol=1e-9
    )
    assert abs(cents_from_ratio(lambda_i / root)) < 1e-5
