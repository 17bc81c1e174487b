"""The tongue model: how exact, how fast, beside a general-purpose finite element library.

Run ``python -m benchmarks.tongue``. Truth is the frequency equation of the uniform bar
and Kirchhoff's of the wedge (tests/validation name the sources); of a measured profile
of twelve stations it is the model's own value on four times as many elements. The other
library is scikit-fem, its cubic Hermite line elements solved as a dense problem.
"""

import time
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import eigh
from scipy.optimize import brentq
from scipy.special import iv, jv
from skfem import Basis, BilinearForm, ElementLineHermite, MeshLine, asm
from skfem.helpers import dd, ddot

from reedwright.catalogue.tongues import load_filing_rules, load_metal, load_tongue_scale
from reedwright.instrument.layout import Direction, Side
from reedwright.instrument.note import SpelledNote
from reedwright.instrument.target import ReedOffset, Target
from reedwright.reedwork import plan_many
from reedwright.science.cantilever import Cantilever, cantilever_from_stations, subdivided
from reedwright.science.cantilever_modes import natural_modes
from reedwright.units import cents_from_ratio, ratio_from_cents

__all__ = ["main", "mean_seconds", "plan_seconds", "scikit_fem_frequencies", "worst_cents"]

MODES = 5


def bar(x: NDArray[np.float64], h: NDArray[np.float64], b: NDArray[np.float64]) -> Cantilever:
    """Return a steel bar from stations in millimetres."""
    return cantilever_from_stations(
        x=x * 1e-3, thickness=h * 1e-3, width=b * 1e-3, youngs_modulus=2e11, density=7850.0
    )


def profiles() -> dict[str, tuple[Cantilever, NDArray[np.float64]]]:
    """Return the bars and their true first frequencies, as many as the truth is known for."""
    ends, thick = np.array([0.0, 25.0]), np.array([0.3, 0.3])
    unit = 0.3e-3 * np.sqrt(2e11 / (12.0 * 7850.0)) / 0.025**2 / (2.0 * np.pi)
    uniform = [
        brentq(lambda z: 1.0 / np.cosh(z) + np.cos(z), near - 0.1, near + 0.1, xtol=1e-14)
        for near in (1.875, 4.694, 7.855, 10.996, 14.137)
    ]
    wedge = [
        brentq(
            lambda z: jv(1, z) * iv(2, z) + iv(1, z) * jv(2, z), near - 0.1, near + 0.1, xtol=1e-14
        )
        for near in (4.611, 7.799, 10.958)
    ]
    rng = np.random.default_rng(12)
    x = np.linspace(0.0, 25.0, 12)
    measured = bar(x, 0.34 - 0.004 * x + 0.01 * rng.standard_normal(12), np.linspace(3.0, 2.5, 12))
    fine = subdivided(measured, np.linspace(0.0, 0.025, 45)[1:-1])
    return {
        "uniform": (bar(ends, thick, thick * 10.0), unit * np.array(uniform) ** 2),
        "wedge to a point": (
            bar(ends, np.array([0.3, 0.0]), thick * 10.0),
            unit * np.array(wedge) ** 2 / 4.0,
        ),
        "twelve stations": (measured, natural_modes(fine).frequencies),
    }


def worst_cents(found: NDArray[np.float64], true: NDArray[np.float64]) -> float:
    """Return the greatest error of the frequencies for which the truth is known."""
    pairs = zip(found, true, strict=False)
    return max(abs(cents_from_ratio(float(a / b))) for a, b in pairs)


def mean_seconds(work: Callable[[], object], *, times: int) -> float:
    """Return the mean processor time of some work, after doing it once.

    Not the time by the clock: the machine may be shared.
    """
    work()
    start = time.process_time()
    for _ in range(times):
        work()
    return (time.process_time() - start) / times


def scikit_fem_frequencies(cantilever: Cantilever, *, elements: int) -> NDArray[np.float64]:
    """Return the first five frequencies by scikit-fem, nodes on stations and between."""
    length, h0, b0 = cantilever.length, cantilever.thickness.max(), cantilever.width.max()
    extra = np.linspace(0.0, length, elements + 1)[1:-1]
    nodes = subdivided(cantilever, extra).edges / length
    basis = Basis(MeshLine(nodes), ElementLineHermite(), intorder=9)
    stations = cantilever.edges / length
    h = np.append(cantilever.thickness[:, 0], cantilever.thickness[-1, 1]) / h0
    b = np.append(cantilever.width[:, 0], cantilever.width[-1, 1]) / b0

    @BilinearForm
    def bending(u, v, w):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN202
        at = w["x"][0]
        return np.interp(at, stations, b) * np.interp(at, stations, h) ** 3 * ddot(dd(u), dd(v))

    @BilinearForm
    def moving(u, v, w):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN202
        at = w["x"][0]
        return np.interp(at, stations, b) * np.interp(at, stations, h) * u * v

    free = basis.complement_dofs(basis.get_dofs(lambda place: place[0] < 1e-9))
    K, M = (asm(form, basis)[free][:, free].toarray() for form in (bending, moving))
    size = K.shape[0]
    inverse = eigh(M, K, eigvals_only=True, subset_by_index=[size - MODES, size - 1])[::-1]
    unit = h0 * np.sqrt(2e11 / (12.0 * 7850.0)) / length**2 / (2.0 * np.pi)
    return np.asarray(unit / np.sqrt(inverse))


def plan_seconds(*, offset_cents: float, reeds: int) -> float:
    """Return the time to plan so many reeds, none of them measured, C3 to C7, off by so much."""
    rules, scale, metal = load_filing_rules(), load_tongue_scale(), load_metal("steel")
    note = SpelledNote.parse("A4")
    offsets = []
    for number in range(reeds):
        target_hz = 130.8 * 2.0 ** (4.0 * number / (reeds - 1))
        cents = offset_cents if number % 2 else -offset_cents
        target = Target(f"L1.{number}", Side.LEFT, Direction.PRESS, note, target_hz)
        heard_hz = target_hz * ratio_from_cents(cents)
        offsets.append(ReedOffset(target, heard_hz, cents, 0.5, None, False, None))
    return mean_seconds(
        lambda: plan_many(
            offsets, tongues={}, scale=scale, metal=metal, tolerance_cents=2.0, rules=rules
        ),
        times=2,
    )


def main() -> None:
    """Print the tables."""
    print("worst error of the first frequencies (3 of the wedge, else 5); processor time for five")
    print(f"{'':18}{'reedwright':>22}{'scikit-fem, 40':>24}{'scikit-fem, 160':>24}")
    for name, (cantilever, true) in profiles().items():
        cells = []
        ways: list[tuple[Callable[[], NDArray[np.float64]], int]] = [
            (lambda c=cantilever: natural_modes(c).frequencies, 100),  # type: ignore[misc]
            (lambda c=cantilever: scikit_fem_frequencies(c, elements=40), 10),  # type: ignore[misc]
            (lambda c=cantilever: scikit_fem_frequencies(c, elements=160), 3),  # type: ignore[misc]
        ]
        for way, times in ways:
            seconds = mean_seconds(way, times=times)
            cells.append(f"{worst_cents(way(), true):9.1e} c {1e3 * seconds:7.2f} ms")
        print(f"{name:18}{cells[0]:>22}{cells[1]:>24}{cells[2]:>24}")
    for offset_cents in (8.0, 40.0):
        seconds = plan_seconds(offset_cents=offset_cents, reeds=100)
        print(f"filing plans of 100 reeds {offset_cents:g} cents off: {seconds:.2f} s")


if __name__ == "__main__":
    main()
