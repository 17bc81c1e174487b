"""How the pitch of a clamped bar answers to metal taken off it or put on.

Rayleigh's quotient ``w^2 = V / T`` with ``V = integral of E b h^3/12 y''^2 dx`` and
``T = integral of rho b h y^2 dx + m y(L)^2`` does not change to first order when the
shape y changes, so with the shape held::

    S(x) = d ln f / d h(x) per unit length = (E b h^2 y''^2 / (4 V) - rho b y^2 / T) / 2
    d ln f / d m at x = - y(x)^2 / (2 T)

Source: Rayleigh, *Theory of Sound*, vol. 1, sections 88-90 (the principle, from
memory); derived in docs/theory/tongue.md. Limits: first order. A cut of 1 % of
the thickness is already 1.5 % off near the root, one of 10 % is 17 % off.

Conventions: SI; every function looks at the first mode.
"""

import numpy as np
from numpy.polynomial import legendre
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import brentq

from reedwright.errors import ModelError
from reedwright.science.cantilever_modes import Modes

__all__ = ["cut_sensitivity", "mass_sensitivity", "neutral_point", "thickness_sensitivity"]

#: For integrals over an element: y^2 b is of degree 15, h^2 y''^2 b of degree 13.
_GAUSS_NODES, _GAUSS_WEIGHTS = legendre.leggauss(9)

#: Places per element where a change of sign is looked for.
LOOKS_PER_ELEMENT = 9


def thickness_sensitivity(modes: Modes, x: ArrayLike) -> NDArray[np.float64]:
    """Return S(x), the change of ln f per metre of thickness *added* per metre of length.

    Parameters
    ----------
    x : array_like
        Places, 0 to the length, metres. Where the thickness steps, the side
        towards the tip counts.

    Returns
    -------
    ndarray, shape of x
        1/m^2. Positive near the root: metal taken off there lowers the pitch.
    """
    element, place = modes.locate(x)
    per_width, width = _sensitivity_in(modes, element, place)
    return np.asarray(per_width * width / (modes.elements.thickness.max() * modes.elements.length))


def cut_sensitivity(modes: Modes, *, start: float, stop: float) -> float:
    """Return the integral of S from ``start`` to ``stop`` (metres): change of ln f per metre added.

    Raises
    ------
    ModelError
        If not 0 <= start < stop <= length.
    """
    edges = modes.elements.edges
    if not 0.0 <= start < stop <= edges[-1]:
        raise ModelError(
            f"a zone must lie between 0 and the length {1e3 * edges[-1]:g} mm, got "
            f"{1e3 * start:g} to {1e3 * stop:g} mm; choose a zone inside the tongue"
        )
    low, high = np.clip(edges[:-1], start, stop), np.clip(edges[1:], start, stop)
    middle, half = (low + high)[:, None] / 2.0, (high - low)[:, None] / 2.0
    place = (middle + half * _GAUSS_NODES - edges[:-1, None]) / np.diff(edges)[:, None]
    element = np.broadcast_to(np.arange(edges.size - 1)[:, None], place.shape)
    per_width, width = _sensitivity_in(modes, element, place)
    total = np.sum(per_width * width * _GAUSS_WEIGHTS * half)
    return float(total / (modes.elements.thickness.max() * modes.elements.length))


def mass_sensitivity(modes: Modes, x: ArrayLike) -> NDArray[np.float64]:
    """Return the change of ln f per kilogram added at x (metres), 1/kg, nowhere positive."""
    deflection, _ = modes.motion(*modes.locate(x))
    bar = modes.elements
    unit_mass = bar.density * bar.thickness.max() * bar.width.max() * bar.length
    return np.asarray(-(deflection**2) * _scaled_square(modes) / (2.0 * unit_mass))


def neutral_point(modes: Modes) -> float:
    """Return where metal may come off without a change of pitch, as a fraction from the root.

    It is the change of sign of S nearest the tip. There always is one: at the root
    nothing moves, so S > 0, and at the free tip nothing bends, so S < 0.
    """
    elements = modes.elements.edges.size - 1
    element = np.repeat(np.arange(elements), LOOKS_PER_ELEMENT)
    place = np.tile(np.linspace(0.0, 1.0, LOOKS_PER_ELEMENT), elements)
    per_width, _ = _sensitivity_in(modes, element, place)
    last = int(np.flatnonzero(per_width > 0.0)[-1])
    inside = element[last]
    if element[last + 1] == inside:
        crossing = brentq(
            lambda t: float(_sensitivity_in(modes, np.array(inside), np.array(t))[0]),
            place[last],
            place[last + 1],
            xtol=1e-14,
        )
    else:
        crossing = 1.0  # the thickness steps here, and the sign with it
    edges = modes.elements.edges
    return float((edges[inside] + crossing * (edges[inside + 1] - edges[inside])) / edges[-1])


def _sensitivity_in(
    modes: Modes, element: NDArray[np.intp], place: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return S over width, and width, in units of the greatest section and of the length.

    The width is kept apart because it may end at zero, where the sign must not.
    """
    bar = modes.elements
    deflection, bend = modes.motion(element, place)

    def at(section: NDArray[np.float64]) -> NDArray[np.float64]:
        start, end = section[element, 0], section[element, 1]
        return np.asarray((start + (end - start) * place) / section.max())

    h = at(bar.thickness)
    per_width = (3.0 * h**2 * bend**2 - deflection**2 * _scaled_square(modes)) / 2.0
    return per_width, at(bar.width)


def _scaled_square(modes: Modes) -> float:
    """Return w^2 in the units of ``Modes``, which is 1/T because V is 1 there."""
    bar = modes.elements
    unit = bar.youngs_modulus * bar.thickness.max() ** 2 / (12.0 * bar.density * bar.length**4)
    return float((2.0 * np.pi * modes.frequencies[0]) ** 2 / unit)
