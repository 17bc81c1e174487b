"""The few lines a person is told of a bellows, as data: what, and how much in words."""

from reedwright.bellows.fitted import BellowsFit
from reedwright.bellows.model import BellowsDesign
from reedwright.drawing.numbers import print_number, print_with_doubt

__all__ = ["fit_lines", "summary_lines"]

#: What each size of a fit is called, and the finest step told.
_FITTED = {
    "across_flats_mm": ("across flats, closed peaks, mm", 0.1),
    "depth_mm": ("depth of a card, mm", 0.01),
    "half_pitch_mm": ("half a closed fold, mm", 0.01),
    "opening_deg": ("opening, degrees", 0.1),
    "peak_gap_mm": ("peak gap left open, mm", 0.01),
    "valley_gap_mm": ("valley gap beyond the cards' thickness, mm", 0.01),
}


def summary_lines(design: BellowsDesign) -> tuple[tuple[str, str], ...]:
    """Return what a maker asks first: cards, gussets, lengths, air, force, how it folds."""

    def mm(value: float, decimals: int = 1) -> str:
        return print_number(value, decimals=decimals)

    usual = next(load for load in design.loads if load.pressure_pa == 1000.0)
    folding = design.folding
    return (
        (
            "card",
            f"{mm(design.card_long_edge_mm, 2)} mm at the peak, {mm(design.card_short_edge_mm, 2)} "
            f"at the valley, {mm(design.wanted.depth_mm, 2)} deep; ends "
            f"{mm(design.card_long_edge_angle_deg, 2)}° to the long edge",
        ),
        (
            "gusset",
            f"{mm(design.gusset_peak_mm, 2)} mm between the cards at the peak, "
            f"{mm(design.gusset_valley_mm, 2)} at the valley, "
            f"{mm(design.card_end_edge_mm, 2)} along a card's end",
        ),
        (
            "length",
            f"{mm(design.closed_length_mm)} mm closed, {mm(design.open_length_mm)} open, stroke "
            f"{mm(design.stroke_mm)}",
        ),
        (
            "corner",
            f"must give {mm(design.corner_demand_mm, 2)} mm ({design.wanted.slack.in_words}); "
            f"limit {mm(design.opening_limit_deg)}°",
        ),
        (
            "air",
            f"{mm(design.air_per_stroke_l, 2)} L a stroke; volume "
            f"{mm(design.volume_closed_l, 2)} L closed, {mm(design.volume_open_l, 2)} open, of it "
            f"{mm(design.cards_inside_l, 2)} card",
        ),
        (
            "dead air",
            f"{mm(design.dead_air_l, 2)} L shut in when closed: "
            f"{mm(design.travel_per_kpa_mm, 2)} mm of travel for each kilopascal",
        ),
        (
            "effective area",
            f"{mm(design.effective_area_closed_cm2, 0)} cm² closed, "
            f"{mm(design.effective_area_open_cm2, 0)} open: {mm(usual.force_closed_n)} and "
            f"{mm(usual.force_open_n)} N at 1000 Pa",
        ),
        (
            "folds",
            f"yes: cards keep {mm(folding.least_corner_clearance_mm, 2)} mm apart at the corners, "
            f"the peak gap {mm(folding.least_peak_gap_mm, 2)} mm"
            if folding.is_folding
            else "no: see below",
        ),
    )


def fit_lines(fit: BellowsFit) -> tuple[str, ...]:
    """Return what the fit found and how well, a sentence each."""
    lines = []
    for value in fit.values:
        title, finest = _FITTED[value.quantity]
        lines.append(f"{title}: {print_with_doubt(value.value, value.doubt, finest=finest)}")
    packing_mm = fit.design.wanted.layers.packing_mm
    lines.append(
        f"beyond its layers half a closed fold keeps {print_number(packing_mm, decimals=2)} mm"
        if packing_mm >= 0.0
        else "half a closed fold is less than its layers together by "
        f"{print_number(-packing_mm, decimals=2)} mm"
    )
    slack = fit.design.wanted.slack
    lines.append(
        f"slack at the corner: {slack.in_words}"
        + ("" if fit.is_slack_certain else "; another choice explains it nearly as well")
    )
    lines.append(
        "All that was measured is explained within its doubt."
        if fit.is_explained
        else "What was measured does not fit together: look at the differences, measure again "
        "where they are largest, and count sides and folds again."
    )
    return tuple(lines)
