"""What a bellows is asked to be, what it is made of, and what follows: frozen values.

Lengths in millimetres, volumes in litres, areas as their names say, angles in degrees.
An *opening* is one card's tilt, half the included angle of a fold, taken along the line
from hinge to hinge (``science.fold``).
"""

from dataclasses import dataclass
from enum import StrEnum

from reedwright.instrument.evidence import EvidenceMark

__all__ = [
    "Allowances",
    "BellowsDesign",
    "BellowsFigures",
    "Caution",
    "Counts",
    "Figure",
    "FoldCheck",
    "FoldsCompared",
    "Layers",
    "Load",
    "Material",
    "OpeningChoice",
    "OpeningState",
    "Part",
    "PeakRuns",
    "Slack",
    "WantedBellows",
]


class Slack(StrEnum):
    """Where a corner takes up its slack as the bellows opens."""

    PEAK = "peak"
    SHARED = "shared"
    VALLEY = "valley"

    @property
    def peak_share(self) -> float:
        """The share of the corner demand that is taken at the peak."""
        return {Slack.PEAK: 1.0, Slack.SHARED: 0.5, Slack.VALLEY: 0.0}[self]

    @property
    def in_words(self) -> str:
        """What gives, as it is told."""
        return {
            Slack.PEAK: "peak gusset, frame at the valleys",
            Slack.SHARED: "shared between peak and valley",
            Slack.VALLEY: "valley slack",
        }[self]


class PeakRuns(StrEnum):
    """How the leather along the peaks is cut: a piece for each side, or one round each fold."""

    SIDE = "side"
    FOLD = "fold"


@dataclass(frozen=True, slots=True, kw_only=True)
class Layers:
    """Thicknesses of what lies on one another in half a closed fold, one layer of each.

    ``packing_mm`` is what a closed bellows keeps besides: leather that will not lie flat.
    Negative where the layers are pressed together.
    """

    card_mm: float
    cloth_mm: float
    strip_mm: float
    gusset_mm: float
    packing_mm: float = 0.0

    @property
    def half_pitch_mm(self) -> float:
        """Half the closed pitch of a fold."""
        return self.card_mm + self.cloth_mm + self.strip_mm + self.gusset_mm + self.packing_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowances:
    """What a maker adds to the geometry. Defaults stand in the catalogue.

    ``strip_margin_mm`` is how far a strip or a hinge is glued on each card,
    ``gusset_margin_mm`` the same for a gusset, square to the card's end.
    ``strip_overlap_mm`` is added to the length of each strip. ``peak_gap_mm`` is what a
    peak corner keeps open at full opening, ``valley_gap_mm`` what a valley corner has when
    closed beyond the thickness clearance. ``end_run_on_frame_mm`` is how far an end run
    reaches on to the frame; ``paper_under_leather_mm`` how far a paper reaches under the
    leather around it. ``frame_wall_mm`` and ``frame_depth_mm`` are those of the frame's wood.
    """

    strip_margin_mm: float
    gusset_margin_mm: float
    strip_overlap_mm: float
    peak_gap_mm: float
    valley_gap_mm: float
    end_run_on_frame_mm: float
    paper_under_leather_mm: float
    frame_wall_mm: float
    frame_depth_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class WantedBellows:
    """What a bellows is to be. ``across_flats_mm`` is that of the closed peaks.

    ``chambers_l`` is the air of chambers and wells that cannot be played either; 0 leaves it
    out.
    """

    sides: int
    folds: int
    across_flats_mm: float
    depth_mm: float
    layers: Layers
    allowances: Allowances
    opening_deg: float
    slack: Slack = Slack.PEAK
    peak_runs: PeakRuns = PeakRuns.SIDE
    chambers_l: float = 0.0


@dataclass(frozen=True, slots=True)
class OpeningState:
    """The bellows at one opening.

    ``gap_angle_deg`` > 0 where neighbouring card ends part towards the valley.
    """

    opening_deg: float
    length_mm: float
    peak_across_flats_mm: float
    valley_across_flats_mm: float
    peak_gap_mm: float
    valley_gap_mm: float
    gap_angle_deg: float
    volume_l: float
    effective_area_cm2: float


@dataclass(frozen=True, slots=True)
class OpeningChoice:
    """What the same bellows would be, made to open so far: told to choose the opening by."""

    opening_deg: float
    open_length_mm: float
    stroke_mm: float
    corner_demand_mm: float
    air_per_stroke_l: float


@dataclass(frozen=True, slots=True)
class Load:
    """What a pressure difference asks of the player's arms, and the work of a whole stroke."""

    pressure_pa: float
    force_closed_n: float
    force_open_n: float
    work_per_stroke_j: float


@dataclass(frozen=True, slots=True)
class Counts:
    """How many pieces of each kind; ``frame_strips`` are the end runs, one for each side."""

    cards: int
    gussets: int
    peak_strips: int
    valley_strips: int
    frame_strips: int
    peak_hinges: int
    valley_hinges: int
    frame_rails: int
    frames: int
    papers: int


@dataclass(frozen=True, slots=True)
class Part:
    """One kind of part: count, sizes of its outline, material and the area of all of them.

    ``length_mm`` and ``width_mm`` are those of the box around the outline as it is drawn,
    the length along the drawing's x.
    """

    part: str
    title: str
    material: str
    count: int
    length_mm: float
    width_mm: float
    area_all_cm2: float


@dataclass(frozen=True, slots=True)
class Caution:
    """A warning: which one, and a sentence with the numbers that break it."""

    caution: str
    sentence: str


@dataclass(frozen=True, slots=True)
class FoldCheck:
    """Whether a bellows folds, tried in space at ``states`` openings from shut to open.

    ``worst_card_error_mm`` compares every edge and diagonal of every card in space with the
    flat card. ``least_corner_clearance_mm`` is the least distance between the bodies of two
    cards across a corner, ``least_fold_clearance_mm`` that between cards lying on each
    other in a fold; below 0 they would cut into each other. ``peak_leather_used`` and
    ``valley_leather_used`` are gap over leather: above 1 the leather would tear.
    ``reasons`` says what breaks; empty where it folds.
    """

    states: int
    worst_card_error_mm: float
    least_corner_clearance_mm: float
    least_corner_clearance_at_deg: float
    least_fold_clearance_mm: float
    least_peak_gap_mm: float
    peak_leather_used: float
    valley_leather_used: float
    reasons: tuple[str, ...]

    @property
    def is_folding(self) -> bool:
        """Whether nothing breaks."""
        return not self.reasons


@dataclass(frozen=True, slots=True, kw_only=True)
class BellowsDesign:
    """A whole bellows: sizes, parts, air, loads, how it moves, and what to look out for.

    Volumes are those inside the panels from hinge to hinge; ``cards_inside_l`` is the
    volume of card among them, to be taken off where the air itself is asked for.
    ``dead_air_l`` is the air shut in when closed, chambers included, and
    ``travel_per_kpa_mm`` how far the ends move to raise it by a kilopascal.
    ``end_run_give_mm`` is what the strip at the frame must give, 0 where the frame sits
    at the valleys. ``ring_float_mm`` is how far the ring may stand to and fro at full opening.
    """

    wanted: WantedBellows
    card_long_edge_mm: float
    card_short_edge_mm: float
    card_end_edge_mm: float
    card_end_taper_deg: float
    card_long_edge_angle_deg: float
    closed_tilt_deg: float
    closed_pitch_mm: float
    open_pitch_mm: float
    closed_length_mm: float
    open_length_mm: float
    stroke_mm: float
    corner_demand_mm: float
    opening_limit_deg: float
    peak_gap_closed_mm: float
    valley_gap_closed_mm: float
    valley_clearance_mm: float
    gusset_peak_mm: float
    gusset_valley_mm: float
    gusset_half_height_mm: float
    end_run_give_mm: float
    ring_float_mm: float
    volume_closed_l: float
    volume_open_l: float
    cards_inside_l: float
    air_per_stroke_l: float
    dead_air_l: float
    travel_per_kpa_mm: float
    effective_area_closed_cm2: float
    effective_area_open_cm2: float
    loads: tuple[Load, ...]
    choices: tuple[OpeningChoice, ...]
    states: tuple[OpeningState, ...]
    counts: Counts
    parts: tuple[Part, ...]
    folding: FoldCheck
    cautions: tuple[Caution, ...]


@dataclass(frozen=True, slots=True)
class FoldsCompared:
    """The same bellows with so many folds: what it plays, how bulky it is, what it costs to make.

    ``seconds_per_stroke`` is for the chord and the share of the stroke of the figures.
    """

    folds: int
    closed_length_mm: float
    open_length_mm: float
    stroke_mm: float
    air_per_stroke_l: float
    seconds_per_stroke: float
    cards: int
    hours_low: float
    hours_high: float


@dataclass(frozen=True, slots=True)
class Material:
    """A material of the bellows; ``grain`` says what lies along it, None where it has none."""

    material: str
    title: str
    thickness_mm: float
    grain: str | None
    evidence_mark: EvidenceMark
    evidence: str


@dataclass(frozen=True, slots=True)
class Figure:
    """One editable figure of the trade and where it comes from."""

    figure: str
    value: float
    evidence_mark: EvidenceMark
    evidence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BellowsFigures:
    """The figures of the catalogue: materials, allowances, openings, playing and hours.

    ``usual_opening_deg`` and ``cautious_opening_deg`` are the two openings told side by
    side. Playing: so many ``chord_notes`` of ``air_l_s_per_note``, using ``stroke_share``
    of the stroke. ``hours_low`` and ``hours_high`` are for a bellows of ``hours_cards`` cards.
    """

    layers: Layers
    allowances: Allowances
    usual_opening_deg: float
    cautious_opening_deg: float
    chord_notes: float
    air_l_s_per_note: float
    stroke_share: float
    hours_low: float
    hours_high: float
    hours_cards: float
    materials: tuple[Material, ...]
    figures: tuple[Figure, ...]

    def material(self, name: str) -> Material:
        """Return a material by its name; KeyError if there is none."""
        for material in self.materials:
            if material.material == name:
                return material
        raise KeyError(name)
