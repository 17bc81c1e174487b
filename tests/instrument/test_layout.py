"""Layouts as values."""

from dataclasses import replace

import pytest

from reedwright.catalogue import load_layout
from reedwright.errors import LayoutError
from reedwright.instrument.layout import Action, Direction, Reed, Side

TREBLE = load_layout("english-treble-48")


def test_reeds_come_key_by_key_press_before_draw() -> None:
    """Every key of a double-action instrument has two reeds."""
    reeds = TREBLE.reeds()
    assert reeds[:2] == (Reed("L1.1", Direction.PRESS), Reed("L1.1", Direction.DRAW))
    assert len(set(reeds)) == 96
    assert str(TREBLE.note(Reed("L1.1", Direction.DRAW))) == "C#4"


def test_keys_and_reeds_that_are_not_there_raise_key_errors() -> None:
    """A wrong address is the caller's mistake."""
    with pytest.raises(KeyError):
        TREBLE.key("L9.9")
    bass = load_layout("english-bass")
    with pytest.raises(KeyError):
        bass.note(Reed("L1.1", Direction.DRAW))


def test_a_layout_that_contradicts_itself_is_refused() -> None:
    """No keys, a key twice, a place twice, draw reeds on a single-action instrument."""
    first = TREBLE.keys[0]
    with pytest.raises(LayoutError, match="at least one key"):
        replace(TREBLE, keys=())
    with pytest.raises(LayoutError, match=r"each key may occur once .* L1.1 occurs 2 times"):
        replace(TREBLE, keys=(first, replace(first, row=9)))
    with pytest.raises(LayoutError, match=r"each place may occur once .* L1.1 occurs 2 times"):
        replace(TREBLE, keys=(first, replace(first, key="other")))
    with pytest.raises(LayoutError, match=r"key L1.1 .* has C#4 on the draw"):
        replace(TREBLE, action=Action.SINGLE)


def test_the_compass_of_a_blank_form_is_refused() -> None:
    """There are no notes to compare."""
    blank = load_layout("duet-six-column-46")
    with pytest.raises(LayoutError, match="blank form; let the instrument teach it"):
        blank.compass()
    assert len(blank.side_keys(Side.LEFT)) == 21
