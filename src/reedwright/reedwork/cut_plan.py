"""Where on a tongue to file, how deep, how sure, where to stop on the way: numbers, no words."""

import math
from dataclasses import dataclass

from reedwright.reedwork.cut import Cut
from reedwright.reedwork.model import FilingRules, FilingStep, Tongue, Zone
from reedwright.reedwork.tongue import stretched, tongue_as_bar
from reedwright.science.cantilever_modes import natural_modes
from reedwright.science.cantilever_sensitivity import neutral_point
from reedwright.units import metres_from_mm, milligrams_from_kg, mm_from_metres, um_from_metres

__all__ = ["CutPlan", "deepest_cut", "plan_cut", "zone_cut"]

#: Zones are told to half a millimetre: finer cannot be seen on the bench.
ZONE_STEP_MM = 0.5

#: A shorter zone is none: a file cannot be kept to it.
SHORTEST_ZONE_MM = 1.0


@dataclass(frozen=True, slots=True)
class CutPlan:
    """A cut as ``FilingPlan`` has it, before it is put into words."""

    zone: Zone
    zone_from_mm: float
    zone_to_mm: float
    depth_um: float
    depth_doubt_um: float
    mass_mg: float
    thinnest_mm: float
    steps: tuple[FilingStep, ...]


def plan_cut(
    tongue: Tongue, *, offset_cents: float, doubt_cents: float, rules: FilingRules
) -> CutPlan | None:
    """Return the cut that brings a tongue to its target, or None where the rules forbid it.

    The zone is the outer part of the tongue (to raise) or the part next to the root
    but for a clearance (to lower), never across the neutral point. The depth is the
    same all over it, with square ends; to first order where it is below
    ``rules.whole_model_above_fraction`` of the thickness, by solving the whole
    model again above.

    The doubt of the depth adds in squares: the reading's, the thickness's (depth
    goes with thickness), that of the length (the tongue solved again one sigma
    longer, the zone staying where it is in millimetres) and the model's own.

    Parameters
    ----------
    tongue : Tongue
        Sounding at the pitch heard (``calibrated``).
    offset_cents, doubt_cents : float
        Where it stands re its target, and the one-sigma doubt of that; not 0.
    """
    zone = Zone.TIP if offset_cents < 0.0 else Zone.ROOT
    zoned = zone_cut(tongue, zone, rules)
    if zoned is None:
        return None
    cut, from_mm, to_mm = zoned
    depth, is_whole = _depth(cut, zone, -offset_cents, rules)
    if depth is None:
        return None
    response_doubt = math.hypot(
        tongue.thickness_doubt_fraction,
        _length_effect(tongue, cut, zone, from_mm, to_mm),
        rules.model_doubt_fraction,
    )
    depth_doubt = math.hypot(response_doubt, doubt_cents / abs(offset_cents))

    def step(part: float, change: float) -> FilingStep:
        return FilingStep(
            depth_um=um_from_metres(part),
            mass_mg=milligrams_from_kg(cut.mass(part)),
            expected_offset_cents=offset_cents + change,
            expected_doubt_cents=math.hypot(doubt_cents, response_doubt * change),
        )

    parts = [fraction * depth for fraction in _stop_fractions(depth_doubt, rules)]
    stops = [
        step(part, cut.change_cents(part) if is_whole else cut.slope_cents() * part)
        for part in parts
    ]
    # A stop so near the target that the reading could not tell it from there is no stop.
    told_apart = [stop for stop in stops if abs(stop.expected_offset_cents) > doubt_cents]
    return CutPlan(
        zone=zone,
        zone_from_mm=from_mm,
        zone_to_mm=to_mm,
        depth_um=um_from_metres(depth),
        depth_doubt_um=um_from_metres(depth) * depth_doubt,
        mass_mg=milligrams_from_kg(cut.mass(depth)),
        thinnest_mm=mm_from_metres(cut.thinned(depth).thinnest),
        steps=(*told_apart, step(depth, -offset_cents)),
    )


def zone_cut(tongue: Tongue, zone: Zone, rules: FilingRules) -> tuple[Cut, float, float] | None:
    """Return the filing of one end, and where its zone begins and ends from that end, mm.

    None if the zone is too short for a file.
    """
    bar = tongue_as_bar(tongue)
    modes = natural_modes(bar, count=1)
    neutral_mm = mm_from_metres(neutral_point(modes) * bar.length)
    from_mm, to_mm = _zone_mm(zone, tongue.length_mm, neutral_mm, rules)
    if to_mm - from_mm < SHORTEST_ZONE_MM:
        return None
    return Cut(bar, modes, *_from_root(zone, tongue.length_mm, from_mm, to_mm)), from_mm, to_mm


def deepest_cut(cut: Cut, zone: Zone, rules: FilingRules) -> float:
    """Return how deep the rules allow one end to be filed, metres; not above zero: not at all."""
    fraction = (
        rules.largest_tip_cut_fraction if zone is Zone.TIP else rules.largest_root_cut_fraction
    )
    thinnest = cut.thinnest
    return min(fraction * thinnest, thinnest - metres_from_mm(rules.thinnest_mm))


def _zone_mm(
    zone: Zone, length_mm: float, neutral_mm: float, rules: FilingRules
) -> tuple[float, float]:
    """Return where the zone begins and ends, from the end it names."""
    if zone is Zone.TIP:
        start_mm, neutral_from_end_mm = 0.0, length_mm - neutral_mm
    else:
        start_mm, neutral_from_end_mm = rules.clamp_clearance_mm, neutral_mm
    wanted_mm = round(rules.zone_fraction * length_mm / ZONE_STEP_MM) * ZONE_STEP_MM
    allowed_mm = math.floor(neutral_from_end_mm / ZONE_STEP_MM) * ZONE_STEP_MM
    return start_mm, min(wanted_mm, allowed_mm)


def _from_root(zone: Zone, length_mm: float, from_mm: float, to_mm: float) -> tuple[float, float]:
    """Return the ends of the zone from the root, metres."""
    if zone is Zone.TIP:
        return metres_from_mm(length_mm - to_mm), metres_from_mm(length_mm - from_mm)
    return metres_from_mm(from_mm), metres_from_mm(to_mm)


def _depth(
    cut: Cut, zone: Zone, change_cents: float, rules: FilingRules
) -> tuple[float | None, bool]:
    """Return the depth (metres; None beyond the limits) and whether the whole model gave it."""
    deepest = deepest_cut(cut, zone, rules)
    first_order = change_cents / cut.slope_cents()
    is_whole = first_order > rules.whole_model_above_fraction * cut.thinnest
    if deepest <= 0.0:
        return None, is_whole
    if is_whole:
        return cut.depth_for(change_cents, deepest=deepest), True
    return (first_order if first_order <= deepest else None), False


def _length_effect(tongue: Tongue, cut: Cut, zone: Zone, from_mm: float, to_mm: float) -> float:
    """Return by what fraction the depth changes if the tongue is one sigma longer."""
    if tongue.length_doubt_fraction == 0.0:
        return 0.0
    other = stretched(tongue, factor=1.0 + tongue.length_doubt_fraction)
    bar = tongue_as_bar(other)
    ends = _from_root(zone, other.length_mm, from_mm, to_mm)
    longer = Cut(bar, natural_modes(bar, count=1), *ends)
    return abs(cut.slope_cents() / longer.slope_cents() - 1.0)


def _stop_fractions(depth_doubt: float, rules: FilingRules) -> list[float]:
    """Return at which fractions of the depth to stop.

    The first keeps some sigma short of the end, so that the cut is not well overshot
    before anything was learned; each later one takes the usual part of what is left.
    """
    short_of_end = 1.0 - rules.first_stop_sigmas * depth_doubt
    first = max(rules.least_first_fraction, min(rules.step_fraction, short_of_end))
    fractions = [first]
    while len(fractions) < rules.most_stops:
        fractions.append(fractions[-1] + rules.step_fraction * (1.0 - fractions[-1]))
    return fractions[: rules.most_stops]
