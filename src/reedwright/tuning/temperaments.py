"""Making temperaments: from one fifth, from twelve fifths, from ratios, from a table.

Conventions: cents re equal temperament with C = 0 (``tuning.model.Temperament``).

References: [Barbour1951]_ for the families; [Ellis1880]_ for historic pitches. The
definitions by tempered fifths are those of the catalogue, keyed by their fifths
and not by their names, since names are used for more than one temperament.
"""

import math
from collections.abc import Mapping, Sequence

from reedwright.errors import InputError
from reedwright.instrument.note import CONCERTINA_CHAIN, SpelledNote
from reedwright.tuning.model import Kind, Temperament

__all__ = [
    "PURE_FIFTH_CENTS",
    "PYTHAGOREAN_COMMA_CENTS",
    "SCHISMA_CENTS",
    "SYNTONIC_COMMA_CENTS",
    "circulating",
    "from_ratios",
    "from_table",
    "regular",
    "shown_table",
    "with_own_notes",
]

PURE_FIFTH_CENTS = 1200.0 * math.log2(3 / 2)
SYNTONIC_COMMA_CENTS = 1200.0 * math.log2(81 / 80)
PYTHAGOREAN_COMMA_CENTS = 1200.0 * math.log2(3**12 / 2**19)
SCHISMA_CENTS = PYTHAGOREAN_COMMA_CENTS - SYNTONIC_COMMA_CENTS

#: The circle of fifths from C, by the names a circulating temperament is written in.
CIRCLE = ("C", "G", "D", "A", "E", "B", "F#", "C#", "G#", "Eb", "Bb", "F")
_ENHARMONIC = {"G#": "Ab", "Eb": "D#", "C#": "Db", "F#": "Gb", "Bb": "A#"}
_CLOSURE_CENTS = 1e-6


def regular(temperament: str, title: str, *, fifth_cents: float, evidence: str) -> Temperament:
    """Return the temperament of one size of fifth along the whole chain.

    Every spelled note has its own pitch: a note ``n`` fifths from C deviates by
    ``n (fifth - 700)`` cents from equal temperament.

    Raises
    ------
    InputError
        If the fifth is not between 680 and 720 cents (where a diatonic scale keeps
        its order of steps: 685.7 to 720, here with a little room).
    """
    if not 680.0 <= fifth_cents <= 720.0:
        raise InputError(
            f"a fifth must be between 680 and 720 cents, got {fifth_cents:g}; "
            "a pure fifth is 701.955, the quarter-comma fifth 696.578"
        )
    return Temperament(temperament, title, Kind.REGULAR, fifth_cents, (), evidence)


def circulating(
    temperament: str,
    title: str,
    *,
    tempering_cents: Sequence[float],
    evidence: str,
    caution: str | None = None,
) -> Temperament:
    """Return the temperament of twelve fifths C-G, G-D, ... F-C that close in seven octaves.

    Parameters
    ----------
    tempering_cents : sequence of 12 floats
        How far each fifth differs from pure, from C upwards by fifths; narrow < 0.

    Raises
    ------
    InputError
        If there are not twelve, or the circle does not close: their sum must be minus
        the Pythagorean comma, -23.46 cents.
    """
    total = math.fsum(tempering_cents)
    if len(tempering_cents) != 12 or abs(total + PYTHAGOREAN_COMMA_CENTS) > _CLOSURE_CENTS:
        raise InputError(
            "twelve fifths must together be narrow by the Pythagorean comma, "
            f"{PYTHAGOREAN_COMMA_CENTS:.3f} cents, to close in seven octaves; got "
            f"{len(tempering_cents)} fifths, {-total:.3f} cents: check the list of fifths"
        )
    deviations: dict[str, float] = {}
    height = 0.0
    for name, tempering in zip(CIRCLE, tempering_cents, strict=True):
        deviations[name] = height
        if name in _ENHARMONIC:
            deviations[_ENHARMONIC[name]] = height
        height += PURE_FIFTH_CENTS - 700.0 + tempering
    return Temperament(
        temperament, title, Kind.CIRCULATING, None, tuple(deviations.items()), evidence, caution
    )


def from_ratios(
    temperament: str,
    title: str,
    *,
    ratios: Mapping[str, tuple[int, int]],
    evidence: str,
    caution: str | None = None,
) -> Temperament:
    """Return the temperament of whole-number ratios above C, such as ``{"G": (3, 2)}``."""
    above = {name: 1200.0 * math.log2(upper / lower) for name, (upper, lower) in ratios.items()}
    return from_table(temperament, title, cents_above_c=above, evidence=evidence, caution=caution)


def from_table(
    temperament: str,
    title: str,
    *,
    cents_above_c: Mapping[str, float],
    evidence: str,
    caution: str | None = None,
) -> Temperament:
    """Return the temperament of a table of cents above C.

    Raises
    ------
    InputError
        If C is missing or not zero, or a note lies more than 60 cents from its
        equal-tempered place (then the table belongs to other names).
    """
    if cents_above_c.get("C") != 0.0:
        raise InputError(
            f"a table of cents above C needs C = 0, got {cents_above_c.get('C')}; "
            "subtract the figure of C from all"
        )
    deviations: dict[str, float] = {}
    for name, cents in cents_above_c.items():
        note = SpelledNote.parse(name + "4")
        deviations[name] = cents - 100.0 * (note.semitone - 60)
        if abs(deviations[name]) > 60.0:
            raise InputError(
                f"{name} must lie within 60 cents of its equal-tempered place, "
                f"{100 * (note.semitone - 60)} above C, got {cents:g}; check the name"
            )
    return Temperament(
        temperament, title, Kind.TABLE, None, tuple(deviations.items()), evidence, caution
    )


def with_own_notes(
    temperament: Temperament, note_deviations_cents: Mapping[str, float]
) -> Temperament:
    """Return the temperament with the user's own figures added to single notes.

    Keys are note classes (``G#``) or notes with their octave (``G#4``); the octave
    wins where both are given. Values are added, in cents.
    """
    by_note: dict[str, float] = {}
    names = [name for name in note_deviations_cents if not name[-1].isdigit()]
    for name in names:
        for octave in range(-1, 10):
            by_note[SpelledNote.parse(f"{name}{octave}").name] = note_deviations_cents[name]
    for name, cents in note_deviations_cents.items():
        if name not in names:
            by_note[SpelledNote.parse(name).name] = cents
    return Temperament(
        temperament.temperament,
        temperament.title,
        temperament.kind,
        temperament.fifth_cents,
        temperament.deviations_cents,
        temperament.evidence,
        temperament.caution,
        tuple(by_note.items()),
    )


def shown_table(temperament: Temperament, *, reference: str = "A") -> tuple[tuple[str, float], ...]:
    """Return (name, cents re equal temperament) for the fourteen names, ``reference`` at zero."""
    zero = temperament.deviation_cents(SpelledNote.parse(reference + "4"))
    return tuple(
        (name, temperament.deviation_cents(SpelledNote.parse(name + "4")) - zero)
        for name in CONCERTINA_CHAIN
    )
