"""The parts list: counts against those of the trade, and estimated masses."""

from dataclasses import replace

import pytest

from reedwright.catalogue import load_layout, load_part_figures
from reedwright.errors import InputError
from reedwright.instrument.layout import Layout
from reedwright.instrument.note import SpelledNote
from reedwright.instrument.part_mass import FrameMetal, Growth, growth_factor
from reedwright.instrument.parts import PartGroup, PartsChoices, PartsList, parts_list

FIGURES = load_part_figures()
TREBLE = load_layout("english-treble-48")


def _parts(layout: Layout | str, **choices: object) -> PartsList:
    layout = load_layout(layout) if isinstance(layout, str) else layout
    return parts_list(layout, FIGURES, replace(PartsChoices(), **choices))  # type: ignore[arg-type]


#: reeds, chambers, valves, pads = levers = springs = posts, chamber-side pins.
TRADE = {
    "english-treble-48": (96, 48, 96, 48, 48),
    "english-tenor-treble-56": (112, 56, 112, 56, 56),
    "english-extended-treble-56": (112, 56, 112, 56, 56),
    "english-tenor-48": (96, 48, 96, 48, 48),
    "english-baritone-48": (96, 48, 96, 48, 48),
    "english-bass": (48, 48, 0, 48, 0),
    "anglo-20": (40, 20, 40, 21, 20),
    "anglo-30-a": (60, 30, 60, 31, 30),
    "anglo-30-b": (60, 30, 60, 31, 30),
}


@pytest.mark.parametrize("name", TRADE)
def test_counts_are_those_of_the_trade(name: str) -> None:
    """Two reeds and two valves a key (one and none on a single action), one chamber a key."""
    parts = _parts(name)
    reeds, chambers, valves, pads, pins = TRADE[name]
    assert parts.total("reed_tongue") == parts.total("reed_frame") == reeds
    assert parts.total("clamp_screw") == 2 * reeds
    assert parts.total("chamber") == chambers
    assert parts.total("valve") == valves
    assert parts.total("valve_pin") == pins
    for part in ("pad_leather", "pad_felt", "pad_card", "lever", "spring", "pivot_post", "button"):
        assert parts.total(part) == pads


def test_about_twenty_five_pieces_a_key_and_well_over_a_thousand() -> None:
    """Common practice (issue, section 2): action and reeds together, on a 48-key English."""
    parts = _parts(TREBLE)
    assert 24.0 <= parts.pieces_per_key <= 26.0
    assert (
        sum(line.total for line in parts.lines if line.group in (PartGroup.REEDS, PartGroup.ACTION))
        > 1150
    )
    assert parts.pieces > 1400


def test_hardware_of_six_sides() -> None:
    """Twelve bolts, a nut plate a bolt, two screws a plate, six blocks a pan (docs/sources.md)."""
    parts = _parts(TREBLE)
    expected = {
        "end_bolt": 12,
        "nut_plate": 12,
        "nut_plate_screw": 24,
        "pan_block": 12,
        "reed_pan": 2,
        "thumb_strap": 2,
        "finger_plate": 2,
        "hand_strap": 0,
        "inlet_valve": 0,
        "baffle": 0,
    }
    assert {part: parts.total(part) for part in expected} == expected
    anglo = _parts("anglo-30-a")
    assert (anglo.total("hand_strap"), anglo.total("hand_rail"), anglo.total("thumb_strap")) == (
        2,
        2,
        0,
    )


@pytest.mark.parametrize(
    ("sides", "folds", "counts"),
    [(6, 6, (72, 36, 36, 30, 12)), (8, 7, (112, 56, 56, 48, 16))],
)
def test_bellows_counts_are_those_of_the_reference_designs(
    sides: int, folds: int, counts: tuple[int, ...]
) -> None:
    """Cards, gussets, peak, valley and frame strips of the reference bellows."""
    parts = _parts(replace(TREBLE, sides=sides), folds=folds)
    names = ("card", "gusset", "peak_strip", "valley_strip", "frame_strip")
    assert tuple(parts.total(name) for name in names) == counts
    assert parts.total("end_bolt") == 2 * sides
    assert all(line.left == line.right == 0 for line in parts.lines if line.part in names)


def test_counts_are_kept_for_each_end() -> None:
    """The air button of an Anglo adds a pad, a lever and a spring on the right, and no reed."""
    lines = {line.part: line for line in _parts("anglo-30-a").lines}
    assert (lines["lever"].left, lines["lever"].right) == (15, 16)
    assert (lines["reed_tongue"].left, lines["reed_tongue"].right) == (30, 30)
    without = _parts(replace(load_layout("anglo-30-a"), air_button=None))
    assert without.total("lever") == 30


def test_a_single_action_bass_has_inlet_valves_and_no_draw_reeds() -> None:
    """One to four inlet valves an instrument (from memory)."""
    parts = _parts("english-bass")
    assert 1 <= parts.total("inlet_valve") <= 4
    assert _parts("english-bass", inlet_valves_per_end=2).total("inlet_valve") == 4
    assert "valve" not in {line.part for line in parts.lines}
    assert parts.pieces_per_key < 20.0


def test_choices_change_the_counts() -> None:
    """Riveted reeds have no clamps; unbushed ends no bushes; five bolts are five bolts."""
    parts = _parts(
        TREBLE,
        are_reeds_clamped=False,
        are_end_plates_bushed=False,
        have_pads_caps=True,
        end_bolts_per_end=5,
        has_papers=False,
        baffles_per_end=1,
    )
    expected = {
        "clamp_bar": 0,
        "clamp_screw": 0,
        "end_plate_bush": 0,
        "pad_cap": 48,
        "end_bolt": 10,
        "bellows_paper": 0,
        "baffle": 2,
    }
    assert {part: parts.total(part) for part in expected} == expected


def test_a_treble_weighs_about_what_trebles_weigh() -> None:
    """1.0 to 1.3 kg with brass frames (from memory), within the stated doubt."""
    parts = _parts(TREBLE)
    assert parts.mass_g - parts.mass_doubt_g < 1300.0
    assert parts.mass_g + parts.mass_doubt_g > 1000.0
    assert parts.mass_g == pytest.approx(sum(line.mass_g for line in parts.lines))
    assert parts.mass_doubt_g == pytest.approx(0.25 * parts.mass_g)


def test_aluminium_frames_save_what_their_density_says() -> None:
    """Only the frames differ, by 2.7 to 8.5."""
    brass = {line.part: line.mass_g for line in _parts(TREBLE).lines}
    light = {
        line.part: line.mass_g for line in _parts(TREBLE, frame_metal=FrameMetal.ALUMINIUM).lines
    }
    assert light["reed_frame"] == pytest.approx(brass["reed_frame"] * 2.7 / 8.5)
    assert {p: m for p, m in light.items() if p != "reed_frame"} == {
        p: m for p, m in brass.items() if p != "reed_frame"
    }


def test_draw_reeds_would_add_their_weight_to_a_bass() -> None:
    """Why large basses sound on the press only: the same bass with both reeds."""
    bass = load_layout("english-bass")
    double = replace(
        load_layout("english-baritone-48"),
        keys=tuple(replace(key, draw=key.press) for key in bass.keys),
    )

    def reed_parts_g(layout: Layout) -> float:
        lines = _parts(layout, across_flats_mm=215.0).lines
        return sum(line.mass_g for line in lines if line.group is PartGroup.REEDS)

    assert reed_parts_g(double) > 1.99 * reed_parts_g(bass)


def test_a_reeds_mass_follows_from_its_sizes() -> None:
    """A4 by hand: frame (34 x 9.0 - 25 x 2.6) x 2.0 mm of brass, tongue 29.5 x 2.6 x 0.34."""
    note = SpelledNote.parse("A4")
    frame_g = (34.0 * 9.0 - 25.0 * 2.6) * 2.0 * 8.5e-3
    assert FIGURES.frame_mass_g(note, FrameMetal.BRASS) == pytest.approx(frame_g)
    assert FIGURES.tongue_mass_g(note) == pytest.approx(29.5 * 2.6 * 0.34 * 7.85e-3)
    assert FIGURES.valve_mass_g(note) == pytest.approx(32.5 * 4.35 * 0.5 * 0.75e-3)


def test_sizes_between_and_beyond_the_notes_of_the_table() -> None:
    """Straight between two notes, held at the ends."""
    f4, c4, a4 = (FIGURES.reed_size(SpelledNote.parse(n)) for n in ("F4", "C4", "A4"))
    share = 5.0 / 9.0
    assert f4.tongue_length_mm == pytest.approx(
        c4.tongue_length_mm + share * (a4.tongue_length_mm - c4.tongue_length_mm)
    )
    assert f4.valve_thickness_mm == pytest.approx(
        c4.valve_thickness_mm + share * (a4.valve_thickness_mm - c4.valve_thickness_mm)
    )
    low, high = (FIGURES.reed_size(SpelledNote.parse(n)) for n in ("C1", "G7"))
    assert (low.tongue_length_mm, high.tongue_length_mm) == (65.0, 12.0)


def test_growth_is_that_of_regular_polygons() -> None:
    """Twice as wide: sides twice, area four times; many sides come near the circle."""
    assert [growth_factor(g, sides=6, across_flats_mm=159.0) for g in Growth] == pytest.approx(
        [1.0] * 4
    )
    assert [growth_factor(g, sides=6, across_flats_mm=318.0) for g in Growth] == pytest.approx(
        [1.0, 2.0, 2.0, 4.0]
    )
    round_area = growth_factor(Growth.AREA, sides=1000, across_flats_mm=159.0)
    assert round_area == pytest.approx(3.141593 / (2.0 * 3.0**0.5), rel=1e-4)


@pytest.mark.parametrize(
    ("choices", "message"),
    [
        ({"folds": 0}, "from 1 to 30 folds, got 0"),
        ({"screws_per_clamp": -1}, "got screws_per_clamp = -1"),
        ({"across_flats_mm": 0.0}, "got 6 and 0 mm"),
    ],
)
def test_impossible_choices_are_refused(choices: dict[str, object], message: str) -> None:
    """The message names the choice."""
    with pytest.raises(InputError, match=message):
        _parts(TREBLE, **choices)


def test_a_blank_form_has_no_parts_list_and_unknown_parts_no_total() -> None:
    """Its reeds are not known yet."""
    with pytest.raises(InputError, match="'duet-six-column-46' is a blank form"):
        _parts("duet-six-column-46")
    with pytest.raises(KeyError):
        _parts(TREBLE).total("string")
