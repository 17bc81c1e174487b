"""Notes laid along the order of playing, without any sound: pitches and times are given."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reedwright.catalogue import load_layout
from reedwright.instrument.layout import Direction, Layout, Reed
from reedwright.instrument.orders import survey_order
from reedwright.listening.alignment import Alignment, HeardNote, expected_notes
from reedwright.listening.by_pitch import matched_by_pitch
from reedwright.listening.settling import SURE
from reedwright.listening.tuning_search import aligned

TREBLE = load_layout("english-treble-48")
PRESS, DRAW = Direction.PRESS, Direction.DRAW


def reeds_in(layout: Layout, order: str = "ascending") -> tuple[Reed, ...]:
    return survey_order(layout, order).reeds


def played(
    layout: Layout,
    reeds: Sequence[Reed],
    *,
    seed: int = 1,
    shift_cents: float = 46.0,
    fifth_cents: float = 0.0,
    spread_cents: float = 8.0,
    tried: tuple[Reed, int] | None = None,
) -> list[HeardNote]:
    """Return what would be heard if those reeds were played: each a little off, 3 s each.

    ``tried`` is a silent reed and the note before which the player waited for it.
    """
    rng = np.random.default_rng(seed)
    off_cents = {reed: rng.uniform(-spread_cents, spread_cents) for reed in layout.reeds()}
    notes = []
    now_s = 1.0
    for number, reed in enumerate(reeds):
        if tried is not None and tried[1] == number:
            now_s += 1.5
        note = layout.note(reed)
        offset_cents = 100.0 * (note.semitone - 69) + fifth_cents * (note.fifths - 3)
        offset_cents += shift_cents + off_cents[reed] + rng.normal(0.0, 0.1)
        notes.append(HeardNote(offset_cents, now_s, now_s + 3.0, 3.0))
        is_turn = number + 1 < len(reeds) and reeds[number + 1].key == reed.key
        now_s += 3.0 + (0.2 if is_turn else 0.5) * float(np.exp(rng.normal(0.0, 0.3)))
    return notes


def laid(notes: Sequence[HeardNote], order: Sequence[Reed], layout: Layout = TREBLE) -> Alignment:
    return aligned(notes, expected_notes(layout, order))


def confidence(alignment: Alignment, note: int) -> float:
    place = alignment.places[note]
    assert place is not None
    return float(alignment.probabilities[note, place])


@pytest.mark.parametrize("order", ["ascending", "press-then-draw", "by-row"])
@pytest.mark.parametrize("name", ["english-treble-48", "anglo-30-a", "english-bass"])
def test_every_reed_played_once_is_named(order: str, name: str) -> None:
    """Nothing missing, nothing again: every place is right, and hardly any in doubt."""
    layout = load_layout(name)
    reeds = reeds_in(layout, order)
    alignment = laid(played(layout, reeds), reeds, layout)
    assert alignment.places == tuple(range(len(reeds)))
    doubts = sum(confidence(alignment, note) < SURE for note in range(len(reeds)))
    assert doubts <= 0.08 * len(reeds)


@settings(max_examples=15, deadline=None)
@given(
    shift_cents=st.floats(-100.0, 100.0),
    fifth_cents=st.floats(-3.5, 1.0),
    seed=st.integers(0, 1000),
)
def test_pitch_and_temperament_of_the_whole_do_not_matter(
    shift_cents: float, fifth_cents: float, seed: int
) -> None:
    """Whatever the pitch within 100 cents and the fifth, the same reeds are named."""
    reeds = reeds_in(TREBLE)
    silent = [reeds[k] for k in np.random.default_rng(seed).choice(96, 4, replace=False)]
    sounding = [reed for reed in reeds if reed not in silent]
    notes = played(TREBLE, sounding, shift_cents=shift_cents, fifth_cents=fifth_cents, seed=seed)
    alignment = laid(notes, reeds)
    assert alignment.manner.shift_cents == pytest.approx(shift_cents, abs=4.0)
    assert alignment.manner.fifth_cents == pytest.approx(fifth_cents, abs=1.0)
    for note, place in enumerate(alignment.places):
        assert place is not None
        if confidence(alignment, note) >= SURE:
            assert reeds[place] == sounding[note]
        assert TREBLE.note(reeds[place]).semitone == TREBLE.note(sounding[note]).semitone


def test_the_order_reversed_gives_the_same_reeds() -> None:
    """Played and listed from the top down, nothing changes."""
    reeds = reeds_in(TREBLE)
    sounding = [reed for reed in reeds if reed not in (reeds[10], reeds[41])]
    forward = laid(played(TREBLE, sounding), reeds)
    backward = laid(played(TREBLE, sounding[::-1]), reeds[::-1])
    names = [reeds[place] for place in forward.places if place is not None]
    mirrored = [reeds[::-1][place] for place in backward.places if place is not None]
    sure = [
        confidence(forward, note) > SURE and confidence(backward, 93 - note) > SURE
        for note in range(94)
    ]
    assert sum(sure) > 85
    assert all(
        one == other
        for one, other, is_sure in zip(names, mirrored[::-1], sure, strict=True)
        if is_sure
    )


@pytest.mark.parametrize("silent", [PRESS, DRAW])
def test_which_of_a_pair_is_silent_is_never_settled(silent: Direction) -> None:
    """One sound where two equal reeds were due: the other reed stays open, and is named."""
    reeds = reeds_in(TREBLE)
    key = "L2.2"
    sounding = [reed for reed in reeds if reed != Reed(key, silent)]
    note = next(k for k, reed in enumerate(sounding) if reed.key == key)
    waited = note if silent is PRESS else note + 1
    for seed in range(5):
        # That the player waited for it says which, but is no proof.
        notes = played(TREBLE, sounding, seed=seed, tried=(Reed(key, silent), waited))
        alignment = laid(notes, reeds)
        assert alignment.places[note] == reeds.index(sounding[note])
        assert confidence(alignment, note) < SURE
        both = [reeds.index(Reed(key, direction)) for direction in (PRESS, DRAW)]
        assert np.sum(alignment.probabilities[note, both]) > 0.99


def test_a_reed_played_again_is_that_reed_again() -> None:
    """Three sounds, the last two of exactly one pitch, which differs from the first."""
    reeds = reeds_in(TREBLE)
    again = reeds.index(Reed("L2.3", DRAW))
    sounding = [*reeds[: again + 1], *reeds[again:]]
    notes = played(TREBLE, sounding, spread_cents=20.0, seed=6)
    alignment = laid(notes, reeds)
    assert abs(notes[again].offset_cents - notes[again - 1].offset_cents) > 5.0
    assert alignment.places[again - 1 : again + 2] == (again - 1, again, again)


def test_a_false_start_is_not_the_next_reed() -> None:
    """A short sound, then press and draw: the short one was the press, begun and broken off."""
    reeds = reeds_in(TREBLE)
    press = reeds.index(Reed("L2.3", PRESS))
    notes = played(TREBLE, [*reeds[: press + 1], *reeds[press:]], seed=2)
    for number in (press, press + 1, press + 2):
        notes[number] = replace(notes[number], offset_cents=notes[press].offset_cents)
    notes[press] = replace(notes[press], end_s=notes[press].start_s + 0.3)
    alignment = laid(notes, reeds)
    assert alignment.places[press : press + 3] == (press, press, press + 1)
    assert confidence(alignment, press + 1) > 0.9


def test_a_reed_played_later_is_found() -> None:
    """A key passed over and played five keys later; its two reeds are told as far as can be."""
    reeds = list(reeds_in(TREBLE))
    # G4, of which there is one key.
    key = next(key.key for key in TREBLE.keys if key.press is not None and key.press.name == "G4")
    first = reeds.index(Reed(key, PRESS))
    late = reeds[first : first + 2]
    sounding = [*reeds[:first], *reeds[first + 2 : first + 12], *late, *reeds[first + 12 :]]
    alignment = laid(played(TREBLE, sounding), reeds)
    for note, reed in enumerate(sounding):
        place = alignment.places[note]
        assert place is not None
        if confidence(alignment, note) >= SURE:
            assert reeds[place] == reed
        assert reeds[place].key == reed.key


def test_what_is_no_reed_takes_no_place() -> None:
    """A syllable at the pitch of C4, which was not due, is left out and shifts nothing."""
    reeds = reeds_in(TREBLE)
    notes = played(TREBLE, reeds)
    place = 40
    syllable = HeardNote(-854.0, notes[place].start_s - 0.2, notes[place].start_s - 0.1, -3.0)
    alignment = laid([*notes[:place], syllable, *notes[place:]], reeds)
    expected = [*range(place), None, *range(place, 96)]
    assert list(alignment.places) == expected


def test_a_few_notes_leave_the_pitch_of_the_whole_open() -> None:
    """Six notes from the middle could be a semitone lower on a sharper instrument."""
    reeds = reeds_in(TREBLE)
    alignment = laid(played(TREBLE, reeds[40:46], shift_cents=50.0), reeds)
    assert alignment.rival_shift_cents is not None
    stated = aligned(
        played(TREBLE, reeds[40:46], shift_cents=50.0),
        expected_notes(TREBLE, reeds),
        stated_cents=50.0,
    )
    assert stated.places == tuple(range(40, 46))


def test_without_an_order_equal_reeds_stay_open() -> None:
    """By pitch alone the note is right; which of the reeds of that note is open."""
    reeds = TREBLE.reeds()
    sounding = list(reeds_in(TREBLE, "by-row"))
    notes = played(TREBLE, sounding, shift_cents=5.0, spread_cents=5.0)
    alignment = matched_by_pitch(notes, expected_notes(TREBLE, reeds), stated_cents=0.0)
    for note, reed in enumerate(sounding):
        place = alignment.places[note]
        assert place is not None
        assert TREBLE.note(reeds[place]).semitone == TREBLE.note(reed).semitone
        assert confidence(alignment, note) < 0.51
    assert alignment.rival_shift_cents is None


@pytest.mark.parametrize(("shift_cents", "is_open"), [(10.0, False), (48.0, True)])
def test_without_an_order_half_a_semitone_off_is_open(shift_cents: float, is_open: bool) -> None:
    """Near 50 cents from the stated A4 both readings are offered."""
    reeds = TREBLE.reeds()
    notes = played(TREBLE, reeds[20:30], shift_cents=shift_cents, spread_cents=4.0)
    alignment = matched_by_pitch(notes, expected_notes(TREBLE, reeds), stated_cents=0.0)
    assert (alignment.rival_shift_cents is not None) == is_open
    named = {
        TREBLE.note(reeds[k]).semitone
        for k in np.flatnonzero(alignment.probabilities[0, :-1] > 0.01)
    }
    assert (len(named) == 2) == is_open
