"""Two bellows worked out before the program was written, by another program and by hand.

Inputs: 158 mm across flats, 25 deep, card 1.0, cloth 0.20, strip 0.40, gusset 0.35, opening
35 degrees, slack at the peak, 1.0 mm left open there, 0.4 at the valley, margins of 6. The
tolerance is half the last digit that was written down.
"""

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from tests.bellows.wanted import FIGURES, wanted

from reedwright.bellows import compare_folds, design_bellows
from reedwright.bellows.model import BellowsDesign, Part, Slack

SIX = design_bellows(wanted())
EIGHT = design_bellows(wanted(sides=8, folds=7))


def written(value: str) -> object:
    """Return a written number with the tolerance of its last digit."""
    decimals = len(value.partition(".")[2])
    return pytest.approx(float(value), abs=0.5000001 * 10.0**-decimals)


def part(design: BellowsDesign, name: str) -> Part:
    """Return a part of a design."""
    return next(part for part in design.parts if part.part == name)


def test_the_golden_numbers_of_six_by_six() -> None:
    """To every digit written down."""
    assert SIX.card_long_edge_mm == written("84.9178359")
    assert SIX.card_short_edge_mm == written("61.3052003")
    assert SIX.card_end_taper_deg == written("25.2791507")
    assert SIX.volume_closed_l == written("0.3624490")
    assert SIX.volume_open_l == written("2.4905833")
    assert SIX.effective_area_closed_cm2 == written("154.52559")
    assert SIX.effective_area_open_cm2 == written("120.76970")
    assert SIX.corner_demand_mm == written("4.4589968")


#: What, the design's value, 6 sides 6 folds, 8 sides 7 folds.
SIZES = [
    ("hinge to hinge, closed tilt", lambda d: d.closed_tilt_deg, "4.460", "4.460"),
    ("corner demand", lambda d: d.corner_demand_mm, "4.459", "3.413"),
    ("peak gap closed", lambda d: d.peak_gap_closed_mm, "5.459", "4.413"),
    ("valley gap closed", lambda d: d.valley_gap_closed_mm, "0.908", "0.789"),
    ("clearance of the cards", lambda d: d.valley_clearance_mm, "0.508", "0.389"),
    ("long edge", lambda d: d.card_long_edge_mm, "84.92", "60.67"),
    ("short edge", lambda d: d.card_short_edge_mm, "61.31", "43.88"),
    ("end taper", lambda d: d.card_end_taper_deg, "25.28", "18.56"),
    ("angle at the long edge", lambda d: d.card_long_edge_angle_deg, "64.72", "71.44"),
    ("end edge", lambda d: d.card_end_edge_mm, "27.648", "26.372"),
    ("gusset at the peak", lambda d: d.gusset_peak_mm, "5.46", "4.41"),
    ("gusset at the valley", lambda d: d.gusset_valley_mm, "0.91", "0.79"),
    ("half height of the gusset", lambda d: d.gusset_half_height_mm, "27.55", "26.31"),
    ("gusset with margin, half", lambda d: part(d, "gusset").length_mm / 2, "8.75", "8.22"),
    ("peak strip width", lambda d: part(d, "peak_strip").width_mm, "14.4", "14.4"),
    ("peak strip length", lambda d: part(d, "peak_strip").length_mm, "103.2", "77.4"),
    ("valley strip width", lambda d: part(d, "valley_strip").width_mm, "12.8", "12.8"),
    ("valley strip length", lambda d: part(d, "valley_strip").length_mm, "74.4", "56.7"),
    ("closed pitch", lambda d: d.closed_pitch_mm, "3.9", "3.9"),
    ("closed length", lambda d: d.closed_length_mm, "23.4", "27.3"),
    ("open pitch", lambda d: d.open_pitch_mm, "28.77", "28.77"),
    ("open length", lambda d: d.open_length_mm, "172.6", "201.4"),
    ("stroke", lambda d: d.stroke_mm, "149.2", "174.1"),
    ("peak apothem open", lambda d: d.states[-1].peak_across_flats_mm / 2, "74.54", "74.54"),
    ("valley apothem open", lambda d: d.states[-1].valley_across_flats_mm / 2, "54.00", "54.00"),
    ("volume closed", lambda d: d.volume_closed_l, "0.3624", "0.4046"),
    ("volume open", lambda d: d.volume_open_l, "2.4906", "2.7795"),
    ("cards inside", lambda d: d.cards_inside_l, "0.066", "0.073"),
    ("air a stroke", lambda d: d.air_per_stroke_l, "2.128", "2.375"),
    ("area closed", lambda d: d.effective_area_closed_cm2, "154.5", "147.8"),
    ("area open", lambda d: d.effective_area_open_cm2, "120.8", "115.5"),
    ("soft, closed", lambda d: d.loads[0].force_closed_n, "4.6", "4.4"),
    ("usual, closed", lambda d: d.loads[1].force_closed_n, "15.5", "14.8"),
    ("hard, closed", lambda d: d.loads[2].force_closed_n, "23.2", "22.2"),
    ("soft, open", lambda d: d.loads[0].force_open_n, "3.6", "3.5"),
    ("usual, open", lambda d: d.loads[1].force_open_n, "12.1", "11.6"),
    ("hard, open", lambda d: d.loads[2].force_open_n, "18.1", "17.3"),
    ("work, soft", lambda d: d.loads[0].work_per_stroke_j, "0.64", "0.71"),
    ("work, usual", lambda d: d.loads[1].work_per_stroke_j, "2.13", "2.37"),
    ("work, hard", lambda d: d.loads[2].work_per_stroke_j, "3.19", "3.56"),
    ("cards", lambda d: d.counts.cards, "72", "112"),
    ("gussets", lambda d: d.counts.gussets, "36", "56"),
    ("peak strips", lambda d: d.counts.peak_strips, "36", "56"),
    ("valley strips", lambda d: d.counts.valley_strips, "30", "48"),
    ("frame strips", lambda d: d.counts.frame_strips, "12", "16"),
    ("all cards, m2", lambda d: part(d, "card").area_all_cm2 / 1e4, "0.1316", "0.1464"),
    ("leather, m2", lambda d: of_material(d, "leather"), "0.124", "0.152"),
    ("cloth, m2", lambda d: of_material(d, "cloth"), "0.068", "0.074"),
]  # fmt: skip


def of_material(design: BellowsDesign, word: str) -> float:
    """Return the area of all parts of a material, square metres."""
    return sum(part.area_all_cm2 for part in design.parts if word in part.material) / 1e4


@pytest.mark.parametrize(
    ("value", "six", "eight"), [s[1:] for s in SIZES], ids=[s[0] for s in SIZES]
)
def test_the_table_of_both_designs(value: object, six: str, eight: str) -> None:
    """Every printed size, count, volume, area and force of both columns."""
    assert callable(value)
    assert value(SIX) == written(six)
    assert value(EIGHT) == written(eight)


def test_exactly_six_and_a_quarter_inches() -> None:
    """158.75 mm across flats: longer edges at the same angle."""
    design = design_bellows(wanted(across_flats_mm=158.75))
    assert design.card_long_edge_mm == written("85.35")
    assert design.card_short_edge_mm == written("61.74")
    assert design.card_end_taper_deg == pytest.approx(SIX.card_end_taper_deg, abs=1e-12)


@pytest.mark.parametrize(
    ("slack", "sizes"),
    [
        (Slack.PEAK, "84.92 25.28 5.46 0.91 2.4906 2.128 154.5 120.8"),
        (Slack.SHARED, "87.49 27.64 3.23 3.14 2.6643 2.302 154.9 153.1"),
        (Slack.VALLEY, "90.07 29.91 1.00 5.37 2.8435 2.481 155.3 187.2"),
    ],
)
def test_the_three_choices_of_slack(slack: Slack, sizes: str) -> None:
    """Long edge, taper, peak gap, valley leather, volume, air, both areas, as printed."""
    design = design_bellows(wanted(slack=slack))
    found = (
        design.card_long_edge_mm,
        design.card_end_taper_deg,
        design.peak_gap_closed_mm,
        design.gusset_valley_mm,
        design.volume_open_l,
        design.air_per_stroke_l,
        design.effective_area_closed_cm2,
        design.effective_area_open_cm2,
    )
    for value, told in zip(found, sizes.split(), strict=True):
        assert value == written(told)


@pytest.mark.parametrize(
    ("sides", "demands"),
    [(6, "1.44 3.28 4.46 7.27"), (8, "1.10 2.51 3.41 5.56"), (12, "0.74 1.70 2.31 3.76")],
)
def test_corner_demand_by_sides_and_opening(sides: int, demands: str) -> None:
    """At 20, 30, 35 and 45 degrees."""
    for opening_deg, told in zip((20.0, 30.0, 35.0, 45.0), demands.split(), strict=True):
        design = design_bellows(wanted(sides=sides, opening_deg=opening_deg))
        assert design.corner_demand_mm == written(told)


def test_the_frame_strip_gives_what_the_ring_moves() -> None:
    """4.46 mm where all slack is at the valley of six sides, nothing where it is at the peak."""
    assert design_bellows(wanted(slack=Slack.VALLEY)).end_run_give_mm == written("4.46")
    assert SIX.end_run_give_mm == 0.0


@pytest.mark.parametrize(
    ("sides", "folds", "lengths", "air", "seconds"),
    [
        (6, 5, "20 144", "1.77", "10.6 5.3 3.5 2.7 1.8"),
        (6, 6, "23 173", "2.13", "12.8 6.4 4.3 3.2 2.1"),
        (6, 7, "27 201", "2.48", "14.9 7.4 5.0 3.7 2.5"),
        (6, 8, "31 230", "2.84", "17.0 8.5 5.7 4.3 2.8"),
        (8, 7, "27 201", "2.37", "14.2 7.1 4.7 3.6 2.4"),
    ],
)
def test_seconds_of_playing(sides: int, folds: int, lengths: str, air: str, seconds: str) -> None:
    """A chord of three, nine tenths of the stroke, at 0.05 to 0.30 L/s a note."""
    for rate, told in zip((0.05, 0.10, 0.15, 0.20, 0.30), seconds.split(), strict=True):
        figures = replace(FIGURES, air_l_s_per_note=rate)
        (row,) = compare_folds(wanted(sides=sides), [folds], figures)
        assert row.seconds_per_stroke == written(told)
        assert row.air_per_stroke_l == written(air)
        closed, opened = lengths.split()
        assert row.closed_length_mm == written(closed)
        assert row.open_length_mm == written(opened)


def test_travel_for_a_kilopascal_with_and_without_chambers() -> None:
    """Isothermal: volume times pressure over atmosphere and area, cards taken off the air."""
    area_m2 = SIX.effective_area_closed_cm2 * 1e-4
    for chambers_l in (0.0, 0.5):
        design = design_bellows(wanted(chambers_l=chambers_l))
        air_m3 = (design.volume_closed_l - design.cards_inside_l + chambers_l) * 1e-3
        travel_mm = air_m3 * 1000.0 / (101325.0 * area_m2) * 1e3
        assert design.travel_per_kpa_mm == pytest.approx(travel_mm, rel=1e-12)
    # With the cards left in, as it was first written down: 0.23 and 0.55 mm.
    with_cards = (design.dead_air_l + design.cards_inside_l) / design.dead_air_l
    assert design.travel_per_kpa_mm * with_cards == written("0.55")


def test_the_table_of_openings_runs_from_shut_to_open_in_even_steps() -> None:
    """Eleven rows; first and last are the design's own numbers."""
    lengths = [state.length_mm for state in SIX.states]
    steps = [after - before for before, after in pairwise(lengths)]
    assert steps == pytest.approx([SIX.stroke_mm / 10.0] * 10, rel=1e-12)
    assert SIX.states[0].volume_l == SIX.volume_closed_l
    assert SIX.states[-1].effective_area_cm2 == SIX.effective_area_open_cm2
    assert SIX.states[-1].opening_deg == pytest.approx(35.0, rel=1e-14)


def test_thicknesses_count_once_each_in_half_a_fold() -> None:
    """Closed length is two folds' layers a fold, packing included."""
    design = design_bellows(wanted(card_mm=0.8, packing_mm=0.1))
    assert design.closed_length_mm == pytest.approx(12 * (0.8 + 0.2 + 0.4 + 0.35 + 0.1))
    assert math.tan(math.radians(design.closed_tilt_deg)) == pytest.approx(1.85 / 25.0)
