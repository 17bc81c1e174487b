"""Which tunings an instrument may have been given, and how likely each is beforehand.

Conventions: ``pattern`` values are cents from equal temperament with A at zero, so that
what remains is the pitch of A. Places on the chain of fifths are counted from C.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from reedwright.errors import InputError
from reedwright.instrument.note import SpelledNote
from reedwright.tuning.model import Kind, Temperament
from reedwright.tuning.outlier_mixture import Design

__all__ = ["Candidate", "Family", "candidates_of", "chain_places"]

Values = NDArray[np.float64]

#: Before any reading. Equal, regular and circulating tunings are held equally likely, and
#: one instrument in twenty to follow none of them.
_OTHER_SHARE = 0.05
_KNOWN_SHARE = (1.0 - _OTHER_SHARE) / 3.0
#: Half of the regular tunings are thought to be one that has a name, the other half some
#: meantone with a fifth of 697.5 cents, give or take 1.0 (quarter-comma 696.6, sixth-comma
#: 698.4): who wanted 699.8 wanted 700. Half of the circulating ones are thought to be
#: centred on C as their tables are, the other half to be turned by any number of fifths.
_NAMED_SHARE = 0.5
_MEANTONE_FIFTH_CENTS, _MEANTONE_DOUBT_CENTS = 697.5, 1.0
_AS_WRITTEN_SHARE = 0.5
#: Where there is no system, each note class lies so far from a chain of any fifths.
_OWN_PATTERN_CENTS = 8.0
_ANY_FIFTH_CENTS, _ANY_FIFTH_DOUBT_CENTS = 698.0, 2.5
#: A is anywhere within several semitones of 440 Hz.
_A4_DOUBT_CENTS = 200.0
_EQUAL_WITHIN_CENTS = 1e-6
_A = SpelledNote.parse("A4")


class Family(StrEnum):
    """What kind of tuning it is; UNCLEAR where none of the three can be told."""

    EQUAL = "equal"
    REGULAR = "regular"
    CIRCULATING = "circulating"
    UNCLEAR = "unclear"


@dataclass(frozen=True, slots=True, eq=False)
class Candidate:
    """A tuning held possible, for the notes of one survey.

    ``temperament`` is the slug of a named one, else None. ``turned_fifths`` is how many
    fifths a circulating one is turned towards the sharps. ``prior`` is its share of all
    candidates. The first coefficient of ``design`` is the pitch of A.
    """

    family: Family
    title: str
    temperament: str | None
    turned_fifths: int
    prior: float
    design: Design


def chain_places(notes: Sequence[SpelledNote]) -> Values:
    """Return where each note lies on the chain of fifths, counted from A."""
    return np.array([note.fifths - _A.fifths for note in notes], dtype=float)


def candidates_of(
    notes: Sequence[SpelledNote], temperaments: Sequence[Temperament]
) -> tuple[Candidate, ...]:
    """Return every tuning held possible for these notes; the priors add up to 1.

    Parameters
    ----------
    notes : sequence of SpelledNote
        Of the reeds, in the order of their offsets.
    temperaments : sequence of Temperament
        Those that can be named; circulating ones are turned through all twelve fifths,
        and one with no figure for some of the notes is left out.
    """
    places = chain_places(notes)
    known = [
        *_equal(places),
        *_regular(places, [t for t in temperaments if t.kind is Kind.REGULAR]),
        *_circulating(notes, [t for t in temperaments if t.kind is Kind.CIRCULATING]),
        *_other(notes, places, [t for t in temperaments if t.kind is Kind.TABLE]),
    ]
    total = sum(candidate.prior for candidate in known)
    return tuple(replace(candidate, prior=candidate.prior / total) for candidate in known)


def _equal(places: Values) -> list[Candidate]:
    design = _fixed(np.zeros(len(places)))
    return [Candidate(Family.EQUAL, "equal temperament", "equal", 0, _KNOWN_SHARE, design)]


def _regular(places: Values, named: Sequence[Temperament]) -> list[Candidate]:
    design = Design(
        (_MEANTONE_FIFTH_CENTS - 700.0) * places,
        np.column_stack([np.ones(len(places)), places]),
        np.array([_A4_DOUBT_CENTS, _MEANTONE_DOUBT_CENTS]),
    )
    unequal = [
        (temperament, temperament.fifth_cents - 700.0)
        for temperament in named
        if temperament.fifth_cents is not None
        and abs(temperament.fifth_cents - 700.0) > _EQUAL_WITHIN_CENTS
    ]
    free_share = _KNOWN_SHARE * (1.0 - _NAMED_SHARE if unequal else 1.0)
    return [
        Candidate(Family.REGULAR, "one size of fifth", None, 0, free_share, design),
        *(
            Candidate(
                Family.REGULAR,
                temperament.title,
                temperament.temperament,
                0,
                _KNOWN_SHARE * _NAMED_SHARE / len(unequal),
                _fixed(narrowing * places),
            )
            for temperament, narrowing in unequal
        ),
    ]


def _circulating(notes: Sequence[SpelledNote], named: Sequence[Temperament]) -> list[Candidate]:
    found: list[Candidate] = []
    for turned in sorted(range(-5, 7), key=abs):
        share = _AS_WRITTEN_SHARE if turned == 0 else (1.0 - _AS_WRITTEN_SHARE) / 11.0
        for temperament in named:
            pattern = _turned(notes, temperament, turned)
            prior = _KNOWN_SHARE * share / len(named)
            # Some are others turned: what cannot be told apart is one candidate.
            same = next(
                (k for k, c in enumerate(found) if np.allclose(c.design.fixed, pattern)), None
            )
            if same is not None:
                found[same] = replace(found[same], prior=found[same].prior + prior)
                continue
            found.append(
                Candidate(
                    Family.CIRCULATING,
                    temperament.title,
                    temperament.temperament,
                    turned,
                    prior,
                    _fixed(pattern),
                )
            )
    return found


def _turned(notes: Sequence[SpelledNote], temperament: Temperament, turned_fifths: int) -> Values:
    """Return a circulating temperament's pattern, turned by some fifths."""
    known = {
        SpelledNote.parse(name + "4").fifths % 12: cents
        for name, cents in temperament.deviations_cents
    }
    zero = known[(_A.fifths - turned_fifths) % 12]
    return np.array([known[(note.fifths - turned_fifths) % 12] - zero for note in notes])


def _other(
    notes: Sequence[SpelledNote], places: Values, tables: Sequence[Temperament]
) -> list[Candidate]:
    classes = sorted({note.pitch_class_name for note in notes})
    design = Design(
        (_ANY_FIFTH_CENTS - 700.0) * places,
        np.column_stack(
            [
                np.ones(len(places)),
                places,
                *([note.pitch_class_name == name for note in notes] for name in classes),
            ]
        ),
        np.array([_A4_DOUBT_CENTS, _ANY_FIFTH_DOUBT_CENTS, *([_OWN_PATTERN_CENTS] * len(classes))]),
    )
    known = []
    for temperament in tables:
        try:
            zero = temperament.deviation_cents(_A)
            pattern = np.array([temperament.deviation_cents(note) - zero for note in notes])
        except InputError:
            continue  # it has no figure for one of the notes
        known.append((temperament, pattern))
    own_share = _OTHER_SHARE * (0.5 if known else 1.0)
    return [
        Candidate(Family.UNCLEAR, "a pattern of its own", None, 0, own_share, design),
        *(
            Candidate(
                Family.UNCLEAR,
                temperament.title,
                temperament.temperament,
                0,
                _OTHER_SHARE * 0.5 / len(known),
                _fixed(pattern),
            )
            for temperament, pattern in known
        ),
    ]


def _fixed(pattern: Values) -> Design:
    """Return the design of a tuning of which only the pitch of A is free."""
    return Design(pattern, np.ones((len(pattern), 1)), np.array([_A4_DOUBT_CENTS]))
