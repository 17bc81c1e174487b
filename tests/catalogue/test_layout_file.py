"""Layout files: what can be written in them, and what is refused and how."""

from pathlib import Path

import pytest

from reedwright.catalogue import layout_from_toml, layout_names, layout_toml, load_layout
from reedwright.errors import InputError, LayoutError, NotFound, ReedwrightError
from reedwright.instrument.layout import Side

HEAD = """
layout = "mine"
title = "Mine"
system = "english"
action = "double"
evidence_mark = "own"
confidence = "high"
evidence = "My own instrument."
"""
ROW = """
[[row]]
side = "left"
row = 1
notes = ["C4", "G4"]
"""


def test_a_file_is_loaded_by_its_path(tmp_path: Path) -> None:
    """A name ending in .toml is a file, as text or as a path."""
    path = tmp_path / "mine.toml"
    path.write_text(HEAD + ROW, encoding="utf-8")
    assert [str(key.press) for key in load_layout(path).keys] == ["C4", "G4"]
    assert load_layout(str(path)) == load_layout(path)
    assert load_layout(path).keys[1].key == "L1.2"


def test_a_single_button_is_overridden() -> None:
    """A button may change one direction or both, or lose a reed."""
    layout = layout_from_toml(
        HEAD
        + ROW
        + '[[button]]\nkey = "L1.1"\npress = "F3"\n[[button]]\nkey = "L1.2"\nnote = "A3"\n',
        place="mine.toml",
    )
    assert [(str(k.press), str(k.draw)) for k in layout.keys] == [("F3", "C4"), ("A3", "A3")]
    silent = layout_from_toml(
        HEAD + ROW + '[[button]]\nkey = "L1.2"\ndraw = "-"\n', place="mine.toml"
    )
    assert len(silent.reeds()) == 3
    assert silent.keys[1].draw is None


def test_press_and_draw_may_differ_and_lack_reeds() -> None:
    """A row of pairs; a dash is a button without a reed in that direction."""
    layout = layout_from_toml(
        HEAD + '[[row]]\nside = "right"\nrow = 2\npress = ["C4", "-"]\ndraw = ["D4", "F4"]\n',
        place="mine.toml",
    )
    assert [reed.key for reed in layout.reeds()] == ["R2.1", "R2.1", "R2.2"]
    assert layout.keys[1].press is None


def test_the_rows_of_a_layout_may_lie_in_another_order() -> None:
    """In the file or when loading; the keys take the names of their new places."""
    swapped = load_layout("english-treble-48", row_order=(1, 3, 2, 4))
    assert str(swapped.key("L2.1").press) == "A3"
    assert str(swapped.key("L3.1").press) == "C4"
    assert len(swapped.keys) == 48
    text = HEAD.replace("evidence_mark", "row_order = [2, 1]\nevidence_mark") + ROW
    text += '[[row]]\nside = "left"\nrow = 2\nnotes = ["A3"]\n'
    layout = layout_from_toml(text + '[[button]]\nkey = "L1.1"\nnote = "B3"\n', place="mine.toml")
    assert [(k.key, str(k.press)) for k in layout.keys] == [
        ("L1.1", "B3"),
        ("L2.1", "C4"),
        ("L2.2", "G4"),
    ]


@pytest.mark.parametrize(
    ("slug", "home", "low"),
    [
        ("anglo-30-a-gd", "G/D", "G2"),
        ("anglo-30-b-bbf", "Bb/F", "Bb2"),
        ("anglo-30-a-abeb", "Ab/Eb", "Ab2"),
        ("anglo-20-da", "D/A", "D3"),
        ("anglo-20-csgs", "C#/G#", "C#3"),
        ("anglo-20-gd-high", "G/D", "G3"),
        ("anglo-20-fc-low", "F/C", "F2"),
    ],
)
def test_an_anglo_in_other_home_keys_by_its_slug(slug: str, home: str, low: str) -> None:
    """The lowest button of the lower home row names the instrument."""
    layout = load_layout(slug)
    assert layout.layout == slug
    assert layout.home_keys == home
    assert layout.title.endswith(home)
    assert str(layout.key("L2.1").press) == low


def test_home_keys_as_an_option() -> None:
    """The option and the slug give the same layout; C/G is the table itself."""
    assert load_layout("anglo-30-a", home_keys="G/D") == load_layout("anglo-30-a-gd")
    assert load_layout("anglo-30-a-cg") == load_layout("anglo-30-a")


def test_the_order_of_the_chambers_can_be_written_down() -> None:
    """For one pan or both; a list that is not the keys of its end is refused."""
    text = HEAD + ROW + '[chambers]\nleft = ["L1.2", "L1.1"]\n'
    layout = layout_from_toml(text, place="mine.toml")
    assert layout.left_chambers == ("L1.2", "L1.1")
    assert layout.right_chambers == ()
    assert layout_from_toml(layout_toml(layout), place="mine.toml") == layout
    with pytest.raises(LayoutError, match=r"mine.toml, chambers: .*L1.2 is missing"):
        layout_from_toml(HEAD + ROW + '[chambers]\nleft = ["L1.1"]\n', place="mine.toml")


def test_a_blank_row_is_written_with_its_number_of_keys() -> None:
    """``keys = 3`` gives three buttons without notes."""
    layout = layout_from_toml(
        HEAD + '[[row]]\nside = "right"\nrow = 1\nkeys = 3\n', place="mine.toml"
    )
    assert layout.is_blank
    assert [key.key for key in layout.side_keys(Side.RIGHT)] == ["R1.1", "R1.2", "R1.3"]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", r"mine.toml: the file must not be empty"),
        ("layout =\n", r"mine.toml: the file must be TOML, and it is not: .*line 1.*correct"),
        (HEAD, r"mine.toml, row: the field 'row' must be given.*add it"),
        (HEAD + ROW.replace("notes", "nots"), r"row 1 \(left 1\), nots: only known.*'nots'.*notes"),
        (HEAD.replace("title", "titel") + ROW, r"'title' must be given.*\(1 more to correct"),
        (
            HEAD.replace("own", "sure", 1) + ROW,
            r"evidence_mark: input should be 'published'.*'sure'",
        ),
        (HEAD.replace('"mine"', '"My Own"') + ROW, r"mine.toml, layout: .*'My Own'; write"),
        (HEAD + ROW.replace("G4", "Db4"), r"notes 2: a note has one of .*got 'Db4'; write C#4"),
        (HEAD + ROW.replace("G4", "H4"), r"row 1 \(left 1\), notes 2: a note is .*'H4'.*like G#4"),
        (HEAD + ROW.replace('"G4"', "4"), r"row 1 \(left 1\), notes 2: .*string, got 4"),
        (HEAD + ROW + ROW, r"row 2 \(left 1\): each row may be written once"),
        (HEAD + ROW.replace('["C4", "G4"]', "[]"), r"row 1 \(left 1\): .*at least one button"),
        (HEAD + ROW + 'press = ["C4"]\n', r"row 1 .*got notes and press; keep one kind"),
        (HEAD + '[[row]]\nside = "left"\nrow = 1\n', r"row 1 .*got none; keep one kind"),
        (
            HEAD + '[[row]]\nside = "left"\nrow = 1\npress = ["C4"]\ndraw = ["C4", "D4"]\n',
            r"row 1 \(left 1\): press and draw list the same buttons, got 1 and 2",
        ),
        (HEAD + ROW.replace("row = 1", 'row = "1"'), r"row 1 \(left 1\), row: .*integer, got '1'"),
        (HEAD + ROW.replace("left", "top"), r"row 1 \(top 1\), side: .*'left' or 'right'"),
        (
            HEAD + ROW + '[[button]]\nkey = "R9.9"\nnote = "C4"\n',
            r"button 1 \(R9.9\): .*L1.1, L1.2",
        ),
        (HEAD + ROW + '[[button]]\nkey = "L1.1"\n', r"button 1: .*L1.1 gives none; add one"),
        (
            HEAD + ROW + '[[button]]\nkey = "L1.1"\nnote = "C4"\npress = "C4"\n',
            r"button 1: .*gives both; keep one",
        ),
        (
            HEAD + ROW + 2 * '[[button]]\nkey = "L1.1"\nnote = "C4"\n',
            r"button 2 \(L1.1\): each button may be changed once",
        ),
        (
            HEAD + ROW + '[[button]]\nkey = "L1.1"\nnote = "c4"\n',
            r"button 1 \(L1.1\), note: .*'c4'",
        ),
        ("row_order = [1, 2]\n" + HEAD + ROW, r"mine.toml: a row order names every row once"),
        ('home_keys = "C/F"\n' + HEAD + ROW, r"mine.toml, home_keys: .*'C/F'"),
        (
            HEAD.replace("double", "single")
            + '[[row]]\nside = "left"\nrow = 1\npress = ["C4"]\ndraw = ["C4"]\n',
            r"mine.toml: a single-action .*press reeds only.*C4 on the draw",
        ),
        (
            HEAD.replace("double", "single") + ROW + '[[button]]\nkey = "L1.1"\ndraw = "C4"\n',
            r"mine.toml: a single-action .*key L1.1",
        ),
        ("title = 1\n" + HEAD + ROW, r"must be TOML"),
    ],
)
def test_a_file_that_describes_no_instrument_is_refused_with_the_place(
    text: str, message: str
) -> None:
    """The message says the file, the row or button, the rule, the value and the remedy."""
    with pytest.raises(LayoutError, match=message):
        layout_from_toml(text, place="mine.toml")


def test_a_single_action_row_may_be_written_with_notes() -> None:
    """Notes on a single-action instrument are its press reeds; so is a button's note."""
    layout = layout_from_toml(
        HEAD.replace("double", "single") + ROW + '[[button]]\nkey = "L1.1"\nnote = "D4"\n',
        place="mine.toml",
    )
    assert [(str(k.press), k.draw) for k in layout.keys] == [("D4", None), ("G4", None)]


def test_a_file_that_is_not_utf8_is_refused(tmp_path: Path) -> None:
    """The message gives the byte."""
    path = tmp_path / "mine.toml"
    path.write_bytes(b'title = "\xff"')
    with pytest.raises(LayoutError, match=r"mine.toml: .*UTF-8 text, byte 10 is not.*save"):
        load_layout(path)


def test_what_is_not_there_is_not_found(tmp_path: Path) -> None:
    """A missing file and an unknown name; the names known are listed."""
    with pytest.raises(NotFound, match=r"must exist, .*none.toml does not"):
        load_layout(tmp_path / "none.toml")
    (tmp_path / "folder.toml").mkdir()
    with pytest.raises(LayoutError, match="must be readable"):
        load_layout(tmp_path / "folder.toml")
    with pytest.raises(NotFound) as caught:
        load_layout("english-treble-49")
    assert all(name in str(caught.value) for name in layout_names())
    with pytest.raises(NotFound):
        load_layout("english-treble-48-gd")


@pytest.mark.parametrize(
    ("name", "home_keys", "message"),
    [
        ("english-treble-48", "G/D", "'english-treble-48' has none"),
        ("anglo-20", "G/C", "'G/C'; write one of Ab/Eb"),
        ("anglo-20-da", "G/D", "home keys are given once, got D/A .* and G/D"),
    ],
)
def test_home_keys_that_cannot_be_had_are_refused(name: str, home_keys: str, message: str) -> None:
    """Only on an Anglo, only a pair a fifth apart, only once."""
    with pytest.raises(InputError, match=message) as caught:
        load_layout(name, home_keys=home_keys)
    assert isinstance(caught.value, ReedwrightError)
