"""What to look out for before any leather is cut, each with the numbers that break it."""

import math

from reedwright.bellows.model import BellowsDesign, Caution

__all__ = ["LARGEST_FLOAT_MM", "LARGEST_TAPER_ERROR_DEG", "cautions_of"]

#: How far the end of a card may lie outside the range that suits its opening: about what the
#: difference of the two gaps amounts to. The gaps themselves are the true test.
LARGEST_TAPER_ERROR_DEG = 2.0

#: A ring that stands to and fro by more than this is heard and felt (judged here, no source).
LARGEST_FLOAT_MM = 0.5

#: Rounding of the arithmetic.
_HAIR = 1e-9


def cautions_of(design: BellowsDesign) -> tuple[Caution, ...]:
    """Return the warnings of a design, the gravest first; none where all is well."""
    found = (
        *(Caution("folding", reason) for reason in design.folding.reasons),
        _opening(design),
        _clearance(design),
        _taper(design),
        _float(design),
        _end_run(design),
        _strips(design),
        _gussets(design),
        _packing(design),
    )
    return tuple(caution for caution in found if caution is not None)


def _opening(design: BellowsDesign) -> Caution | None:
    opening_deg, limit_deg = design.wanted.opening_deg, design.opening_limit_deg
    if opening_deg <= limit_deg + _HAIR:
        return None
    return Caution(
        "opening-limit",
        f"the corners give enough for {limit_deg:.1f} degrees and {opening_deg:.1f} are asked for; "
        f"open less, or give the gussets more",
    )


def _clearance(design: BellowsDesign) -> Caution | None:
    gap_mm, needed_mm = design.valley_gap_closed_mm, design.valley_clearance_mm
    if gap_mm >= needed_mm - _HAIR:
        return None
    return Caution(
        "valley-clearance",
        f"cards of {design.wanted.layers.card_mm:g} mm need {needed_mm:.2f} mm between them at the "
        f"valley, there are {gap_mm:.2f}; cut the short edge {needed_mm - gap_mm:.2f} mm shorter",
    )


def _taper(design: BellowsDesign) -> Caution | None:
    al = math.pi / design.wanted.sides
    least_deg = math.degrees(
        math.atan(math.tan(al) * math.cos(math.radians(design.wanted.opening_deg)))
    )
    most_deg, taper_deg = math.degrees(al), design.card_end_taper_deg
    allowed = LARGEST_TAPER_ERROR_DEG
    if least_deg - allowed <= taper_deg <= most_deg + allowed:
        return None
    return Caution(
        "end-taper",
        f"card ends taper by {taper_deg:.1f} degrees, and {least_deg:.1f} to {most_deg:.1f} suit "
        f"this opening (within {allowed:g}): the corner would gape at one end; bring the gaps at "
        "peak and valley nearer to each other",
    )


def _float(design: BellowsDesign) -> Caution | None:
    if design.ring_float_mm <= LARGEST_FLOAT_MM + _HAIR:
        return None
    return Caution(
        "ring-float",
        "with leather slack at both ends of a corner the ring stands to and fro by "
        f"{design.ring_float_mm:.2f} mm at full opening, more than {LARGEST_FLOAT_MM:g}; give the "
        "slack at one end only",
    )


def _end_run(design: BellowsDesign) -> Caution | None:
    if design.end_run_give_mm <= 0.0:
        return None
    return Caution(
        "end-run",
        f"the valleys move outwards by {design.end_run_give_mm:.2f} mm and the frame cannot: the "
        "end runs must give as much; cut them slack, or take the slack at the peak",
    )


def _strips(design: BellowsDesign) -> Caution | None:
    margin_mm, depth_mm = design.wanted.allowances.strip_margin_mm, design.wanted.depth_mm
    if 2.0 * margin_mm <= depth_mm:
        return None
    return Caution(
        "strip-margin",
        f"strips of {margin_mm:g} mm on each card cover each other on a card {depth_mm:g} mm deep; "
        f"take {depth_mm / 2.0:.1f} mm or less",
    )


def _gussets(design: BellowsDesign) -> Caution | None:
    margin_mm = design.wanted.allowances.gusset_margin_mm
    aside_mm = margin_mm / math.cos(math.radians(design.card_end_taper_deg))
    if 2.0 * aside_mm <= design.card_short_edge_mm:
        return None
    # Told to 0.1 mm, rounded down so that it works.
    most_mm = math.floor(5.0 * design.card_short_edge_mm * margin_mm / aside_mm) / 10.0
    return Caution(
        "gusset-margin",
        f"gussets glued {margin_mm:g} mm on to each card meet on its short edge of "
        f"{design.card_short_edge_mm:.1f} mm; take {most_mm:.1f} mm or less",
    )


def _packing(design: BellowsDesign) -> Caution | None:
    packing_mm = design.wanted.layers.packing_mm
    if packing_mm >= 0.0:
        return None
    return Caution(
        "packing",
        f"half a closed fold is {-packing_mm:.2f} mm thinner than its layers together: they are "
        "pressed, or thinner than was assumed; measure the card and the leather",
    )
