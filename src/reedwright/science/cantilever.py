"""A thin bar clamped at its root, piece by piece, and what may be done to it.

Conventions: SI; x = 0 at the clamp, x = L at the free tip. Within a piece,
thickness and width are linear in x; from one piece to the next they may step.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reedwright.errors import ModelError

__all__ = [
    "THICKEST_TO_LENGTH",
    "Cantilever",
    "cantilever_from_stations",
    "subdivided",
    "thinned",
]

#: Above this ratio of thickness to length thin-bar theory is refused: a uniform
#: bar then reads 0.8 % (14 cents) high, by Timoshenko's theory (steel).
THICKEST_TO_LENGTH = 0.1


@dataclass(frozen=True, slots=True, eq=False)
class Cantilever:
    """A rigidly clamped bar of rectangular section with a point mass at its tip.

    ``edges`` (n + 1,) are the ends of its n pieces, from 0 to the length, metres;
    ``thickness`` and ``width`` (n, 2) those at the start and the end of each
    piece, metres. ``youngs_modulus`` is in pascals, ``density`` in kilograms per
    cubic metre, ``tip_mass`` in kilograms.

    Thickness and width are above zero, except that either may end at zero at the
    tip (a wedge, a pyramid). A pointed (zero thickness) tip carries no mass: it
    would give way without limit.

    Raises
    ------
    ModelError
        If any of this does not hold, or the bar is thicker than 0.1 of its length.
    """

    edges: NDArray[np.float64]
    thickness: NDArray[np.float64]
    width: NDArray[np.float64]
    youngs_modulus: float
    density: float
    tip_mass: float = 0.0

    def __post_init__(self) -> None:
        _check_edges(self.edges)
        _check_section("thickness", self.thickness, self.edges)
        _check_section("width", self.width, self.edges)
        for name, value, unit in (
            ("Young's modulus", self.youngs_modulus, "Pa"),
            ("density", self.density, "kg/m3"),
        ):
            if not (np.isfinite(value) and value > 0.0):
                raise ModelError(f"the {name} must be above zero, got {value:g} {unit}; correct it")
        if not (np.isfinite(self.tip_mass) and self.tip_mass >= 0.0):
            raise ModelError(
                f"the tip mass must not be negative, got {1e6 * self.tip_mass:g} mg; "
                "give 0 where there is none"
            )
        if self.is_pointed and self.tip_mass > 0.0:
            raise ModelError(
                f"a tip of zero thickness cannot carry a mass, got {1e6 * self.tip_mass:g} mg; "
                "give the tip its thickness, or no mass"
            )
        slenderness = float(self.thickness.max()) / self.length
        if slenderness > THICKEST_TO_LENGTH:
            raise ModelError(
                f"thin-bar theory needs thickness/length <= {THICKEST_TO_LENGTH}, got "
                f"{slenderness:.3f}; check that all dimensions are in one unit"
            )

    @property
    def length(self) -> float:
        """Free length, metres."""
        return float(self.edges[-1])

    @property
    def is_pointed(self) -> bool:
        """Whether the thickness ends at zero at the tip."""
        return bool(self.thickness[-1, 1] == 0.0)

    @property
    def thinnest(self) -> float:
        """The least thickness anywhere, metres."""
        return float(self.thickness.min())

    @property
    def mass(self) -> float:
        """Mass of the bar without the tip mass, kilograms."""
        start_h, end_h = self.thickness.T
        start_b, end_b = self.width.T
        # Integral of the product of two linear functions over a piece.
        mean = (
            2.0 * start_h * start_b + start_h * end_b + end_h * start_b + 2.0 * end_h * end_b
        ) / 6.0
        return float(self.density * np.sum(np.diff(self.edges) * mean))

    def with_modulus(self, youngs_modulus: float) -> "Cantilever":
        """Return the bar with another Young's modulus, pascals."""
        return replace(self, youngs_modulus=youngs_modulus)

    def with_tip_mass(self, tip_mass: float) -> "Cantilever":
        """Return the bar with another point mass at its tip, kilograms."""
        return replace(self, tip_mass=tip_mass)


def cantilever_from_stations(
    *,
    x: ArrayLike,
    thickness: ArrayLike,
    width: ArrayLike,
    youngs_modulus: float,
    density: float,
    tip_mass: float = 0.0,
) -> Cantilever:
    """Return the bar whose thickness and width are linear between stations.

    Parameters
    ----------
    x, thickness, width : array_like, shape (n + 1,), n >= 1
        Stations from the root (x = 0) to the tip, metres.
    youngs_modulus, density, tip_mass : float
        Pascals, kilograms per cubic metre, kilograms.

    Raises
    ------
    ModelError
        If the stations do not describe a bar (see ``Cantilever``).
    """
    edges, h, b = (np.asarray(values, dtype=np.float64) for values in (x, thickness, width))
    if edges.ndim != 1 or edges.size < 2 or h.shape != edges.shape or b.shape != edges.shape:
        raise ModelError(
            "a bar needs at least two stations, each with a thickness and a width, got "
            f"{edges.size} positions, {h.size} thicknesses and {b.size} widths; add what is missing"
        )
    return Cantilever(
        edges=edges,
        thickness=np.column_stack([h[:-1], h[1:]]),
        width=np.column_stack([b[:-1], b[1:]]),
        youngs_modulus=youngs_modulus,
        density=density,
        tip_mass=tip_mass,
    )


def subdivided(
    cantilever: Cantilever, extra_edges: Sequence[float] | NDArray[np.float64]
) -> Cantilever:
    """Return the same bar cut into more pieces at ``extra_edges`` (metres, 0 to the length)."""
    old = cantilever.edges
    edges = np.union1d(old, np.asarray(extra_edges, dtype=np.float64))
    parent = np.searchsorted(old, edges[:-1], side="right") - 1
    if parent.min() < 0 or parent.max() >= old.size - 1:
        raise ModelError(
            f"a bar can be divided between 0 and its length {1e3 * cantilever.length:g} mm "
            f"only, got {1e3 * edges[0]:g} to {1e3 * edges[-1]:g} mm; keep inside"
        )
    ends = np.column_stack([edges[:-1], edges[1:]])
    fraction = (ends - old[parent, None]) / np.diff(old)[parent, None]

    def between(section: NDArray[np.float64]) -> NDArray[np.float64]:
        start, end = section[parent].T
        # Written so that a fraction of 1 gives the end exactly (zero at a point).
        return np.asarray(start[:, None] * (1.0 - fraction) + end[:, None] * fraction)

    return replace(
        cantilever,
        edges=edges,
        thickness=between(cantilever.thickness),
        width=between(cantilever.width),
    )


def thinned(cantilever: Cantilever, *, start: float, stop: float, depth: float) -> Cantilever:
    """Return the bar with ``depth`` metres of thickness taken off between two places.

    The cut is uniform with square ends, from one face; the bar stays straight (the
    shift of its middle plane by half the depth is left out, of second order in
    depth/length).

    Raises
    ------
    ModelError
        If the zone is not inside the bar or nothing would be left of it.
    """
    if not 0.0 <= start < stop <= cantilever.length:
        raise ModelError(
            f"a cut must lie between 0 and the length {1e3 * cantilever.length:g} mm, got "
            f"{1e3 * start:g} to {1e3 * stop:g} mm; choose a zone inside the tongue"
        )
    pieces = subdivided(cantilever, [start, stop])
    is_cut = (pieces.edges[:-1] >= start) & (pieces.edges[1:] <= stop)
    left = pieces.thickness - depth * is_cut[:, None]
    if depth > 0.0 and not left[is_cut].min() > 0.0:
        raise ModelError(
            f"a cut must leave metal, {1e6 * depth:g} um is more than there is between "
            f"{1e3 * start:g} and {1e3 * stop:g} mm; take off less"
        )
    return replace(pieces, thickness=left)


def _check_edges(edges: NDArray[np.float64]) -> None:
    if not np.all(np.isfinite(edges)):
        raise ModelError("positions must be finite numbers, got nan or infinity; correct them")
    if edges[0] != 0.0:
        raise ModelError(
            f"the first station must be at the clamp, x = 0, got {1e3 * edges[0]:g} mm; "
            "measure from the clamp, or add the station at the clamp"
        )
    steps = np.diff(edges)
    if not np.all(steps > 0.0):
        at = int(np.argmax(~(steps > 0.0)))
        raise ModelError(
            "stations must go from root to tip, each further out than the one before, got "
            f"{1e3 * edges[at + 1]:g} mm after {1e3 * edges[at]:g} mm; put them in order"
        )


def _check_section(name: str, section: NDArray[np.float64], edges: NDArray[np.float64]) -> None:
    ends = np.column_stack([edges[:-1], edges[1:]])
    is_good = section > 0.0  # false for nan too
    is_good[-1, 1] = section[-1, 1] >= 0.0
    is_good &= np.isfinite(section)
    if not is_good.all():
        at = np.unravel_index(int(np.argmin(is_good)), section.shape)
        raise ModelError(
            f"the {name} must be above zero everywhere (zero only at the very tip), got "
            f"{1e3 * section[at]:g} mm at {1e3 * ends[at]:g} mm from the root; correct it"
        )
