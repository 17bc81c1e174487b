"""Temperaments against an archive of published scales and against printed tables.

Archive: the scale archive that music21 (BSD-3-Clause) carries, read at test time
and not copied. Its cents are printed to 0.001. Names are traps (its kirnberger3 and
young2 are other temperaments), so each row names the file whose *fifths* are ours.

Table: the A-referenced cents computed independently in the project's notes
and kept with them, and Beebe, Technical Library, Tuning VIII (2008), whose
printed integers those values round to.
"""

import pytest
from music21.scale import scala

from reedwright.catalogue.tunings import read_tunings
from reedwright.instrument.note import SpelledNote
from reedwright.tuning import shown_table
from reedwright.tuning.temperaments import PURE_FIFTH_CENTS, regular

CHROMATIC = ("C#", "D", "Eb", "E", "F", "F#", "G", "G#", "A", "Bb", "B")
FOURTEEN = ("C#", "D", "D#", "Eb", "E", "F", "F#", "G", "G#", "Ab", "A", "Bb", "B")
#: 19 notes of a fifth-comma or sixth-comma chain, as the archive lists them.
NINETEEN = (
    "C#", "Db", "D", "D#", "Eb", "E", "E#", "F", "F#", "Gb", "G", "G#", "Ab", "A", "A#", "Bb",
    "B", "B#",
)  # fmt: skip

CASES = [
    ("quarter-comma", "meanquar_14.scl", FOURTEEN),
    ("fifth-comma", "meanfifth.scl", CHROMATIC),
    ("fifth-comma", "meanfifth_19.scl", NINETEEN),
    ("sixth-comma", "meansixth.scl", CHROMATIC),
    ("sixth-comma", "meansixth_19.scl", NINETEEN),
    ("pythagorean", "pyth_12.scl", CHROMATIC),
    ("werckmeister-3", "werck3.scl", CHROMATIC),
    ("kirnberger-3", "kirnberger.scl", CHROMATIC),
    ("vallotti", "vallotti.scl", CHROMATIC),
    ("young-2", "young.scl", CHROMATIC),
    ("just-12", "duodene.scl", CHROMATIC),
]


@pytest.mark.parametrize(("name", "file", "names"), CASES)
def test_cents_above_c_agree_with_the_archive(name: str, file: str, names: tuple[str, ...]) -> None:
    """Every note lies where the archive's scale has it, to its last printed digit."""
    published = scala.parse(file).getCentsAboveTonic()  # type: ignore[no-untyped-call]
    temperament = read_tunings().temperament(name)
    assert len(published) == len(names) + 1
    for note_name, cents in zip(names, published, strict=False):
        note = SpelledNote.parse(note_name + "4")
        ours = 100.0 * (note.semitone - 60) + temperament.deviation_cents(note)
        assert ours == pytest.approx(cents, abs=0.00051), note_name


#: Order C C# D D# Eb E F F# G G# Ab A Bb B, cents re equal, A = 0.
ORDER = ("C", "C#", "D", "D#", "Eb", "E", "F", "F#", "G", "G#", "Ab", "A", "Bb", "B")
PRINTED = {
    "quarter-comma": (
        10.265, -13.686, 3.422, -20.529, 20.529, -3.422, 13.686, -10.265, 6.843, -17.108, 23.951,
        0.0, 17.108, -6.843,
    ),
    "fifth-comma": (
        7.039, -9.385, 2.346, -14.078, 14.078, -2.346, 9.385, -7.039, 4.693, -11.731, 16.424,
        0.0, 11.731, -4.693,
    ),
    "sixth-comma": (
        4.888, -6.518, 1.629, -9.776, 9.776, -1.629, 6.518, -4.888, 3.259, -8.147, 11.406,
        0.0, 8.147, -3.259,
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", PRINTED)
def test_deviations_with_a_at_zero_agree_with_the_table(name: str) -> None:
    """The figures a bench display shows, to the last printed digit."""
    shown = dict(shown_table(read_tunings().temperament(name)))
    for note_name, cents in zip(ORDER, PRINTED[name], strict=True):
        assert shown[note_name] == pytest.approx(cents, abs=0.00051), note_name


def test_quarter_comma_gives_pure_major_thirds() -> None:
    """Aron 1523: a quarter-comma fifth of 696.578 makes C-E the ratio 5/4, 386.314 cents."""
    temperament = read_tunings().temperament("quarter-comma")
    assert temperament.fifth_cents == pytest.approx(696.578, abs=0.0005)
    third = 400.0 + temperament.deviation_cents(SpelledNote.parse("E4"))
    assert third == pytest.approx(386.313714, abs=1e-6)


def test_the_printed_fifth_comma_table_is_not_the_exact_one() -> None:
    """The table handed on steps by 2 cents a fifth; exact is 2.346: both can be chosen."""
    tunings = read_tunings()
    printed = dict(shown_table(tunings.temperament("fifth-comma-as-printed")))
    assert (printed["C"], printed["D#"], printed["Ab"]) == pytest.approx((6.0, -12.0, 14.0))
    assert dict(shown_table(tunings.temperament("fifth-comma")))["Ab"] == pytest.approx(
        16.4, abs=0.05
    )


def test_pure_fifths_overshoot_by_the_pythagorean_comma() -> None:
    """Twelve pure fifths exceed seven octaves by 23.460010 cents."""
    chain = regular("p", "pure", fifth_cents=PURE_FIFTH_CENTS, evidence="")
    low, high = SpelledNote.parse("Ab4"), SpelledNote.parse("G#4")
    assert chain.deviation_cents(high) - chain.deviation_cents(low) == pytest.approx(
        23.460010, abs=1e-6
    )
