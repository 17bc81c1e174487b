"""How deep a cut, or how heavy a tip weight, moves a tongue by so many cents.

Below ``reedwork`` lengths are metres and masses kilograms; so they are here.
"""

from dataclasses import dataclass

from reedwright.science.cantilever import Cantilever, subdivided, thinned
from reedwright.science.cantilever_modes import Modes, natural_modes
from reedwright.science.cantilever_sensitivity import cut_sensitivity, mass_sensitivity
from reedwright.units import CENTS_PER_NATURAL_LOG, cents_from_ratio, ratio_from_cents

__all__ = ["Cut", "tip_mass_for_change"]

#: Newton's steps end when the pitch is met so closely, cents, or after so many.
CLOSE_ENOUGH_CENTS = 1e-3
MOST_TRIES = 20


@dataclass(frozen=True, slots=True, eq=False)
class Cut:
    """Filing a bar evenly between two places; ``modes`` are those of the bar before.

    ``start`` and ``stop`` run from the root, metres.
    """

    bar: Cantilever
    modes: Modes
    start: float
    stop: float

    @property
    def thinnest(self) -> float:
        """The least thickness within the zone before the cut, metres."""
        pieces = subdivided(self.bar, [self.start, self.stop])
        is_inside = (pieces.edges[:-1] >= self.start) & (pieces.edges[1:] <= self.stop)
        return float(pieces.thickness[is_inside].min())

    def mass(self, depth: float) -> float:
        """Return the metal that a cut of a depth (metres) takes off, kilograms."""
        return self.bar.mass - self.thinned(depth).mass

    def slope_cents(self) -> float:
        """Return the change of pitch per metre of depth to first order, cents."""
        integral = cut_sensitivity(self.modes, start=self.start, stop=self.stop)
        return -integral * CENTS_PER_NATURAL_LOG

    def change_cents(self, depth: float) -> float:
        """Return the change of pitch by the whole model for a depth (metres)."""
        return self._after(depth)[0]

    def thinned(self, depth: float) -> Cantilever:
        """Return the bar after the cut."""
        return thinned(self.bar, start=self.start, stop=self.stop, depth=depth)

    def depth_for(self, change_cents: float, *, deepest: float) -> float | None:
        """Return the depth (metres) that gives a change by the whole model.

        Newton's method from the first-order depth; None if no depth up to
        ``deepest`` gives the change.
        """
        depth = min(change_cents / self.slope_cents(), deepest)
        for _ in range(MOST_TRIES):
            change, slope = self._after(depth)
            missing = change_cents - change
            if abs(missing) < CLOSE_ENOUGH_CENTS:
                return depth
            if slope * change_cents <= 0.0:
                return None  # deeper would turn the pitch back
            depth = min(max(depth + missing / slope, 0.0), deepest)
        return None

    def _after(self, depth: float) -> tuple[float, float]:
        """Return the change in cents after a cut, and its slope there per metre."""
        modes = natural_modes(self.thinned(depth), count=1)
        change = cents_from_ratio(float(modes.frequencies[0] / self.modes.frequencies[0]))
        integral = cut_sensitivity(modes, start=self.start, stop=self.stop)
        return change, -integral * CENTS_PER_NATURAL_LOG


def tip_mass_for_change(bar: Cantilever, modes: Modes, *, change_cents: float) -> float | None:
    """Return the tip mass (kilograms, all of it) that moves a bar by so many cents.

    Newton's method on 1/f^2, which is all but linear in the mass, by the whole
    model. None if the bar stays too flat even without a mass, or its tip is a point.

    Parameters
    ----------
    bar : Cantilever
        With the tip mass it has now.
    modes : Modes
        Its modes.
    change_cents : float
        Negative: a greater mass; positive: a smaller one.
    """
    if bar.is_pointed:
        return None
    target = float(modes.frequencies[0]) * ratio_from_cents(change_cents)
    mass = bar.tip_mass
    for _ in range(MOST_TRIES):
        ratio = float(modes.frequencies[0]) / target
        if abs(cents_from_ratio(ratio)) < CLOSE_ENOUGH_CENTS:
            return mass
        per_mass = float(mass_sensitivity(modes, bar.length))  # d ln f / d m, negative
        mass += (ratio**2 - 1.0) / (-2.0 * per_mass)
        if mass < 0.0:
            return None
        modes = natural_modes(bar.with_tip_mass(mass), count=1)
    return None
