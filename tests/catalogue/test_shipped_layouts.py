"""The shipped layouts against the tables and counts of the trade.

The tables below are those gathered before the program was written (docs/sources.md), copied as
printed there. English 48 and 56: derived from published rules, the counts close.
Anglo: from memory, agreeing with a tutorial of 1973 in single buttons.
"""

import pytest

from reedwright.catalogue import layout_names, load_layout
from reedwright.instrument.evidence import Confidence, EvidenceMark
from reedwright.instrument.layout import Action, Direction, Layout, Side, System
from reedwright.instrument.note import CONCERTINA_CHAIN, SpelledNote

LEFT, RIGHT = Side.LEFT, Side.RIGHT

#: English treble, low (player side) to high.
TREBLE_48 = {
    (LEFT, 1): "C#4 G#4 D#5 Ab5 Eb6 Bb6",
    (LEFT, 2): "C4 G4 D5 A5 E6 B6",
    (LEFT, 3): "A3 E4 B4 F5 C6 G6",
    (LEFT, 4): "Ab3 Eb4 Bb4 F#5 C#6 G#6",
    (RIGHT, 1): "G#3 D#4 Ab4 Eb5 Bb5 F#6",
    (RIGHT, 2): "G3 D4 A4 E5 B5 F6 C7",
    (RIGHT, 3): "B3 F4 C5 G5 D6 A6",
    (RIGHT, 4): "Bb3 F#4 C#5 G#5 D#6",
}

#: Tenor-treble.
TENOR_TREBLE_56 = {
    (LEFT, 1): "F#3 C#4 G#4 D#5 Ab5 Eb6 Bb6",
    (LEFT, 2): "F3 C4 G4 D5 A5 E6 B6",
    (LEFT, 3): "D3 A3 E4 B4 F5 C6 G6",
    (LEFT, 4): "D#3 Ab3 Eb4 Bb4 F#5 C#6 G#6",
    (RIGHT, 1): "C#3 G#3 D#4 Ab4 Eb5 Bb5 F#6",
    (RIGHT, 2): "C3 G3 D4 A4 E5 B5 F6 C7",
    (RIGHT, 3): "E3 B3 F4 C5 G5 D6 A6",
    (RIGHT, 4): "Eb3 Bb3 F#4 C#5 G#5 D#6",
}

#: Anglo, press/draw, L1 to L5 and R1 to R5; row 1 is nearest the hand rail.
C_ROW = "C3/G3 G3/B3 C4/D4 E4/F4 G4/A4 C5/B4 E5/D5 G5/F5 C6/A5 E6/B5"
G_ROW = "B3/A3 D4/F#4 G4/A4 B4/C5 D5/E5 G5/F#5 B5/A5 D6/C6 G6/E6 B6/F#6"
ROW_A = "E3/F3 A3/Bb3 C#4/D#4 A4/G4 G#4/Bb4 C#5/D#5 A5/G5 G#5/Bb5 C#6/D#6 A6/F6"
ROW_B = "E3/F3 A3/Bb3 C#4/D#4 A4/G4 G#4/Bb4 D#5/C#5 C#5/D#5 G#5/G5 C#6/Bb5 A5/D6"

#: Compass and counts: lowest, highest, buttons left and right, reeds, system.
COUNTS = {
    "english-treble-48": ("G3", "C7", 24, 24, 96),
    "english-tenor-treble-56": ("C3", "C7", 28, 28, 112),
    "english-extended-treble-56": ("G3", "G7", 28, 28, 112),
    "english-tenor-48": ("C3", "F6", 24, 24, 96),
    "english-baritone-48": ("G2", "C6", 24, 24, 96),
    "english-bass": ("G1", "C5", 24, 24, 48),
    "anglo-20": ("C3", "B6", 10, 10, 40),
    "anglo-30-a": ("C3", "B6", 15, 15, 60),
    "anglo-30-b": ("C3", "B6", 15, 15, 60),
}
BLANK = {"duet-five-column-48": (20, 28), "duet-six-column-46": (21, 25)}


def _row(layout: Layout, side: Side, row: int) -> str:
    return " ".join(
        str(key.press)
        if key.press == key.draw or layout.action is Action.SINGLE
        else f"{key.press}/{key.draw}"
        for key in layout.side_keys(side)
        if key.row == row
    )


def test_every_shipped_layout_is_checked_here() -> None:
    """No layout is shipped that these tests do not know."""
    assert set(layout_names()) == set(COUNTS) | set(BLANK)


@pytest.mark.parametrize("name", layout_names())
def test_a_shipped_layout_loads_and_says_how_sure_it_is(name: str) -> None:
    """Each file describes itself by its own name, with its evidence."""
    layout = load_layout(name)
    assert layout.layout == name
    assert len(layout.evidence) > 80
    assert isinstance(layout.evidence_mark, EvidenceMark)
    assert isinstance(layout.confidence, Confidence)
    assert layout.system.value == name.partition("-")[0]
    assert layout.sides == 6


@pytest.mark.parametrize("name", COUNTS)
def test_counts_and_range_are_those_of_the_trade(name: str) -> None:
    """Buttons on each end, reeds, and the lowest and highest note."""
    low, high, left, right, reeds = COUNTS[name]
    layout = load_layout(name)
    assert (len(layout.side_keys(LEFT)), len(layout.side_keys(RIGHT))) == (left, right)
    assert len(layout.reeds()) == reeds
    assert tuple(note.name for note in layout.compass()) == (low, high)


@pytest.mark.parametrize("name", BLANK)
def test_a_duet_without_a_table_is_a_blank_form(name: str) -> None:
    """It has its buttons, and no notes."""
    layout = load_layout(name)
    assert layout.is_blank
    assert layout.reeds() == ()
    assert (len(layout.side_keys(LEFT)), len(layout.side_keys(RIGHT))) == BLANK[name]
    assert layout.confidence is Confidence.LOW


@pytest.mark.parametrize(
    ("name", "table"),
    [("english-treble-48", TREBLE_48), ("english-tenor-treble-56", TENOR_TREBLE_56)],
)
def test_english_rows_are_those_of_the_table(name: str, table: dict[tuple[Side, int], str]) -> None:
    """Every button of every row, both directions alike."""
    layout = load_layout(name)
    assert {place: _row(layout, *place) for place in table} == table
    assert sum(len(notes.split()) for notes in table.values()) == len(layout.keys)
    assert all(key.press == key.draw for key in layout.keys)


@pytest.mark.parametrize(
    ("name", "rows"),
    [
        ("anglo-20", (G_ROW, C_ROW)),
        ("anglo-30-a", (G_ROW, C_ROW, ROW_A)),
        ("anglo-30-b", (G_ROW, C_ROW, ROW_B)),
    ],
)
def test_anglo_rows_are_those_of_the_table(name: str, rows: tuple[str, ...]) -> None:
    """Row 1 is nearest the hand rail; five buttons a row on each end."""
    layout = load_layout(name)
    for number, row in enumerate(rows, start=1):
        assert f"{_row(layout, LEFT, number)} {_row(layout, RIGHT, number)}" == row
    assert layout.air_button is RIGHT
    assert layout.home_keys == "C/G"


@pytest.mark.parametrize(
    ("name", "semitones"),
    [("english-baritone-48", -12), ("english-tenor-48", -7), ("english-bass", -24)],
)
def test_lower_instruments_have_the_trebles_shape(name: str, semitones: int) -> None:
    """Button by button the treble, an octave, a fifth or two octaves down."""
    treble = load_layout("english-treble-48")
    lower = load_layout(name)
    for high, low in zip(treble.keys, lower.keys, strict=True):
        assert high.key == low.key
        assert high.press is not None
        assert low.press is not None
        assert low.press.semitone == high.press.semitone + semitones


def test_the_baritones_middle_c_is_on_the_right() -> None:
    """Trade.md 1.4: left on trebles and tenor-trebles, right on the octave-down baritone."""
    sides = {
        name: {key.side for key in load_layout(name).keys if str(key.press) == "C4"}
        for name in ("english-treble-48", "english-tenor-treble-56", "english-baritone-48")
    }
    assert list(sides.values()) == [{LEFT}, {LEFT}, {RIGHT}]


def test_the_extended_treble_is_the_treble_with_a_button_more_on_every_row() -> None:
    """Trade.md 1.2: 28 + 28 from G3 to about G7; the treble's buttons keep their names."""
    treble = load_layout("english-treble-48")
    extended = load_layout("english-extended-treble-56")
    assert {key.key: key.press for key in treble.keys}.items() <= {
        key.key: key.press for key in extended.keys
    }.items()
    more = [key for key in extended.keys if key not in treble.keys]
    assert {(key.side, key.row) for key in more} == {(s, r) for s in Side for r in range(1, 5)}
    assert all(key.press is not None and key.press.semitone > 96 for key in more)


@pytest.mark.parametrize("name", ["english-treble-48", "english-tenor-treble-56"])
def test_lines_left_spaces_right_and_all_fourteen_names(name: str) -> None:
    """Naturals lie by stave lines and spaces, and only the highest Ab is absent."""
    layout = load_layout(name)
    for key in layout.keys:
        note = key.press
        assert note is not None
        step = 7 * note.octave + "CDEFGAB".index(note.letter)
        assert (step % 2 == 0) == (key.side is LEFT)
    low, high = layout.compass()
    names = {str(key.press) for key in layout.keys}
    complete = {
        f"{name}{octave}"
        for name in CONCERTINA_CHAIN
        for octave in range(2, 8)
        if low.semitone <= SpelledNote.parse(f"{name}{octave}").semitone <= high.semitone
    }
    assert complete - names == {"Ab6"}
    assert names <= complete


def test_the_bass_sounds_on_the_press_only() -> None:
    """Single action: no draw reeds."""
    bass = load_layout("english-bass")
    assert bass.action is Action.SINGLE
    assert {reed.direction for reed in bass.reeds()} == {Direction.PRESS}
    assert all(key.is_unisonoric for key in bass.keys)


def test_only_anglos_have_two_notes_to_a_key() -> None:
    """English keys are unisonoric; the common Anglos have not one unisonoric key."""
    for name in COUNTS:
        layout = load_layout(name)
        unisonoric = {key.is_unisonoric for key in layout.keys}
        assert unisonoric == {layout.system is not System.ANGLO}
