"""The layout of an instrument, taught by the instrument itself.

A form (keys, usually without notes) is filled from tones played in an announced
order: each is named by the nearest equal semitone at the instrument's own pitch.
That is near enough for any temperament met: quarter-comma meantone, the widest,
puts Ab 24 cents above its equal place re A (7 fifths of 3.42 cents, computed
here). A tone near the middle between two semitones is refused.

Hearing does not tell G# from Ab: the spelling is chosen, and said to be chosen.
"""

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from reedwright.errors import InputError, LayoutError
from reedwright.instrument.evidence import Confidence, EvidenceMark
from reedwright.instrument.layout import Action, Direction, Layout, Reed, Side
from reedwright.instrument.note import CONCERTINA_CHAIN, SpelledNote
from reedwright.units import cents_from_ratio

__all__ = [
    "COMMON_SPELLING",
    "HeardTone",
    "TaughtLayout",
    "teach_layout",
    "teaching_order",
    "tones_in_order",
]

#: Twelve of the fourteen names, Eb to G#: the usual ones where there is no pair.
COMMON_SPELLING = CONCERTINA_CHAIN[1:13]

_A4 = SpelledNote.parse("A4")
_TWINS = {"G#": "Ab", "Ab": "G#", "D#": "Eb", "Eb": "D#"}
_DOUBTFUL_FROM_CENTS = 30.0


@dataclass(frozen=True, slots=True)
class HeardTone:
    """The pitch heard when a key was played in a direction, hertz."""

    key: str
    direction: Direction
    frequency_hz: float


@dataclass(frozen=True, slots=True)
class TaughtLayout:
    """A layout as heard; ``doubts`` are sentences for a person to settle.

    ``unheard`` are the places of the form that no tone was given for.
    """

    layout: Layout
    doubts: tuple[str, ...]
    unheard: tuple[Reed, ...]


def teaching_order(form: Layout) -> tuple[Reed, ...]:
    """Return every place to be played: by row, left end first, each key press then draw.

    On a single-action form press only. It is the order of a survey "by-row", but
    of a form whose notes are not known.
    """
    sides = tuple(Side)
    keys = sorted(form.keys, key=lambda k: (sides.index(k.side), k.row, k.position))
    return tuple(Reed(key.key, direction) for key in keys for direction in _directions(form))


def tones_in_order(form: Layout, frequencies_hz: Sequence[float | None]) -> tuple[HeardTone, ...]:
    """Return tones tied to the places they were played for, in ``teaching_order``.

    Parameters
    ----------
    frequencies_hz : sequence of float or None
        One for each place, None where nothing was heard.

    Raises
    ------
    InputError
        If there are not as many as places.
    """
    reeds = teaching_order(form)
    if len(frequencies_hz) != len(reeds):
        raise InputError(
            f"teaching needs one tone or a gap for each of the {len(reeds)} places of "
            f"{form.layout!r}, got {len(frequencies_hz)}; play the missing ones or mark them silent"
        )
    return tuple(
        HeardTone(reed.key, reed.direction, frequency)
        for reed, frequency in zip(reeds, frequencies_hz, strict=True)
        if frequency is not None
    )


def teach_layout(
    form: Layout,
    tones: Iterable[HeardTone],
    *,
    a4_hz: float,
    layout: str,
    title: str,
    spelling: Sequence[str] = COMMON_SPELLING,
    furthest_cents: float = 45.0,
) -> TaughtLayout:
    """Return the form with its notes as heard.

    Parameters
    ----------
    tones : iterable of HeardTone
        At most one for each key and direction. A place without one keeps the
        note of the form (none, on a blank form) and is reported.
    a4_hz : float, 300 to 600
        The pitch of the instrument as a whole, hertz: in an old pitch half a
        semitone from 440 the notes cannot be named without it.
    layout, title : str
        The slug and the title of the new layout.
    spelling : sequence of str
        Twelve of the fourteen names, each semitone once.
    furthest_cents : float, above 0 to 50
        A tone further than this from every semitone is refused.

    Raises
    ------
    InputError
        If a tone does not fit: an unknown key, a draw on a single-action form, a
        place heard twice, a frequency out of range, a pitch between two notes,
        no tones at all, or a spelling that leaves a semitone out.
    """
    _check(a4_hz, furthest_cents)
    names = _names_by_semitone(spelling)
    heard: dict[Reed, SpelledNote] = {}
    doubts: list[str] = []
    for tone in tones:
        reed = Reed(tone.key, tone.direction)
        _check_place(form, reed, heard)
        note, offset_cents = _nearest(tone, a4_hz, names, furthest_cents)
        heard[reed] = note
        if abs(offset_cents) > _DOUBTFUL_FROM_CENTS:
            doubts.append(
                f"{reed.key} {reed.direction} was heard {abs(offset_cents):.0f} cents "
                f"{'above' if offset_cents > 0 else 'below'} {note.printed}: "
                "check that it is not the next note."
            )
    if not heard:
        raise InputError(
            f"teaching {form.layout!r} needs at least one tone, got none; play the keys in order"
        )
    keys = tuple(
        replace(
            key,
            press=heard.get(Reed(key.key, Direction.PRESS), key.press),
            draw=heard.get(Reed(key.key, Direction.DRAW), key.draw),
        )
        for key in form.keys
    )
    unheard = tuple(reed for reed in teaching_order(form) if reed not in heard)
    doubts += _doubts_of_spelling(heard)
    if unheard:
        doubts.append(
            f"{len(unheard)} of {len(teaching_order(form))} places were not heard, first "
            f"{unheard[0].key} {unheard[0].direction}: play them, or leave them without a reed."
        )
    taught = replace(
        form,
        layout=layout,
        title=title,
        keys=keys,
        home_keys=None,
        evidence=f"Heard from the instrument at A4 = {a4_hz:.1f} Hz, "
        f"{len(heard)} of {len(teaching_order(form))} places; G# or Ab, D# or Eb by choice.",
        evidence_mark=EvidenceMark.TAUGHT,
        confidence=Confidence.MEDIUM if doubts else Confidence.HIGH,
    )
    return TaughtLayout(taught, tuple(doubts), unheard)


def _directions(form: Layout) -> tuple[Direction, ...]:
    return (Direction.PRESS,) if form.action is Action.SINGLE else tuple(Direction)


def _check(a4_hz: float, furthest_cents: float) -> None:
    if not 300.0 <= a4_hz <= 600.0:
        raise InputError(
            f"the pitch of A4 lies between 300 and 600 Hz, got {a4_hz:g} Hz; "
            "give that of the instrument as a whole"
        )
    if not 0.0 < furthest_cents <= 50.0:
        raise InputError(
            "the furthest a tone may lie from its note is above 0 and at most 50 cents, "
            f"got {furthest_cents:g}; beyond 50 it is nearer another note"
        )


def _names_by_semitone(spelling: Sequence[str]) -> dict[int, str]:
    names = {SpelledNote.parse(f"{name}4").semitone % 12: name for name in spelling}
    unknown = [name for name in spelling if name not in CONCERTINA_CHAIN]
    if unknown or len(spelling) != 12 or len(names) != 12:
        raise InputError(
            f"a spelling is twelve of the names {' '.join(CONCERTINA_CHAIN)}, each semitone once, "
            f"got {' '.join(spelling)}; choose one of G# and Ab and one of D# and Eb"
        )
    return names


def _check_place(form: Layout, reed: Reed, heard: dict[Reed, SpelledNote]) -> None:
    if all(key.key != reed.key for key in form.keys):
        raise InputError(
            f"a tone belongs to a key of the form, {form.layout!r} has no key {reed.key!r}; "
            "correct the key or add it to the form"
        )
    if reed.direction not in _directions(form):
        raise LayoutError(
            f"a single-action instrument sounds on the press only, {reed.key} was heard on the "
            'draw; make the action of the form "double" or leave the tone out'
        )
    if reed in heard:
        raise InputError(
            f"each key is heard once in a direction, {reed.key} {reed.direction} was given twice; "
            "keep the better tone"
        )


def _nearest(
    tone: HeardTone, a4_hz: float, names: dict[int, str], furthest_cents: float
) -> tuple[SpelledNote, float]:
    """Return the note nearest to a tone and how far above it the tone lies, cents."""
    if not (math.isfinite(tone.frequency_hz) and 15.0 <= tone.frequency_hz <= 10000.0):
        raise InputError(
            f"a reed sounds between 15 and 10000 Hz, {tone.key} {tone.direction} was given as "
            f"{tone.frequency_hz:g} Hz; leave a silent reed out"
        )
    above_a4_cents = cents_from_ratio(tone.frequency_hz / a4_hz)
    steps = round(above_a4_cents / 100.0)
    offset_cents = above_a4_cents - 100.0 * steps
    semitone = _A4.semitone + steps
    place = SpelledNote.parse(f"{names[semitone % 12]}4").fifths
    note = SpelledNote.from_fifths(place, semitone)
    if abs(offset_cents) > furthest_cents:
        raise InputError(
            f"a tone lies within {furthest_cents:g} cents of a note, {tone.key} {tone.direction} "
            f"lies {offset_cents:+.0f} cents from {note.printed} at A4 = {a4_hz:g} Hz; "
            "correct the pitch of the instrument, or name that note by hand"
        )
    return note, offset_cents


def _doubts_of_spelling(heard: dict[Reed, SpelledNote]) -> list[str]:
    """Return a doubt for each note with a twin that is heard on more than one key."""
    keys: dict[SpelledNote, set[str]] = defaultdict(set)
    for reed, note in heard.items():
        if note.pitch_class_name in _TWINS:
            keys[note].add(reed.key)
    return [
        f"{note.printed} was heard on {', '.join(sorted(where))}: on an instrument with both "
        f"names one of them may be {_TWINS[note.pitch_class_name]}{note.octave}."
        for note, where in sorted(keys.items(), key=lambda item: item[0].semitone)
        if len(where) > 1
    ]
