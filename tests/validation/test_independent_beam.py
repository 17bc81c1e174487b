"""Any profile against beams assembled by another, general-purpose finite element library.

Independent program: scikit-fem (T. Gustafsson and G. D. McBain, J. Open Source Softw. 5
(2020) 2369), its cubic Hermite line elements on a fine mesh, with the profile evaluated
at its own quadrature points.
"""

from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.linalg import eigh
from skfem import Basis, BilinearForm, ElementLineHermite, MeshLine, asm
from skfem.helpers import dd, ddot

from reedwright.science.cantilever import cantilever_from_stations
from reedwright.science.cantilever_modes import natural_modes
from reedwright.units import cents_from_ratio

YOUNGS_MODULUS, DENSITY = 2.0e11, 7850.0

PROFILES = {
    "measured treble": (
        [0.0, 2.0, 5.0, 9.0, 14.0, 18.0, 22.0, 25.0],
        [0.42, 0.41, 0.37, 0.34, 0.31, 0.27, 0.25, 0.26],
        [2.9, 2.9, 2.8, 2.8, 2.7, 2.6, 2.5, 2.4],
        0.0,
    ),
    "bellied bass with solder": (
        [0.0, 6.0, 15.0, 25.0, 34.0, 44.0, 52.0, 58.0, 62.0],
        [0.48, 0.40, 0.28, 0.21, 0.20, 0.24, 0.33, 0.45, 0.47],
        [6.0, 5.9, 5.8, 5.6, 5.5, 5.3, 5.2, 5.1, 5.0],
        35.0,
    ),
    "steep high reed": ([0.0, 3.0, 11.0], [0.50, 0.42, 0.15], [2.0, 2.0, 1.5], 0.0),
}


def independent(
    x: NDArray[np.float64],
    thickness: NDArray[np.float64],
    width: NDArray[np.float64],
    tip_mass: float,
    *,
    elements: int,
) -> NDArray[np.float64]:
    """Five frequencies by scikit-fem, lengths in units of the whole and metal of 1."""
    length = x[-1]
    nodes = np.unique(
        np.concatenate(
            [
                np.linspace(start, stop, int(np.ceil(elements * (stop - start) / length)) + 1)
                for start, stop in pairwise(x)
            ]
        )
    )
    basis = Basis(MeshLine(nodes / length), ElementLineHermite(), intorder=9)

    def section(
        w: dict[str, NDArray[np.float64]], values: NDArray[np.float64]
    ) -> NDArray[np.float64]:
        return np.asarray(np.interp(w["x"][0] * length, x, values) / values[0])

    @BilinearForm
    def bending(u, v, w):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN202
        return section(w, width) * section(w, thickness) ** 3 * ddot(dd(u), dd(v))

    @BilinearForm
    def moving(u, v, w):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN202
        return section(w, width) * section(w, thickness) * u * v

    stiffness, inertia = asm(bending, basis), asm(moving, basis).tolil()
    tip = basis.get_dofs(lambda place: place[0] > 1.0 - 1e-9).nodal["u"][0]
    inertia[tip, tip] += tip_mass / (DENSITY * thickness[0] * width[0] * length)
    clamp = basis.get_dofs(lambda place: place[0] < 1e-9)
    free = basis.complement_dofs(clamp)
    K, M = stiffness[free][:, free].toarray(), inertia.tocsr()[free][:, free].toarray()
    # The greatest of the inverse problem: rounding then does not cost the lowest modes.
    inverse = eigh(M, K, eigvals_only=True)[::-1][:5]
    unit = thickness[0] * np.sqrt(YOUNGS_MODULUS / (12.0 * DENSITY)) / length**2
    return np.asarray(unit / (2.0 * np.pi) / np.sqrt(inverse))


@pytest.mark.parametrize("name", PROFILES)
def test_another_library_finds_the_same_five_frequencies(name: str) -> None:
    """All five agree to 0.0005 cent, a little more than 160 of its cubic elements miss."""
    x, thickness, width = (np.array(values) * 1e-3 for values in PROFILES[name][:3])
    tip_mass = PROFILES[name][3] * 1e-6
    bar = cantilever_from_stations(
        x=x,
        thickness=thickness,
        width=width,
        youngs_modulus=YOUNGS_MODULUS,
        density=DENSITY,
        tip_mass=tip_mass,
    )
    ours = natural_modes(bar).frequencies
    theirs = independent(x, thickness, width, tip_mass, elements=160)
    differences = [cents_from_ratio(a / b) for a, b in zip(ours, theirs, strict=True)]
    assert max(abs(difference) for difference in differences) < 0.0005
