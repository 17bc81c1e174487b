"""Spelled notes."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reedwright.errors import InputError
from reedwright.instrument.note import CONCERTINA_CHAIN, SpelledNote

NOTES = st.builds(SpelledNote, st.sampled_from("ABCDEFG"), st.integers(-2, 2), st.integers(0, 8))


@given(NOTES)
def test_a_note_reads_back_what_it_writes(note: SpelledNote) -> None:
    """By name, by the printed signs of sharps and flats, and by place and semitone."""
    assert SpelledNote.parse(note.name) == note
    if abs(note.alteration) < 2:
        assert SpelledNote.parse(note.printed) == note
    assert SpelledNote.from_fifths(note.fifths, note.semitone) == note


def test_semitones_and_fifths_of_known_notes() -> None:
    """C4 is 60, A4 is 69 (scientific pitch notation); the chain runs from Ab to D#."""
    assert SpelledNote.parse("C4").semitone == 60
    assert SpelledNote.parse("A4").semitone == 69
    assert SpelledNote.parse("G#4").semitone == SpelledNote.parse("Ab4").semitone == 68
    assert SpelledNote.parse("B#3").semitone == SpelledNote.parse("C4").semitone
    fifths = [SpelledNote.parse(f"{name}4").fifths for name in CONCERTINA_CHAIN]
    assert fifths == list(range(-4, 10))


def test_a_spelling_that_does_not_sound_is_refused() -> None:
    """Place 0 is C and sounds no C sharp."""
    with pytest.raises(InputError, match=r"place 0 .* does not sound semitone 61"):
        SpelledNote.from_fifths(0, 61)


@pytest.mark.parametrize("text", ["", "c4", "H4", "C", "C###4", "C#", "4C"])
def test_what_is_no_note_is_refused(text: str) -> None:
    """The message shows the text and how to write it."""
    with pytest.raises(InputError, match=r"write it like G#4 or Ab4"):
        SpelledNote.parse(text)
    with pytest.raises(InputError, match="alteration from -2 to 2"):
        SpelledNote("C", 3, 4)
