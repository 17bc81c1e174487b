"""Pitch standards, temperaments, tolerances: what a target is made of."""

from dataclasses import dataclass
from enum import StrEnum

from reedwright.errors import InputError
from reedwright.instrument.note import SpelledNote

__all__ = [
    "Kind",
    "OverallPitch",
    "PitchStandard",
    "Scheme",
    "Temperament",
    "Tolerance",
]


class Kind(StrEnum):
    """How a temperament is defined.

    Regular: one size of fifth along the whole chain, so every spelling has its own
    pitch. Circulating: twelve fifths that close, so D# and Eb are one pitch. Table:
    one figure per name.
    """

    REGULAR = "regular"
    CIRCULATING = "circulating"
    TABLE = "table"


@dataclass(frozen=True, slots=True)
class PitchStandard:
    """A pitch once agreed on: ``a4_hz`` and where the figure comes from."""

    pitch_standard: str
    title: str
    a4_hz: float
    evidence: str


@dataclass(frozen=True, slots=True)
class Temperament:
    """How far each note lies from equal temperament, with C as zero.

    ``fifth_cents`` is set for a regular temperament only; otherwise
    ``deviations_cents`` lists (name, cents re equal temperament, C = 0) for each
    name it knows. ``note_deviations_cents`` are the user's own figures for single
    notes with their octave, added last. ``caution`` keeps a trap of naming or of a
    printed table in sight.
    """

    temperament: str
    title: str
    kind: Kind
    fifth_cents: float | None
    deviations_cents: tuple[tuple[str, float], ...]
    evidence: str
    caution: str | None = None
    note_deviations_cents: tuple[tuple[str, float], ...] = ()

    def deviation_cents(self, note: SpelledNote) -> float:
        """Return how far ``note`` lies from equal temperament when C lies on it, cents.

        Raises
        ------
        InputError
            If the temperament has no figure for that name.
        """
        own = dict(self.note_deviations_cents).get(note.name, 0.0)
        if self.fifth_cents is not None:
            return note.fifths * (self.fifth_cents - 700.0) + own
        known = dict(self.deviations_cents)
        if note.pitch_class_name not in known:
            raise InputError(
                f"the temperament {self.title!r} has no figure for {note.pitch_class_name}; "
                f"it knows {', '.join(known)}: respell the note or add the figure"
            )
        return known[note.pitch_class_name] + own


@dataclass(frozen=True, slots=True)
class Scheme:
    """What an instrument is to be tuned to.

    ``reference`` is the note class that keeps its equal-tempered place under
    ``a4_hz``: with A, A4 sounds ``a4_hz``; with C, every C lies where equal
    temperament at ``a4_hz`` has it, and A moves.
    """

    a4_hz: float
    temperament: Temperament
    reference: str = "A"

    def __post_init__(self) -> None:
        if not 300.0 <= self.a4_hz <= 600.0:
            raise InputError(
                f"A4 must lie between 300 and 600 Hz, got {self.a4_hz:g}; "
                "give the pitch of the A above middle C in hertz"
            )
        SpelledNote.parse(self.reference + "4")


@dataclass(frozen=True, slots=True)
class Tolerance:
    """How far a reed may stand from its target and be left alone, cents either way.

    ``outer_tolerance_cents`` holds in the top half-octave and the lowest octave of
    the instrument. Common practice, no source: editable.
    """

    tolerance_cents: float = 2.0
    outer_tolerance_cents: float = 3.0


@dataclass(frozen=True, slots=True)
class OverallPitch:
    """The pitch of an instrument as a whole, found robustly from all its reeds.

    ``a4_hz`` with its one-sigma doubt in cents; ``spread_cents`` is the robust
    standard deviation of the reeds about it; ``reeds`` is how many were heard.
    """

    a4_hz: float
    doubt_cents: float
    spread_cents: float
    reeds: int
