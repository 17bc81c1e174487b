"""The parts list of an instrument, computed from its layout.

Counts follow from the model: a reed for each note, a chamber, a pad, a lever, a
spring and a post for each key, and what an air button adds. Bellows counts are
those of n sides and k folds (docs/theory/bellows.md): 2nk cards, nk gussets, nk peak
strips, n(k-1) valley strips, 2n frame strips. Where instruments differ the count
is a choice with a default of common practice (docs/sources.md), to be set by
whoever has the instrument open: gussets and bolts above all are to be counted.

Single action: press reeds only, no valves and no pins, inlet valves instead.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from reedwright.errors import InputError
from reedwright.instrument.evidence import EvidenceMark
from reedwright.instrument.layout import Action, Layout, Side, System
from reedwright.instrument.part_mass import FrameMetal, PartFigures, growth_factor
from reedwright.instrument.views import USUAL_ACROSS_FLATS_MM

__all__ = ["PARTS", "PartGroup", "PartLine", "PartsChoices", "PartsList", "parts_list"]


class PartGroup(StrEnum):
    """Where in the instrument a part belongs."""

    REEDS = "reeds"
    ACTION = "action"
    ENDS = "ends"
    BELLOWS = "bellows"


#: Every part there can be, with its title and group, in the order of a list.
PARTS = {
    "reed_tongue": ("reed tongues", PartGroup.REEDS),
    "reed_frame": ("reed frames", PartGroup.REEDS),
    "clamp_bar": ("clamps", PartGroup.REEDS),
    "clamp_screw": ("clamp screws", PartGroup.REEDS),
    "valve": ("valves", PartGroup.REEDS),
    "valve_pin": ("valve pins", PartGroup.REEDS),
    "chamber": ("chambers", PartGroup.REEDS),
    "button": ("buttons", PartGroup.ACTION),
    "cross_hole_bush": ("cross-hole bushes", PartGroup.ACTION),
    "foot_washer": ("foot washers", PartGroup.ACTION),
    "end_plate_bush": ("end-plate bushes", PartGroup.ACTION),
    "lever": ("levers", PartGroup.ACTION),
    "pivot_post": ("pivot posts", PartGroup.ACTION),
    "spring": ("springs", PartGroup.ACTION),
    "pad_leather": ("pads: leather", PartGroup.ACTION),
    "pad_felt": ("pads: felt", PartGroup.ACTION),
    "pad_card": ("pads: card", PartGroup.ACTION),
    "grommet": ("grommets", PartGroup.ACTION),
    "pad_cap": ("pad-top caps", PartGroup.ACTION),
    "end_plate": ("end plates", PartGroup.ENDS),
    "end_box": ("end boxes", PartGroup.ENDS),
    "action_board": ("action boards", PartGroup.ENDS),
    "reed_pan": ("reed pans", PartGroup.ENDS),
    "pan_block": ("pan blocks", PartGroup.ENDS),
    "chamois_ring": ("chamois rings", PartGroup.ENDS),
    "wall_gasket": ("gaskets on chamber walls", PartGroup.ENDS),
    "end_bolt": ("end bolts", PartGroup.ENDS),
    "nut_plate": ("nut plates", PartGroup.ENDS),
    "nut_plate_screw": ("nut-plate screws", PartGroup.ENDS),
    "baffle": ("baffles", PartGroup.ENDS),
    "inlet_valve": ("inlet valves", PartGroup.ENDS),
    "thumb_strap": ("thumb straps", PartGroup.ENDS),
    "finger_plate": ("finger plates", PartGroup.ENDS),
    "hand_strap": ("hand straps", PartGroup.ENDS),
    "hand_rail": ("hand rails", PartGroup.ENDS),
    "bellows_frame": ("bellows frames", PartGroup.BELLOWS),
    "card": ("cards", PartGroup.BELLOWS),
    "gusset": ("gussets", PartGroup.BELLOWS),
    "peak_strip": ("peak strips (top runs)", PartGroup.BELLOWS),
    "valley_strip": ("valley strips", PartGroup.BELLOWS),
    "frame_strip": ("frame strips (end runs)", PartGroup.BELLOWS),
    "bellows_paper": ("bellows papers", PartGroup.BELLOWS),
}

#: Parts whose mass follows the note of each reed.
_BY_NOTE = frozenset({"reed_tongue", "reed_frame", "valve"})

#: left, right, and belonging to neither end.
_Count = tuple[int, int, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class PartsChoices:
    """What differs between instruments of one layout; defaults are common practice, no source.

    ``end_bolts_per_end`` None means one for each side of the end. A riveted or
    dovetailed reed has no clamp. ``inlet_valves_per_end`` counts on single-action
    instruments only. ``has_papers`` means a paper on every card.
    """

    frame_metal: FrameMetal = FrameMetal.BRASS
    are_reeds_clamped: bool = True
    screws_per_clamp: int = 2
    valve_pins_per_chamber: int = 1
    foot_washers_per_key: int = 1
    have_buttons_bushes: bool = True
    are_end_plates_bushed: bool = True
    have_pads_caps: bool = False
    end_bolts_per_end: int | None = None
    screws_per_nut_plate: int = 2
    baffles_per_end: int = 0
    inlet_valves_per_end: int = 1
    folds: int = 6
    has_papers: bool = True
    across_flats_mm: float = USUAL_ACROSS_FLATS_MM


@dataclass(frozen=True, slots=True)
class PartLine:
    """One kind of part: how many on each end and elsewhere, and what all of them weigh."""

    part: str
    title: str
    group: PartGroup
    left: int
    right: int
    shared: int
    mass_g: float
    evidence_mark: EvidenceMark
    working: str

    @property
    def total(self) -> int:
        """How many in the whole instrument."""
        return self.left + self.right + self.shared

    @property
    def mass_each_g(self) -> float:
        """Mean mass of one, grams."""
        return self.mass_g / self.total


@dataclass(frozen=True, slots=True)
class PartsList:
    """Every part of an instrument; parts it does not have are left out.

    ``mass_doubt_g`` is the one-sigma doubt of the total mass.
    """

    layout: str
    choices: PartsChoices
    keys: int
    lines: tuple[PartLine, ...]
    mass_g: float
    mass_doubt_g: float

    @property
    def pieces(self) -> int:
        """How many pieces in all."""
        return sum(line.total for line in self.lines)

    @property
    def pieces_per_key(self) -> float:
        """Pieces of action and reeds together, for each key."""
        groups = (PartGroup.REEDS, PartGroup.ACTION)
        return sum(line.total for line in self.lines if line.group in groups) / self.keys

    def total(self, part: str) -> int:
        """Return how many of a part there are, 0 where there is none; KeyError if unknown."""
        PARTS[part]
        return next((line.total for line in self.lines if line.part == part), 0)


def parts_list(
    layout: Layout, figures: PartFigures, choices: PartsChoices | None = None
) -> PartsList:
    """Return the parts of an instrument with counts for each end and estimated masses.

    Raises
    ------
    InputError
        If the layout is a blank form, or a choice is out of range.
    """
    choices = choices or PartsChoices()
    _check(layout, choices)
    lines = []
    for part, (left, right, shared) in _counts(layout, choices).items():
        if left + right + shared == 0:
            continue
        title, group = PARTS[part]
        if part in _BY_NOTE:
            mass_g = _mass_by_note_g(part, layout, figures, choices)
            mark, working = figures.reed_evidence_mark, figures.reed_working
        else:
            mass = figures.parts[part]
            mass_g = (
                (left + right + shared)
                * mass.mass_g
                * growth_factor(
                    mass.growth, sides=layout.sides, across_flats_mm=choices.across_flats_mm
                )
            )
            mark, working = mass.evidence_mark, mass.working
        lines.append(PartLine(part, title, group, left, right, shared, mass_g, mark, working))
    whole_g = sum(line.mass_g for line in lines)
    return PartsList(
        layout=layout.layout,
        choices=choices,
        keys=len(layout.keys),
        lines=tuple(lines),
        mass_g=whole_g,
        mass_doubt_g=whole_g * figures.doubt_fraction,
    )


def _check(layout: Layout, choices: PartsChoices) -> None:
    if layout.is_blank:
        raise InputError(
            f"a parts list counts the reeds of a layout, {layout.layout!r} is a blank form; "
            "let the instrument teach it first"
        )
    if not 1 <= choices.folds <= 30:
        raise InputError(
            f"bellows have from 1 to 30 folds, got {choices.folds}; count the peaks of one side"
        )
    numbers = {
        "screws_per_clamp": choices.screws_per_clamp,
        "valve_pins_per_chamber": choices.valve_pins_per_chamber,
        "foot_washers_per_key": choices.foot_washers_per_key,
        "end_bolts_per_end": choices.end_bolts_per_end or 0,
        "screws_per_nut_plate": choices.screws_per_nut_plate,
        "baffles_per_end": choices.baffles_per_end,
        "inlet_valves_per_end": choices.inlet_valves_per_end,
    }
    for name, number in numbers.items():
        if number < 0:
            raise InputError(f"a count is 0 or more, got {name} = {number}; correct it")


def _counts(layout: Layout, choices: PartsChoices) -> Mapping[str, _Count]:
    """Return left, right and shared counts of every part."""
    keys = {side: len(layout.side_keys(side)) for side in Side}
    levers = {side: keys[side] + (layout.air_button is side) for side in Side}
    reeds = {
        side: sum(1 for reed in layout.reeds() if layout.key(reed.key).side is side)
        for side in Side
    }
    is_double = layout.action is Action.DOUBLE
    is_english = layout.system is System.ENGLISH
    bolts = layout.sides if choices.end_bolts_per_end is None else choices.end_bolts_per_end
    sides, folds = layout.sides, choices.folds

    def each(number: Mapping[Side, int], times: int = 1) -> _Count:
        return times * number[Side.LEFT], times * number[Side.RIGHT], 0

    def ends(number: int) -> _Count:
        return number, number, 0

    clamps = int(choices.are_reeds_clamped)
    counts = {
        "reed_tongue": each(reeds),
        "reed_frame": each(reeds),
        "clamp_bar": each(reeds, clamps),
        "clamp_screw": each(reeds, clamps * choices.screws_per_clamp),
        "valve": each(reeds, int(is_double)),
        "valve_pin": each(keys, int(is_double) * choices.valve_pins_per_chamber),
        "chamber": each(keys),
        "button": each(levers),
        "cross_hole_bush": each(levers, int(choices.have_buttons_bushes)),
        "foot_washer": each(levers, choices.foot_washers_per_key),
        "end_plate_bush": each(levers, int(choices.are_end_plates_bushed)),
        **{part: each(levers) for part in ("lever", "pivot_post", "spring", "pad_leather")},
        **{part: each(levers) for part in ("pad_felt", "pad_card", "grommet")},
        "pad_cap": each(levers, int(choices.have_pads_caps)),
        **{part: ends(1) for part in ("end_plate", "end_box", "action_board", "reed_pan")},
        "pan_block": ends(sides),
        "chamois_ring": ends(1),
        "wall_gasket": each(keys),
        "end_bolt": ends(bolts),
        "nut_plate": ends(bolts),
        "nut_plate_screw": ends(bolts * choices.screws_per_nut_plate),
        "baffle": ends(choices.baffles_per_end),
        "inlet_valve": ends(0 if is_double else choices.inlet_valves_per_end),
        **{part: ends(int(is_english)) for part in ("thumb_strap", "finger_plate")},
        **{part: ends(int(not is_english)) for part in ("hand_strap", "hand_rail")},
        "bellows_frame": ends(1),
        "card": (0, 0, 2 * sides * folds),
        "gusset": (0, 0, sides * folds),
        "peak_strip": (0, 0, sides * folds),
        "valley_strip": (0, 0, sides * (folds - 1)),
        "frame_strip": (0, 0, 2 * sides),
        "bellows_paper": (0, 0, 2 * sides * folds * int(choices.has_papers)),
    }
    return {part: counts[part] for part in PARTS}


def _mass_by_note_g(
    part: str, layout: Layout, figures: PartFigures, choices: PartsChoices
) -> float:
    notes = [layout.note(reed) for reed in layout.reeds()]
    if part == "reed_tongue":
        return sum(figures.tongue_mass_g(note) for note in notes)
    if part == "reed_frame":
        return sum(figures.frame_mass_g(note, choices.frame_metal) for note in notes)
    return sum(figures.valve_mass_g(note) for note in notes)
