"""Transposition: the sound exact, the spelling one of the fourteen names."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reedwright.catalogue import load_layout
from reedwright.errors import InputError
from reedwright.instrument.layout import Layout
from reedwright.instrument.note import CONCERTINA_CHAIN, SpelledNote
from reedwright.instrument.transpose import (
    HOME_KEYS,
    in_home_keys,
    on_concertina_chain,
    transpose_layout,
)

ANGLO = load_layout("anglo-30-a")
TREBLE = load_layout("english-treble-48")


def _semitones(layout: Layout) -> list[int]:
    return [layout.note(reed).semitone for reed in layout.reeds()]


def _names(layout: Layout) -> set[str]:
    return {layout.note(reed).pitch_class_name for reed in layout.reeds()}


@given(st.sampled_from(HOME_KEYS), st.integers(-1, 1))
def test_home_keys_there_and_back_give_the_same_layout(home_keys: str, octaves: int) -> None:
    """Every button sounds its note again; only a name that fell off the chain may be another."""
    there = in_home_keys(ANGLO, home_keys, octaves=octaves)
    back = in_home_keys(there, "C/G")
    octave = _semitones(back)[0] - _semitones(ANGLO)[0]
    assert octave % 12 == 0
    returned = transpose_layout(back, fifths=0, semitones=-octave)
    assert _semitones(returned) == _semitones(ANGLO)
    respelled = {
        (was.press.pitch_class_name, now.press.pitch_class_name)
        for was, now in zip(ANGLO.keys, returned.keys, strict=True)
        if was.press is not None and now.press is not None and was.press != now.press
    }
    assert respelled <= {("D#", "Eb"), ("G#", "Ab")}


@given(st.integers(-12, 12), st.integers(-2, 2))
def test_transposition_moves_every_reed_alike_and_stays_on_the_chain(
    fifths: int, octaves: int
) -> None:
    """Semitones move by one interval; names are of the fourteen; back again it sounds the same."""
    semitones = 7 * fifths % 12 + 12 * octaves
    moved = transpose_layout(TREBLE, fifths=fifths, semitones=semitones)
    assert [b - a for a, b in zip(_semitones(TREBLE), _semitones(moved), strict=True)] == (
        [semitones] * 96
    )
    assert _names(moved) <= set(CONCERTINA_CHAIN)
    assert _semitones(transpose_layout(moved, fifths=-fifths, semitones=-semitones)) == (
        _semitones(TREBLE)
    )


@given(st.builds(SpelledNote, st.sampled_from("ABCDEFG"), st.integers(-2, 2), st.integers(1, 7)))
def test_respelling_keeps_the_sound_and_the_names_of_the_chain(note: SpelledNote) -> None:
    """A note with one of the fourteen names is left alone: G# and Ab both stay."""
    respelled = on_concertina_chain(note)
    assert respelled.semitone == note.semitone
    assert respelled.pitch_class_name in CONCERTINA_CHAIN
    if note.pitch_class_name in CONCERTINA_CHAIN:
        assert respelled == note


@pytest.mark.parametrize(
    ("home_keys", "semitones", "first_draws"),
    [
        ("G/D", -5, "D3 F#3 A3 C4 E4"),
        ("Bb/F", -2, "F3 A3 C4 Eb4 G4"),
        ("Ab/Eb", -4, "Eb3 G3 Bb3 C#4 F4"),
        ("D/A", 2, "A3 C#4 E4 G4 B4"),
    ],
)
def test_the_usual_home_keys(home_keys: str, semitones: int, first_draws: str) -> None:
    """G/D, Bb/F and Ab/Eb lie below C/G, D/A above: common practice, no source."""
    layout = in_home_keys(ANGLO, home_keys)
    assert _semitones(layout)[0] - _semitones(ANGLO)[0] == semitones
    assert " ".join(str(layout.key(f"L2.{n}").draw) for n in range(1, 6)) == first_draws
    assert layout.evidence.endswith(f"Transposed from C/G to {home_keys}.")


def test_each_pitch_of_an_anglo_has_one_spelling_in_any_home_keys() -> None:
    """So that every other reed of a pitch can be found by its name."""
    for home_keys in HOME_KEYS:
        layout = in_home_keys(ANGLO, home_keys)
        assert len(_names(layout)) == len({s % 12 for s in _semitones(layout)}) == 12


def test_what_is_no_interval_or_no_home_key_is_refused() -> None:
    """A fifth is seven semitones; an English has no home keys; C/F is no pair."""
    with pytest.raises(InputError, match=r"by 1 fifths must sound 7 semitones .* got 6"):
        transpose_layout(TREBLE, fifths=1, semitones=6)
    with pytest.raises(InputError, match="'english-treble-48' has none"):
        in_home_keys(TREBLE, "G/D")
    with pytest.raises(InputError, match="a fifth apart, the lower first, got 'C/F'"):
        in_home_keys(ANGLO, "C/F")
