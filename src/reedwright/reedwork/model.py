"""What reed work is given and what it gives back."""

from dataclasses import dataclass
from enum import StrEnum

__all__ = ["FilingPlan", "FilingStep", "Metal", "Station", "Tongue", "Verdict", "Zone"]


@dataclass(frozen=True, slots=True)
class Metal:
    """A tongue metal; every figure editable in the catalogue, with its evidence."""

    metal: str
    youngs_modulus_pa: float
    density_kg_m3: float
    temperature_coefficient_cents_per_k: float
    evidence: str


@dataclass(frozen=True, slots=True)
class Station:
    """The section of a tongue at a distance from the root."""

    x_mm: float
    thickness_mm: float
    width_mm: float


@dataclass(frozen=True, slots=True)
class Tongue:
    """A tongue clamped at its root: stations from root to tip, linear between them.

    ``is_assumed`` is True when the dimensions come from the default scale and not
    from a measurement; ``thickness_doubt_fraction`` and ``length_doubt_fraction``
    are the one-sigma doubts of the dimensions as fractions.
    """

    metal: Metal
    stations: tuple[Station, ...]
    tip_mass_mg: float
    is_assumed: bool
    thickness_doubt_fraction: float
    length_doubt_fraction: float


class Zone(StrEnum):
    """Where metal comes off: the tip raises the pitch, the root lowers it."""

    TIP = "tip"
    ROOT = "root"


class Verdict(StrEnum):
    """What the plan says of a reed."""

    LEAVE = "leave"
    FILE = "file"
    TIP_WEIGHT = "tip weight"
    NEW_TONGUE = "new tongue"
    LISTEN_AGAIN = "listen again"


@dataclass(frozen=True, slots=True)
class FilingStep:
    """One stop-short step: file to this depth, then measure.

    ``expected_offset_cents`` is where the reed should then stand re its target,
    ``expected_doubt_cents`` the one-sigma doubt of that.
    """

    depth_um: float
    mass_mg: float
    expected_offset_cents: float
    expected_doubt_cents: float


@dataclass(frozen=True, slots=True)
class FilingPlan:
    """What to do with one reed.

    The zone runs from ``zone_from_mm`` to ``zone_to_mm``, both measured from the
    end that ``zone`` names. ``depth_um`` is the whole cut, uniform over the zone,
    ``depth_doubt_um`` its one-sigma doubt. ``thinnest_mm`` is the thinnest section
    of the tongue that is left. ``sentence`` says it in words of the bench;
    ``assumptions`` names what was not measured. A verdict other than FILE has no
    zone, no depth and no steps.
    """

    key: str
    direction: str
    verdict: Verdict
    change_cents: float | None
    zone: Zone | None
    zone_from_mm: float | None
    zone_to_mm: float | None
    depth_um: float | None
    depth_doubt_um: float | None
    mass_mg: float | None
    thinnest_mm: float | None
    steps: tuple[FilingStep, ...]
    sentence: str
    assumptions: tuple[str, ...]
