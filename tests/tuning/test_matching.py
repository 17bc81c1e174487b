"""Another instrument's pitches as a target."""

from dataclasses import replace

import pytest
from tests.tuning.invented import TREBLE, TUNINGS, found, scattered, tuned

from reedwright.instrument.layout import Direction, Reed
from reedwright.instrument.note import SpelledNote
from reedwright.tuning import Scheme, note_pitches, target_frequency_hz

EVERY_NOTE = tuple(dict.fromkeys(TREBLE.note(reed) for reed in TREBLE.reeds()))
A4 = SpelledNote.parse("A4")


def test_each_note_is_the_median_of_its_reeds() -> None:
    """Press and draw two cents apart: the note stands between."""
    readings = tuned(440.0, "equal", lambda reed: 2.0 if reed.direction is Direction.PRESS else 0.0)
    pitches = note_pitches(readings, found(readings), EVERY_NOTE)
    assert [pitch.note for pitch in pitches] == list(EVERY_NOTE)
    assert all(pitch.offset_cents == pytest.approx(1.0) for pitch in pitches)
    assert all(pitch.reeds == 2 for pitch in pitches)


def test_a_reed_astray_and_a_reed_in_doubt_have_no_say() -> None:
    """The A4 press reed 50 cents sharp, its draw reed in doubt: A4 is told by the other As."""
    quiet = scattered(1, 1.0)
    key = next(key.key for key in TREBLE.keys if key.press == A4)
    press, draw = Reed(key, Direction.PRESS), Reed(key, Direction.DRAW)
    readings = [
        replace(reading, doubt="Is it?") if Reed(str(reading.key), reading.direction) == draw
        else reading
        for reading in tuned(440.0, "equal", lambda reed: 50.0 if reed == press else quiet(reed))
    ]  # fmt: skip
    pitch = next(p for p in note_pitches(readings, found(readings), EVERY_NOTE) if p.note == A4)
    assert pitch.reeds == 0
    assert pitch.offset_cents == pytest.approx(0.0, abs=1.5)


def test_a_note_the_other_does_not_have_is_told_by_its_tuning() -> None:
    """E# is on no treble: its pitch is that of the meantone the instrument is in."""
    readings = tuned(452.5, "quarter-comma", scattered(2, 0.5))
    wanted = SpelledNote.parse("E#5")
    pitch = note_pitches(readings, found(readings), [wanted])[0]
    scheme = Scheme(452.5, TUNINGS.temperament("quarter-comma"))
    assert pitch.reeds == 0
    assert pitch.frequency_hz == pytest.approx(target_frequency_hz(wanted, scheme), rel=5e-4)


def test_a_missing_octave_is_told_by_the_others() -> None:
    """In a circulating temperament a missing note takes the offset of its other octaves."""
    missing = SpelledNote.parse("F5")
    readings = [r for r in tuned(440.0, "vallotti") if r.note != missing]
    pitch = note_pitches(readings, found(readings), [missing])[0]
    scheme = Scheme(440.0, TUNINGS.temperament("vallotti"))
    assert pitch.frequency_hz == pytest.approx(target_frequency_hz(missing, scheme), rel=1e-6)
