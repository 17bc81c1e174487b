"""The pitches of another instrument as a target: note by note, octave by octave."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from statistics import median

from reedwright.instrument.note import SpelledNote
from reedwright.tuning.found import AsFound, HeardReed
from reedwright.units import cents_from_ratio, ratio_from_cents

__all__ = ["NotePitch", "note_pitches"]


@dataclass(frozen=True, slots=True)
class NotePitch:
    """What an instrument makes of a note.

    ``reeds`` is how many of its reeds say so; 0 where the pitch had to be told from its
    other octaves or from its tuning as a whole.
    """

    note: SpelledNote
    frequency_hz: float
    reeds: int

    @property
    def offset_cents(self) -> float:
        """How far it is from equal temperament at 440 Hz."""
        return cents_from_ratio(self.frequency_hz / _equal_hz(self.note))


def note_pitches(
    readings: Sequence[HeardReed], found: AsFound, notes: Iterable[SpelledNote]
) -> tuple[NotePitch, ...]:
    """Return the pitch an instrument gives to each of ``notes``.

    The median of its reeds of that spelled note, without those that do not fit its
    tuning and those in doubt: nobody wants to be tuned to a reed that is astray. Where
    none is left, the median offset of the note in its other octaves; where that is not
    known either, its tuning as a whole.

    Parameters
    ----------
    readings : sequence of HeardReed
        Of the other instrument, with their keys.
    found : AsFound
        What those readings tell of its tuning.
    notes : iterable of SpelledNote
        Those that are wanted.
    """
    astray = {(misfit.key, misfit.note, misfit.direction) for misfit in found.misfits}
    by_note: dict[SpelledNote, list[float]] = {}
    by_class: dict[str, list[float]] = {}
    for reading in readings:
        reed = (reading.key, reading.note, reading.direction)
        if reading.doubt is None and reed not in astray:
            by_note.setdefault(reading.note, []).append(reading.offset_cents)
            by_class.setdefault(reading.note.pitch_class_name, []).append(reading.offset_cents)
    pitches = []
    for note in dict.fromkeys(notes):
        own = by_note.get(note, [])
        told_by = own or by_class.get(note.pitch_class_name) or [_on_the_line(note, found)]
        frequency_hz = _equal_hz(note) * ratio_from_cents(median(told_by))
        pitches.append(NotePitch(note, frequency_hz, len(own)))
    return tuple(pitches)


def _on_the_line(note: SpelledNote, found: AsFound) -> float:
    places_from_a = note.fifths - 3
    shift_cents = cents_from_ratio(found.a4_hz / 440.0)
    return shift_cents + places_from_a * (found.fifth_cents - 700.0)


def _equal_hz(note: SpelledNote) -> float:
    return 440.0 * ratio_from_cents(100.0 * (note.semitone - 69))
