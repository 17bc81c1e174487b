"""From the wanted sizes of a bellows to the whole of it."""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from reedwright.bellows.cautions import cautions_of
from reedwright.bellows.checks import check_ring, check_wanted
from reedwright.bellows.folding import check_folding
from reedwright.bellows.model import (
    BellowsDesign,
    Load,
    OpeningChoice,
    OpeningState,
    WantedBellows,
)
from reedwright.bellows.outlines import paper_outlines
from reedwright.bellows.parts import counts_of, parts_of
from reedwright.science.fold import (
    FoldedRing,
    FoldState,
    corner_demand,
    float_range,
    fold_state,
    opening_limit,
    valley_clearance,
)
from reedwright.units import metres_from_mm, mm_from_metres

__all__ = ["PRESSURES_PA", "design_bellows", "opening_state", "ring_of"]

#: Soft, usual and hard playing, told for every bellows (from memory).
PRESSURES_PA = (300.0, 1000.0, 1500.0)

#: Standard atmosphere, pascals (ISO 2533).
_ATMOSPHERE_PA = 101325.0

_STATES = 11


def ring_of(wanted: WantedBellows) -> FoldedRing:
    """Return the ring that opens as far as wanted, its corner gaps chosen for it.

    The peak gap is what the peak gives on the way, and what it keeps; the valley gap is the
    clearance that thick cards need there at full opening, and what is left beyond it.

    Raises
    ------
    InputError, ModelError
        If the sizes are no bellows, or leave a card without an edge.
    """
    check_wanted(wanted)
    h, t = wanted.depth_mm, wanted.layers.half_pitch_mm
    opening = math.radians(wanted.opening_deg)
    demand_mm = corner_demand(sides=wanted.sides, card_depth=h, half_pitch=t, angle=opening)
    clearance_mm = valley_clearance(
        sides=wanted.sides,
        card_thickness=wanted.layers.card_mm,
        tilt=opening - math.atan2(t, h),
    )
    share = wanted.slack.peak_share
    ring = FoldedRing(
        sides=wanted.sides,
        folds=wanted.folds,
        peak_apothem=metres_from_mm(wanted.across_flats_mm / 2.0),
        card_depth=metres_from_mm(h),
        half_pitch=metres_from_mm(t),
        peak_share=share,
        peak_gap=metres_from_mm(wanted.allowances.peak_gap_mm + share * demand_mm),
        valley_gap=metres_from_mm(clearance_mm + wanted.allowances.valley_gap_mm),
    )
    check_ring(ring)
    return ring


def opening_state(wanted: WantedBellows, opening_deg: float) -> OpeningState:
    """Return the bellows as wanted, moved to another opening (degrees)."""
    return _printed_state(fold_state(ring_of(wanted), math.radians(opening_deg)))


def design_bellows(wanted: WantedBellows, *, compared_deg: Sequence[float] = ()) -> BellowsDesign:
    """Return the whole bellows: sizes, parts, air, loads, how it moves, what to look out for.

    Parameters
    ----------
    wanted : WantedBellows
        Across flats of the closed peaks; the opening is of the line from hinge to hinge.
    compared_deg : sequence of float
        Openings to tell stroke, corner demand and air for beside the wanted one. One that
        the folds cannot have is left out.

    Raises
    ------
    InputError
        If a size is out of range.
    ModelError
        If such a bellows cannot close, or has cards without an edge.
    """
    ring = ring_of(wanted)
    opening = math.radians(wanted.opening_deg)
    closed, opened = fold_state(ring, ring.closed_angle), fold_state(ring, opening)
    al, share = ring.half_corner, ring.peak_share
    long_mm, short_mm = mm_from_metres(ring.long_edge), mm_from_metres(ring.short_edge)
    demand_mm = mm_from_metres(_demand(ring, opening))
    clearance = valley_clearance(
        sides=wanted.sides,
        card_thickness=metres_from_mm(wanted.layers.card_mm),
        tilt=opening - ring.closed_angle,
    )
    peak_leather_mm = mm_from_metres(ring.peak_gap)
    valley_leather_mm = mm_from_metres(ring.valley_gap) + (1.0 - share) * demand_mm
    end_mm = math.hypot(wanted.depth_mm, (long_mm - short_mm) / 2.0)
    taper_deg = math.degrees(math.atan2(long_mm - short_mm, 2.0 * wanted.depth_mm))
    inner, outer = float_range(
        ring,
        opening,
        peak_width=metres_from_mm(peak_leather_mm),
        valley_width=metres_from_mm(valley_leather_mm),
        least_peak_gap=metres_from_mm(wanted.allowances.peak_gap_mm),
        least_valley_gap=clearance,
    )
    counts = counts_of(wanted)
    card_mm2 = wanted.depth_mm * (long_mm + short_mm) / 2.0
    cards_inside_l = counts.cards * card_mm2 * wanted.layers.card_mm / 2.0 * 1e-6
    dead_air_l = 1e3 * closed.volume - cards_inside_l + wanted.chambers_l
    limit = opening_limit(
        ring,
        valley_width=metres_from_mm(valley_leather_mm),
        least_peak_gap=metres_from_mm(wanted.allowances.peak_gap_mm),
    )
    bare = BellowsDesign(
        wanted=wanted,
        card_long_edge_mm=long_mm,
        card_short_edge_mm=short_mm,
        card_end_edge_mm=end_mm,
        card_end_taper_deg=taper_deg,
        card_long_edge_angle_deg=90.0 - taper_deg,
        closed_tilt_deg=math.degrees(ring.closed_angle),
        closed_pitch_mm=2.0 * wanted.layers.half_pitch_mm,
        open_pitch_mm=mm_from_metres(opened.length) / wanted.folds,
        closed_length_mm=mm_from_metres(closed.length),
        open_length_mm=mm_from_metres(opened.length),
        stroke_mm=mm_from_metres(opened.length - closed.length),
        corner_demand_mm=demand_mm,
        opening_limit_deg=math.degrees(limit),
        peak_gap_closed_mm=mm_from_metres(ring.peak_gap),
        valley_gap_closed_mm=mm_from_metres(ring.valley_gap),
        valley_clearance_mm=mm_from_metres(clearance),
        gusset_peak_mm=peak_leather_mm,
        gusset_valley_mm=valley_leather_mm,
        gusset_half_height_mm=math.sqrt(
            end_mm**2 - ((peak_leather_mm - valley_leather_mm) / 2.0) ** 2
        ),
        end_run_give_mm=(1.0 - share) * demand_mm / (2.0 * math.sin(al)),
        ring_float_mm=mm_from_metres(outer - inner),
        volume_closed_l=1e3 * closed.volume,
        volume_open_l=1e3 * opened.volume,
        cards_inside_l=cards_inside_l,
        air_per_stroke_l=1e3 * (opened.volume - closed.volume),
        dead_air_l=dead_air_l,
        travel_per_kpa_mm=dead_air_l * 1e6 / _ATMOSPHERE_PA / closed.effective_area * 1e-3,
        effective_area_closed_cm2=1e4 * closed.effective_area,
        effective_area_open_cm2=1e4 * opened.effective_area,
        loads=tuple(_load(pressure_pa, closed, opened) for pressure_pa in PRESSURES_PA),
        choices=_choices(wanted, compared_deg),
        states=tuple(
            _printed_state(fold_state(ring, angle)) for angle in _even_openings(ring, opening)
        ),
        counts=counts,
        parts=(),
        folding=check_folding(
            ring,
            opening,
            card_mm=wanted.layers.card_mm,
            peak_leather_mm=peak_leather_mm,
            valley_leather_mm=valley_leather_mm,
            least_peak_gap_mm=wanted.allowances.peak_gap_mm,
        ),
        cautions=(),
    )
    if not paper_outlines(bare):
        bare = replace(bare, counts=replace(counts, papers=0))
    with_parts = replace(bare, parts=parts_of(bare))
    return replace(with_parts, cautions=cautions_of(with_parts))


def _demand(ring: FoldedRing, angle: float) -> float:
    return corner_demand(
        sides=ring.sides, card_depth=ring.card_depth, half_pitch=ring.half_pitch, angle=angle
    )


def _load(pressure_pa: float, closed: FoldState, opened: FoldState) -> Load:
    return Load(
        pressure_pa=pressure_pa,
        force_closed_n=pressure_pa * closed.effective_area,
        force_open_n=pressure_pa * opened.effective_area,
        work_per_stroke_j=pressure_pa * (opened.volume - closed.volume),
    )


def _choices(wanted: WantedBellows, compared_deg: Sequence[float]) -> tuple[OpeningChoice, ...]:
    """Return the wanted opening and those to compare it with, each as a bellows made for it."""
    shut_deg = math.degrees(math.atan2(wanted.layers.half_pitch_mm, wanted.depth_mm))
    openings = {deg for deg in compared_deg if deg > shut_deg} | {wanted.opening_deg}
    choices = []
    for opening_deg in sorted(openings, reverse=True):
        ring = ring_of(replace(wanted, opening_deg=opening_deg))
        closed = fold_state(ring, ring.closed_angle)
        opened = fold_state(ring, math.radians(opening_deg))
        choices.append(
            OpeningChoice(
                opening_deg=opening_deg,
                open_length_mm=mm_from_metres(opened.length),
                stroke_mm=mm_from_metres(opened.length - closed.length),
                corner_demand_mm=mm_from_metres(_demand(ring, math.radians(opening_deg))),
                air_per_stroke_l=1e3 * (opened.volume - closed.volume),
            )
        )
    return tuple(choices)


def _even_openings(ring: FoldedRing, opening: float) -> list[float]:
    """Return angles at even steps of the bellows' length, shut and open among them."""
    sines = np.linspace(math.sin(ring.closed_angle), math.sin(opening), _STATES)
    return [ring.closed_angle, *(math.asin(sine) for sine in sines[1:-1]), opening]


def _printed_state(state: FoldState) -> OpeningState:
    return OpeningState(
        opening_deg=math.degrees(state.angle),
        length_mm=mm_from_metres(state.length),
        peak_across_flats_mm=2.0 * mm_from_metres(state.peak_apothem),
        valley_across_flats_mm=2.0 * mm_from_metres(state.valley_apothem),
        peak_gap_mm=mm_from_metres(state.peak_gap),
        valley_gap_mm=mm_from_metres(state.valley_gap),
        gap_angle_deg=math.degrees(state.gap_angle),
        volume_l=1e3 * state.volume,
        effective_area_cm2=1e4 * state.effective_area,
    )
