"""What is known of strokes: the tools, what was scraped, what a stroke does.

Conventions: an offset is re the reed's target, > 0 sharp. A *shift* is told in the
direction the zone moves the pitch (tip up, root down), so it is positive when the
file does what it should. Doubts are one sigma; doubts of logarithms are fractions.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

from reedwright.instrument.layout import Reed
from reedwright.reedwork.model import Zone

__all__ = [
    "Advice",
    "BenchReading",
    "BenchReed",
    "FilingTool",
    "LearningRules",
    "PredictedShift",
    "Scrape",
    "StrokeRate",
    "VisitRules",
    "VisitVerdict",
    "ZoneResponse",
]

#: Standard deviations from the middle of a normal distribution to the ends of its 95 %.
SIGMAS_95 = 1.959963984540054


@dataclass(frozen=True, slots=True)
class FilingTool:
    """A file or scraper; every figure editable in the catalogue, with its evidence.

    ``depth_um_per_stroke`` is what one stroke takes off steel over a whole zone: only
    a start, the tool's own factor is learned. ``metal_factors`` says how many times
    as much it takes off other metals, by name. ``stroke_s`` is the time of a stroke.
    """

    tool: str
    title: str
    depth_um_per_stroke: float
    metal_factors: tuple[tuple[str, float], ...]
    stroke_s: float
    evidence: str

    def depth_um_in(self, metal: str) -> float:
        """Return what a stroke takes off a metal; one not listed files like steel."""
        return self.depth_um_per_stroke * dict(self.metal_factors).get(metal, 1.0)


@dataclass(frozen=True, slots=True)
class LearningRules:
    """How much strokes differ before anything was learned; all are log standard deviations.

    The factor of a stroke is the product of: the tool's own (``tool``), the tool's in
    this metal (``tool_in_metal``), the tool's in this octave (``tool_in_octave``), the
    model's at this zone (``zone``), the reed's own (``reed``), the reed's at this zone
    (``reed_at_zone``). ``stroke`` is how single strokes differ among themselves.
    """

    tool: float = 0.25
    tool_in_metal: float = 0.14
    tool_in_octave: float = 0.08
    zone: float = 0.15
    reed: float = 0.20
    reed_at_zone: float = 0.15
    stroke: float = 0.30

    @property
    def stroke_variance(self) -> float:
        """Variance of one stroke over the square of its mean, strokes being log-normal."""
        return math.expm1(self.stroke**2)


@dataclass(frozen=True, slots=True)
class ZoneResponse:
    """What the beam model says of filing one end of a tongue.

    ``cents_per_um`` > 0: how far the pitch moves (tip up, root down) when 1 um comes
    off all over the zone. ``deepest_um`` is the most that may come off it in all. The
    zone runs from ``zone_from_mm`` to ``zone_to_mm``, measured from the end it names.
    """

    zone: Zone
    cents_per_um: float
    deepest_um: float
    zone_from_mm: float = 0.0
    zone_to_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class BenchReed:
    """A reed to be brought to pitch: what does not change while it is worked on.

    ``frequency_hz`` is its target's; ``metal`` its tongue's; ``instrument`` tells its
    reeds from those of other instruments that taught before.
    """

    reed: Reed
    frequency_hz: float
    metal: str
    tolerance_cents: float
    tip: ZoneResponse
    root: ZoneResponse
    instrument: str = ""

    def response(self, zone: Zone) -> ZoneResponse:
        """Return the response of one end."""
        return self.tip if zone is Zone.TIP else self.root

    @property
    def name(self) -> str:
        """Instrument, key and direction, as in ``L2.3 press``."""
        return f"{self.instrument} {self.reed.key} {self.reed.direction}".strip()


@dataclass(frozen=True, slots=True)
class BenchReading:
    """Where a reed was heard to stand re its target.

    ``doubt_cents`` is the reading's own; ``common_doubt_cents`` what all readings of
    the occasion share (the clock, the warmth, the offset of the bench), which no
    repeating averages away. ``minutes_since_filing`` is None for a reed not filed
    this day: it reads true; a fresh one is warm and reads flat. ``is_by_offset`` says
    that it was read on the bench and brought to the closed instrument by an offset.
    """

    offset_cents: float
    doubt_cents: float
    common_doubt_cents: float = 0.0
    minutes_since_filing: float | None = None
    is_by_offset: bool = False


@dataclass(frozen=True, slots=True)
class Scrape:
    """One visit of the file to a reed: so many strokes of a tool, before and after.

    ``frequency_hz`` is the target's. ``cents_per_um`` is what the beam model said of
    the zone then. ``predicted_cents`` and ``predicted_doubt_cents`` are the shift that
    was foretold, None where nothing was.
    """

    reed: Reed
    frequency_hz: float
    metal: str
    zone: Zone
    tool: str
    strokes: int
    cents_per_um: float
    before: BenchReading
    after: BenchReading
    predicted_cents: float | None = None
    predicted_doubt_cents: float | None = None

    @property
    def shift_cents(self) -> float:
        """The shift found, > 0 in the direction the zone moves the pitch."""
        moved = self.after.offset_cents - self.before.offset_cents
        return moved if self.zone is Zone.TIP else -moved


@dataclass(frozen=True, slots=True)
class PredictedShift:
    """What so many strokes will do: mean, one-sigma doubt, and the 95 % interval, cents."""

    expected_cents: float
    doubt_cents: float
    low_cents: float
    high_cents: float


@dataclass(frozen=True, slots=True)
class StrokeRate:
    """How far one stroke of a tool moves a reed.

    ``cents_per_stroke`` is the middle (median) of what the mean stroke may be, and
    ``doubt_fraction`` its log standard deviation; ``stroke_fraction`` is how far single
    strokes differ, as a log standard deviation.
    """

    tool: str
    zone: Zone
    cents_per_stroke: float
    doubt_fraction: float
    stroke_fraction: float

    @property
    def low_cents_per_stroke(self) -> float:
        """Lower end of the 95 % interval."""
        return self.cents_per_stroke * math.exp(-SIGMAS_95 * self.doubt_fraction)

    @property
    def high_cents_per_stroke(self) -> float:
        """Upper end of the 95 % interval."""
        return self.cents_per_stroke * math.exp(SIGMAS_95 * self.doubt_fraction)

    def shift(self, strokes: int) -> PredictedShift:
        """Return what so many strokes (>= 1) will do; see ``log_shift``."""
        middle, spread = self.log_shift(strokes)
        mean = math.exp(middle + spread**2 / 2.0)
        return PredictedShift(
            expected_cents=mean,
            doubt_cents=mean * math.sqrt(math.expm1(spread**2)),
            low_cents=math.exp(middle - SIGMAS_95 * spread),
            high_cents=math.exp(middle + SIGMAS_95 * spread),
        )

    def log_shift(self, strokes: int) -> tuple[float, float]:
        """Return mean and standard deviation of the log of the shift of so many strokes, ln cents.

        The sum of n log-normal strokes is taken as log-normal of the same mean and
        variance, ``ln(1 + v / n)`` with v a stroke's (Fenton, IRE Trans. Commun. Syst.
        8 (1960) 57, from memory). Limits: strokes independent of one another.
        """
        of_strokes = math.log1p(math.expm1(self.stroke_fraction**2) / strokes)
        middle = math.log(self.cents_per_stroke * strokes) - of_strokes / 2.0
        return middle, math.sqrt(self.doubt_fraction**2 + of_strokes)


@dataclass(frozen=True, slots=True)
class VisitRules:
    """How a reed is brought to pitch; costs are in visits to the bench. Editable, no source.

    A reed is left when the chance that it stands within tolerance is at least
    ``least_chance_within``. It is filed only when that chance is at most
    ``most_chance_within``, and the fewer the readings (of ``most_readings``) the
    surer that must be, since every look is a chance to err. Between the two it is
    listened to again. Near the end the way to go must be known, too: the doubt of
    the reading is to be at most ``doubt_per_way`` of it.

    A stroke costs ``stroke_cost``. Past the tolerance on the far side, which the
    other end of the tongue must undo, costs ``overshoot_cost``; just outside the
    tolerance, by up to ``undecided_cents``, where it can neither be left nor filed
    with a good conscience, ``undecided_cost``; within but off the middle, up to
    ``off_centre_cost``. What is short costs one visit and one more for each factor
    ``nearer_per_visit`` of distance beyond ``finish_from`` tolerances.

    A tongue fresh from the file reads flat by ``warm_cents`` (with its doubt), fading
    by the factor e each ``warm_minutes``. A reed further off than
    ``largest_change_cents`` is not filed. What creeps in the days after is for the
    next occasion to hear.
    """

    most_chance_within: float = 0.01
    least_chance_within: float = 0.97
    most_readings: int = 120
    doubt_per_way: float = 0.03
    stroke_cost: float = 0.0005
    most_strokes: int = 150
    overshoot_cost: float = 20.0
    undecided_cents: float = 0.04
    undecided_cost: float = 130.0
    off_centre_cost: float = 0.3
    nearer_per_visit: float = 3.0
    finish_from: float = 2.0
    warm_cents: float = 2.0
    warm_doubt_cents: float = 1.0
    warm_minutes: float = 3.0
    largest_change_cents: float = 100.0


class VisitVerdict(StrEnum):
    """What to do with a reed now."""

    LEAVE = "leave"
    FILE = "file"
    LISTEN = "listen again"
    CHECK_IN_INSTRUMENT = "check in the instrument"
    TOO_THIN = "too thin to file"
    TOO_FAR = "too far to file"


@dataclass(frozen=True, slots=True)
class Advice:
    """What to do with one reed now.

    ``expected_cents`` is where it should then stand re its target, ``doubt_cents``
    the one-sigma doubt of that; of a reed not to be filed they say where it stands.
    ``chance_within`` is the chance that it will be (is) within tolerance,
    ``chance_past`` that it will be past it on the far side. ``zone``, ``tool`` and
    ``strokes`` are None, None and 0 unless the verdict is FILE.
    """

    reed: Reed
    verdict: VisitVerdict
    zone: Zone | None
    tool: str | None
    strokes: int
    expected_cents: float
    doubt_cents: float
    chance_within: float
    chance_past: float
    sentence: str
