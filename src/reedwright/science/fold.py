"""The geometry of a polygonal bellows: thick rigid cards, gaps at the corners, exact volumes.

A bellows has ``sides`` equal sides and ``folds`` equal folds; each fold is a peak between
two valleys, so each side has two cards a fold. A card is rigid. In each fold the peak hinge
lies on the face of the card that touches its partner, the valley hinge on the other face.
The line from hinge to hinge then has the length ``H = sqrt(h^2 + t^2)`` and, when all is
shut, the angle ``atan(t / h)`` to the plane of the fold, with h the depth of the card and
t half the closed pitch of a fold. Everything else is the geometry of panels without
thickness, H deep, at angles from that one upwards; half of the cards' own volume lies
inside those panels.

A polyhedron with rigid faces and closed corners cannot change its volume (Connelly, Sabitov
and Walz, "The bellows conjecture", 1997), so a bellows needs gaps at its corners that open
or close as it moves. ``peak_share`` says which: 1 moves the peaks inwards and closes the
peak gaps, 0 moves the valleys outwards and opens the valley gaps.

Conventions: SI throughout, angles in radians; an *apothem* is half the distance across
flats; an *angle* is the tilt of the line from hinge to hinge, half the included angle of a
fold. Left out: the stretch of leather, pleats of slack gussets, bulging and sagging. All
formulas are derived by elementary geometry (docs/theory/bellows.md) and are checked against
meshes and coordinates in tests/validation/test_bellows_meshes.py.
"""

import math
from dataclasses import dataclass

from reedwright.errors import ModelError

__all__ = [
    "FoldState",
    "FoldedRing",
    "corner_demand",
    "float_range",
    "fold_state",
    "opening_limit",
    "valley_clearance",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class FoldedRing:
    """A bellows as built: what does not change when it moves.

    ``peak_apothem`` is that of the peaks when closed, ``card_depth`` the depth h of a card,
    ``half_pitch`` half the closed pitch t of a fold. ``peak_gap`` and ``valley_gap`` are the
    distances between neighbouring cards at their peak and valley corners when closed.
    Lengths in metres.
    """

    sides: int
    folds: int
    peak_apothem: float
    card_depth: float
    half_pitch: float
    peak_share: float
    peak_gap: float
    valley_gap: float

    @property
    def half_corner(self) -> float:
        """Half the angle a side is seen under from the axis, pi / sides."""
        return math.pi / self.sides

    @property
    def hinge_width(self) -> float:
        """Distance H from peak hinge to valley hinge."""
        return math.hypot(self.card_depth, self.half_pitch)

    @property
    def closed_angle(self) -> float:
        """Angle of the line from hinge to hinge when the folds are shut."""
        return math.atan2(self.half_pitch, self.card_depth)

    @property
    def valley_apothem(self) -> float:
        """Apothem of the valleys when closed."""
        return self.peak_apothem - self.card_depth

    @property
    def long_edge(self) -> float:
        """Edge of a card at the peak."""
        return self._edge(self.peak_apothem, self.peak_gap)

    @property
    def short_edge(self) -> float:
        """Edge of a card at the valley."""
        return self._edge(self.valley_apothem, self.valley_gap)

    def _edge(self, apothem: float, gap: float) -> float:
        al = self.half_corner
        return (2.0 * apothem * math.sin(al) - gap) / math.cos(al)


@dataclass(frozen=True, slots=True, kw_only=True)
class FoldState:
    """A bellows at one opening.

    ``gap_angle`` is the angle between the ends of neighbouring cards, positive where they
    part towards the valley. ``volume`` is that inside the panels from hinge to hinge;
    ``effective_area`` is its derivative by the length, so that a pressure difference pushes
    the ends apart with pressure times effective area (virtual work), the pull of the sloping
    cards included.
    """

    angle: float
    length: float
    peak_apothem: float
    valley_apothem: float
    peak_gap: float
    valley_gap: float
    gap_angle: float
    volume: float
    effective_area: float


def corner_demand(*, sides: int, card_depth: float, half_pitch: float, angle: float) -> float:
    """Return by how much the gap at one corner must change between closed and an angle.

    ``2 sin(pi / n) (h - H cos(angle))``: 0 when closed, whichever end of the corner gives.
    """
    width = math.hypot(card_depth, half_pitch)
    return 2.0 * math.sin(math.pi / sides) * (card_depth - width * math.cos(angle))


def valley_clearance(*, sides: int, card_thickness: float, tilt: float) -> float:
    """Return the gap that the cards' thickness takes up at a valley corner.

    The inner face of a tilted card comes nearer to its neighbour: by
    ``2 t_c sin(tilt) sin(pi / n)`` for both. ``tilt`` is that of the card itself, the angle
    less the closed angle. Taken for a card whose outer face lies at the valley hinge.
    """
    return 2.0 * card_thickness * math.sin(tilt) * math.sin(math.pi / sides)


def fold_state(ring: FoldedRing, angle: float) -> FoldState:
    """Return the bellows at an angle.

    A level cut is a polygon with cut corners, ``n tan(al) (a^2 - g^2 / 4)``; apothem a and
    gap g are linear in height, so the volume ``x S`` is exact:
    ``S = n tan(al) [(a_o^2 + a_o a_i + a_i^2) / 3 - (g_o^2 + g_o g_v + g_v^2) / 12]``, and
    ``dV/dx = S + tan(angle) dS/dangle``.

    Raises
    ------
    ModelError
        If the angle is less than the closed angle, or not below a right angle.
    """
    closed = ring.closed_angle
    # A hair of tolerance: the closed angle itself comes back from degrees.
    if not closed * (1.0 - 1e-12) <= angle < math.pi / 2.0:
        raise ModelError(
            f"a card tilts from {math.degrees(closed):.2f} degrees, shut, to less than 90, got "
            f"{math.degrees(angle):.2f}; give an opening between them"
        )
    n, k, al = ring.sides, ring.folds, ring.half_corner
    H, lam = ring.hinge_width, ring.peak_share
    sin_al, tan_al = math.sin(al), math.tan(al)
    shrink = ring.card_depth - H * math.cos(angle)
    a_o = ring.peak_apothem - lam * shrink
    a_i = ring.valley_apothem + (1.0 - lam) * shrink
    g_o = ring.peak_gap - 2.0 * sin_al * lam * shrink
    g_v = ring.valley_gap + 2.0 * sin_al * (1.0 - lam) * shrink
    length = 2.0 * k * H * math.sin(angle)
    section = (
        n * tan_al * ((a_o**2 + a_o * a_i + a_i**2) / 3.0 - (g_o**2 + g_o * g_v + g_v**2) / 12.0)
    )
    # Derivatives by the angle; each gap follows its apothem.
    da_o = -lam * H * math.sin(angle)
    da_i = (1.0 - lam) * H * math.sin(angle)
    dg_o, dg_v = 2.0 * sin_al * da_o, 2.0 * sin_al * da_i
    section_change = (
        n
        * tan_al
        * (
            ((2.0 * a_o + a_i) * da_o + (2.0 * a_i + a_o) * da_i) / 3.0
            - ((2.0 * g_o + g_v) * dg_o + (2.0 * g_v + g_o) * dg_v) / 12.0
        )
    )
    taper = math.atan2(ring.long_edge - ring.short_edge, 2.0 * H)
    sine = math.sin(taper) * math.cos(al) - math.cos(taper) * math.cos(angle) * sin_al
    return FoldState(
        angle=angle,
        length=length,
        peak_apothem=a_o,
        valley_apothem=a_i,
        peak_gap=g_o,
        valley_gap=g_v,
        gap_angle=2.0 * math.asin(sine),
        volume=length * section,
        effective_area=section + math.tan(angle) * section_change,
    )


def opening_limit(
    ring: FoldedRing, *, valley_width: float, least_peak_gap: float, stretch: float = 0.0
) -> float:
    """Return the angle at which the corners have given all they can.

    The valley gap may open to the width of its leather, ``valley_width``, and that leather
    stretch by the fraction ``stretch``; the peak gap may close to ``least_peak_gap``. A
    right angle where the corners could give even more, the closed angle where they have
    nothing to give.
    """
    budget = valley_width * (1.0 + stretch) - ring.valley_gap + ring.peak_gap - least_peak_gap
    cosine = (ring.card_depth - budget / (2.0 * math.sin(ring.half_corner))) / ring.hinge_width
    return max(math.acos(min(max(cosine, 0.0), 1.0)), ring.closed_angle)


def float_range(
    ring: FoldedRing,
    angle: float,
    *,
    peak_width: float,
    valley_width: float,
    least_peak_gap: float,
    least_valley_gap: float,
) -> tuple[float, float]:
    """Return how far inwards and outwards the ring may stand at an angle, metres.

    Both are displacements of the peaks from where they are when closed, positive outwards.
    Leather slack at both ends of a corner leaves the ring free between them: the press
    drives it to the outer one, the draw to the inner. The first is the greater where
    neither end has enough.
    """
    demand = corner_demand(
        sides=ring.sides, card_depth=ring.card_depth, half_pitch=ring.half_pitch, angle=angle
    )
    unit = 2.0 * math.sin(ring.half_corner)
    inner = max(least_peak_gap - ring.peak_gap, least_valley_gap - ring.valley_gap - demand)
    outer = min(peak_width - ring.peak_gap, valley_width - ring.valley_gap - demand)
    return inner / unit, outer / unit
