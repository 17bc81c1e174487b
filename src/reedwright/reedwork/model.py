"""What reed work is given and what it gives back."""

from dataclasses import dataclass
from enum import StrEnum

__all__ = [
    "FilingPlan",
    "FilingRules",
    "FilingStep",
    "Metal",
    "Station",
    "Tongue",
    "TongueModes",
    "TongueScale",
    "TongueScaleRow",
    "Verdict",
    "Zone",
]


@dataclass(frozen=True, slots=True)
class Metal:
    """A tongue metal; every figure editable in the catalogue, with its evidence.

    ``temperature_coefficient_cents_per_k`` is the change of pitch for one kelvin
    warmer (negative), with its one-sigma doubt; both None where it is not known.
    """

    metal: str
    youngs_modulus_pa: float
    density_kg_m3: float
    temperature_coefficient_cents_per_k: float | None
    temperature_coefficient_doubt_cents_per_k: float | None
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
    from a measurement. ``thickness_doubt_fraction`` and ``length_doubt_fraction``
    are the one-sigma doubts of the dimensions as fractions. Of an assumed tongue
    the pitch settles the thickness once the length is given (f goes as h / L^2),
    so its ``thickness_doubt_fraction`` is what remains then: the doubt of its
    profile and metal.
    """

    metal: Metal
    stations: tuple[Station, ...]
    tip_mass_mg: float
    is_assumed: bool
    thickness_doubt_fraction: float
    length_doubt_fraction: float

    @property
    def length_mm(self) -> float:
        """Free length."""
        return self.stations[-1].x_mm


@dataclass(frozen=True, slots=True)
class TongueModes:
    """What a tongue does by itself: no air, no frame, a clamp that does not give.

    ``neutral_point_fraction`` is where, from the root, metal may come off without a
    change of pitch. ``cents_per_um_mm`` says at each of ``positions_mm`` (from the
    root) how much the pitch rises when 1 um comes off over 1 mm of length there;
    ``cents_per_tip_mg`` what 1 mg more at the tip does (to first order; negative).
    ``mass_mg`` is the free tongue's, without the tip mass.
    """

    frequencies_hz: tuple[float, ...]
    neutral_point_fraction: float
    neutral_point_mm: float
    mass_mg: float
    positions_mm: tuple[float, ...]
    cents_per_um_mm: tuple[float, ...]
    cents_per_tip_mg: float


@dataclass(frozen=True, slots=True)
class TongueScaleRow:
    """What a tongue of one pitch is usually like.

    ``thickness_shape`` is the thickness at equal distances from root to tip, the
    root being 1. ``length_doubt_fraction`` is one sigma.
    """

    note: str
    frequency_hz: float
    length_mm: float
    length_doubt_fraction: float
    root_width_mm: float
    tip_width_mm: float
    thickness_shape: tuple[float, ...]
    evidence: str


@dataclass(frozen=True, slots=True)
class TongueScale:
    """Tongues by pitch, lowest first: what is assumed where nothing was measured.

    ``thickness_doubt_fraction`` is the one-sigma doubt that remains of the
    thickness where filing happens once length and pitch are given.
    """

    scale: str
    rows: tuple[TongueScaleRow, ...]
    thickness_doubt_fraction: float
    evidence: str


@dataclass(frozen=True, slots=True)
class FilingRules:
    """How far a file may go; every figure editable in the catalogue, with its evidence there.

    ``largest_change_cents``: above it nothing is filed.
    ``largest_tip_weight_change_cents``: above it down, no tip weight either.
    ``largest_tip_cut_fraction``, ``largest_root_cut_fraction``: deepest cut as a
    fraction of the thinnest place in its zone. ``thinnest_mm``: what must be left.
    ``zone_fraction``: length of a zone as a fraction of the tongue.
    ``clamp_clearance_mm``: how far a root zone stays from the clamp.
    ``whole_model_above_fraction``: cuts deeper than this fraction are solved with
    the whole model, shallower ones to first order.
    ``model_doubt_fraction``: one-sigma doubt of the pitch change the model gives.
    ``doubts_to_act``: a reed is filed only if its offset is so many doubts.
    ``step_fraction``: each stop is after this part of what is left to take off.
    ``most_stops``: stops before the end of the cut. ``first_stop_sigmas``: how many
    sigma of the depth the first keeps short of the end; ``least_first_fraction``:
    but it is not shallower than this part of the cut.
    ``largest_calibration_cents``: if a measured tongue's model is further from the
    pitch heard, it is measured again. ``crack_warning_cents``: a reed flatter than
    this is looked over for a crack before anything else.
    """

    largest_change_cents: float
    largest_tip_weight_change_cents: float
    largest_tip_cut_fraction: float
    largest_root_cut_fraction: float
    thinnest_mm: float
    zone_fraction: float
    clamp_clearance_mm: float
    whole_model_above_fraction: float
    model_doubt_fraction: float
    doubts_to_act: float
    step_fraction: float
    most_stops: int
    first_stop_sigmas: float
    least_first_fraction: float
    largest_calibration_cents: float
    crack_warning_cents: float


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
    MEASURE_AGAIN = "measure again"


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
    ``assumptions`` names what was not measured; ``care`` says what to look out for.
    A verdict other than FILE has no zone, no depth and no steps.

    ``mass_mg`` is the metal to take off; of a TIP_WEIGHT the solder to put on, or
    if negative to take off the weight that is there.
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
    care: tuple[str, ...] = ()
