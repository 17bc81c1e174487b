"""Refuses sizes that are no bellows, each with a number that would work."""

import math

from reedwright.bellows.model import Allowances, Layers, WantedBellows
from reedwright.errors import InputError, ModelError
from reedwright.science.fold import FoldedRing

__all__ = ["LARGEST_OPENING_DEG", "check_opening", "check_ring", "check_wanted"]

#: From here on a fold is flat: nothing would close it again.
LARGEST_OPENING_DEG = 90.0


def check_wanted(wanted: WantedBellows) -> None:
    """Refuse sizes out of every range met in the trade, most often a wrong unit.

    Raises
    ------
    InputError
        With the rule, the value and what would be accepted.
    """
    if not 4 <= wanted.sides <= 12:
        raise InputError(
            f"a bellows has from 4 to 12 sides, got {wanted.sides}; most have 6, 8 or 12"
        )
    if not 1 <= wanted.folds <= 30:
        raise InputError(
            f"a bellows has from 1 to 30 folds, got {wanted.folds}; count the peaks of one side"
        )
    _within("across_flats_mm", wanted.across_flats_mm, 40.0, 600.0, "6 1/4 in is 158.75 mm")
    _within("depth_mm", wanted.depth_mm, 5.0, 100.0, "1 1/8 in is 28.6 mm")
    _within("chambers_l", wanted.chambers_l, 0.0, 20.0, "half a litre is usual")
    _check_layers(wanted.layers)
    _check_allowances(wanted.allowances)
    check_opening(wanted.layers, wanted.depth_mm, wanted.opening_deg)


def check_opening(layers: Layers, depth_mm: float, opening_deg: float) -> None:
    """Refuse an opening that is no more than shut, or flat.

    Raises
    ------
    ModelError
        With the opening at which the folds are shut, and a depth that would do.
    """
    shut_deg = math.degrees(math.atan2(layers.half_pitch_mm, depth_mm))
    if not 0.0 < opening_deg < LARGEST_OPENING_DEG:
        raise ModelError(
            f"an opening is one card's tilt, above 0 and below {LARGEST_OPENING_DEG:g} degrees, "
            f"got {opening_deg:g}; traditional moulds have 45"
        )
    if not shut_deg < opening_deg:
        least_mm = layers.half_pitch_mm / math.tan(math.radians(opening_deg))
        raise ModelError(
            f"folds must close to less than they open: {2.0 * layers.half_pitch_mm:.2f} mm of "
            f"layers in a fold {depth_mm:g} mm deep stand at {shut_deg:.1f} degrees shut, and "
            f"{opening_deg:g} are asked for; make the depth more than {least_mm:.1f} mm or open "
            f"beyond {shut_deg:.1f} degrees"
        )


def check_ring(ring: FoldedRing) -> None:
    """Refuse cards without an edge: a ring so small that gaps and depth eat it up.

    Raises
    ------
    ModelError
        With the across flats that would leave an edge.
    """
    unit = 2.0 * math.sin(ring.half_corner)
    for edge, gap, inside, name in (
        (ring.short_edge, ring.valley_gap, ring.card_depth, "valley"),
        (ring.long_edge, ring.peak_gap, 0.0, "peak"),
    ):
        if edge <= 0.0:
            least_mm = 2e3 * (inside + gap / unit)
            raise ModelError(
                f"a card needs an edge at the {name}, got {1e3 * edge:.1f} mm with a fold "
                f"{1e3 * ring.card_depth:g} mm deep, {2e3 * ring.peak_apothem:g} mm across flats "
                f"and a gap of {1e3 * gap:.2f} mm; take more than {least_mm:.1f} mm across flats, "
                "or a smaller depth"
            )


def _check_layers(layers: Layers) -> None:
    _within("card_mm", layers.card_mm, 0.1, 5.0, "0.8 to 1.5 mm is usual")
    for name, thickness_mm in (
        ("cloth_mm", layers.cloth_mm),
        ("strip_mm", layers.strip_mm),
        ("gusset_mm", layers.gusset_mm),
    ):
        _within(name, thickness_mm, 0.0, 3.0, "0.2 to 0.7 mm is usual, 0 leaves it out")
    if not layers.half_pitch_mm >= layers.card_mm:
        raise InputError(
            f"half a closed fold is at least as thick as its card of {layers.card_mm:g} mm, got "
            f"{layers.half_pitch_mm:.2f} mm with a packing of {layers.packing_mm:g} mm; give a "
            f"packing of {layers.card_mm - layers.half_pitch_mm + layers.packing_mm:.2f} mm or more"
        )
    _within("packing_mm", layers.packing_mm, -3.0, 5.0, "0 means that the layers lie flat")


def _check_allowances(allowances: Allowances) -> None:
    for name, least_mm, largest_mm, usual in (
        ("peak_gap_mm", 0.0, 20.0, "about 1 mm is usual"),
        ("valley_gap_mm", 0.0, 20.0, "about 0.4 mm is usual"),
        ("strip_margin_mm", 1.0, 40.0, "6 mm is usual"),
        ("gusset_margin_mm", 1.0, 40.0, "6 mm is usual"),
        ("strip_overlap_mm", 0.0, 100.0, "12 mm is usual"),
        ("end_run_on_frame_mm", 1.0, 100.0, "6 mm holds it"),
        ("paper_under_leather_mm", 0.0, 20.0, "1 mm is enough"),
        ("frame_wall_mm", 1.0, 15.0, "about 6 mm is usual"),
        ("frame_depth_mm", 1.0, 100.0, "about 20 mm is usual"),
    ):
        _within(name, getattr(allowances, name), least_mm, largest_mm, usual)


def _within(name: str, value: float, low: float, high: float, remedy: str) -> None:
    if not low <= value <= high:
        raise InputError(f"{name} lies between {low:g} and {high:g}, got {value:g}; {remedy}")
