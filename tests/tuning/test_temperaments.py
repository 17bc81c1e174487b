"""Temperaments by their definition: closure, spelling, references, refusals."""

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reedwright.catalogue.tunings import read_tunings
from reedwright.errors import InputError
from reedwright.instrument.note import CONCERTINA_CHAIN, SpelledNote
from reedwright.tuning import (
    Kind,
    Scheme,
    Temperament,
    circulating,
    from_table,
    regular,
    target_frequency_hz,
    with_own_notes,
)

TUNINGS = read_tunings()
notes = st.builds(
    lambda name, octave: SpelledNote.parse(f"{name}{octave}"),
    st.sampled_from(CONCERTINA_CHAIN),
    st.integers(min_value=1, max_value=7),
)


@pytest.mark.parametrize(
    "temperament",
    [t for t in TUNINGS.temperaments if t.kind is Kind.CIRCULATING],
    ids=lambda t: t.temperament,
)
def test_a_circulating_temperament_closes(temperament: Temperament) -> None:
    """The twelve fifths read back from the notes add up to seven octaves, to 1e-9 cent."""
    circle = ("C", "G", "D", "A", "E", "B", "F#", "C#", "G#", "Eb", "Bb", "F", "C")
    places = {
        name: 100.0 * (SpelledNote.parse(name + "4").semitone - 60)
        + temperament.deviation_cents(SpelledNote.parse(name + "4"))
        for name in circle
    }
    fifths = [(places[upper] - places[lower]) % 1200.0 for lower, upper in pairwise(circle)]
    assert all(690.0 < fifth < 705.0 for fifth in fifths)
    assert math.fsum(fifths) == pytest.approx(8400.0, abs=1e-9)


@given(note=notes, fifth_cents=st.floats(min_value=690.0, max_value=705.0))
def test_going_up_a_fifth_multiplies_by_the_fifth(note: SpelledNote, fifth_cents: float) -> None:
    """In a regular temperament two notes a fifth apart stand in the ratio of that fifth."""
    scheme = Scheme(440.0, regular("own", "own", fifth_cents=fifth_cents, evidence="a test"))
    upper = next(
        (
            SpelledNote.parse(f"{name}{octave}")
            for name in CONCERTINA_CHAIN
            for octave in (note.octave, note.octave + 1)
            if SpelledNote.parse(f"{name}{octave}").fifths == note.fifths + 1
            and SpelledNote.parse(f"{name}{octave}").semitone == note.semitone + 7
        ),
        None,
    )
    if upper is None:
        assert note.pitch_class_name == "D#"
        return
    ratio = target_frequency_hz(upper, scheme) / target_frequency_hz(note, scheme)
    assert 1200.0 * math.log2(ratio) == pytest.approx(fifth_cents, abs=1e-9)


@given(note=notes)
def test_equal_temperament_is_the_formula(note: SpelledNote) -> None:
    """440 * 2^((n - 69)/12), whatever the spelling and whatever the reference."""
    for reference in ("A", "C", "G#"):
        scheme = Scheme(440.0, TUNINGS.temperament("equal"), reference)
        assert target_frequency_hz(note, scheme) == pytest.approx(
            440.0 * 2 ** ((note.semitone - 69) / 12), rel=1e-14
        )


def test_the_reference_note_keeps_its_place() -> None:
    """With C as reference, C lies as in equal temperament and A is 10.3 cents flat."""
    scheme = Scheme(440.0, TUNINGS.temperament("quarter-comma"), "C")
    assert target_frequency_hz(SpelledNote.parse("C4"), scheme) == pytest.approx(261.625565, 1e-8)
    a4_hz = target_frequency_hz(SpelledNote.parse("A4"), scheme)
    assert 1200 * math.log2(a4_hz / 440) == pytest.approx(-10.265, abs=0.001)


def test_spelling_decides_the_pitch() -> None:
    """In quarter-comma D# and Eb are 41 cents apart, in a circulating temperament one pitch."""
    meantone = Scheme(440.0, TUNINGS.temperament("quarter-comma"))
    closed = Scheme(440.0, TUNINGS.temperament("vallotti"))
    sharp, flat = SpelledNote.parse("D#5"), SpelledNote.parse("Eb5")
    gap = target_frequency_hz(flat, meantone) / target_frequency_hz(sharp, meantone)
    assert 1200 * math.log2(gap) == pytest.approx(41.059, abs=0.001)
    assert target_frequency_hz(sharp, closed) == target_frequency_hz(flat, closed)


def test_own_figures_are_added_to_single_notes() -> None:
    """A figure for a class holds in all octaves; one for a note with octave wins."""
    base = TUNINGS.temperament("equal")
    own = with_own_notes(base, {"F#": 3.0, "F#5": -2.0, "C4": 1.5})
    given_cents = {name: own.deviation_cents(SpelledNote.parse(name)) for name in
                   ("F#3", "F#5", "C4", "C5", "G4")}  # fmt: skip
    assert given_cents == {"F#3": 3.0, "F#5": -2.0, "C4": 1.5, "C5": 0.0, "G4": 0.0}
    assert base.note_deviations_cents == ()


def test_what_cannot_be_a_temperament_is_refused() -> None:
    """A wild fifth, a circle that does not close, a shifted table, a wild pitch: in words."""
    with pytest.raises(InputError, match="between 680 and 720 cents, got 650"):
        regular("x", "x", fifth_cents=650.0, evidence="")
    with pytest.raises(InputError, match=r"12 fifths, 24\.000 cents"):
        circulating("x", "x", tempering_cents=[-2.0] * 12, evidence="")
    with pytest.raises(InputError, match="needs C = 0"):
        from_table("x", "x", cents_above_c={"C": 5.0}, evidence="")
    with pytest.raises(InputError, match="E must lie within 60 cents"):
        from_table("x", "x", cents_above_c={"C": 0.0, "E": 700.0}, evidence="")
    with pytest.raises(InputError, match="between 300 and 600 Hz, got 44"):
        Scheme(44.0, TUNINGS.temperament("equal"))
    with pytest.raises(InputError, match="has no figure for Cb"):
        TUNINGS.temperament("vallotti").deviation_cents(SpelledNote.parse("Cb4"))
