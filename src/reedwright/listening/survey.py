"""From the recording of an instrument to a reading of every reed.

The notes are found and heard (``notes``), laid along the order in which the
reeds were to be played (``tuning_search``, ``alignment``) or matched by pitch
(``by_pitch``), and given their doubt (``doubt``). What cannot be told is listed
for a person to settle (``settling``), never guessed silently. The theory is in
docs/theory/listening-survey.md.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np

from reedwright.errors import InputError, RecordingError
from reedwright.instrument.layout import Layout, Reed
from reedwright.instrument.order import SurveyOrder
from reedwright.instrument.reading import Conditions, Missing, Reading, Survey, Tone
from reedwright.listening.alignment import Alignment, Expected, HeardNote, expected_notes
from reedwright.listening.by_pitch import matched_by_pitch
from reedwright.listening.doubt import (
    ASSUMED_REPEATABILITY_CENTS,
    STEEL_CENTS_PER_K,
    TEMPERATURE_DOUBT_K,
    PlayingDoubt,
    clock_corrected,
    doubt_budget,
    playing_doubt,
)
from reedwright.listening.model import Segment, Sound, Spread
from reedwright.listening.notes import heard_notes
from reedwright.listening.settling import (
    SURE,
    alternatives,
    is_far_off,
    place_doubt,
    survey_cautions,
    tone_doubt,
)
from reedwright.listening.tuning_search import aligned
from reedwright.units import cents_from_ratio

__all__ = ["survey"]

_A4_HZ = 440.0
#: The name of the order when there is none.
AS_THEY_COME = "as-they-come"
#: Salience at which a stretch is as likely a reed as not, and how fast that changes.
_EVEN_SALIENCE, _LIKENESS_PER_SALIENCE = 0.60, 14.0
_LEAST_LIKENESS, _MOST_LIKENESS = -4.0, 3.0
#: A shorter note is a little less like a reed that was played in its turn.
_SHORT_S, _SHORT_LIKENESS = 0.30, -1.5
#: What is unlike a reed needs its place to confirm it: likelier no reed than this, it goes.
_MOST_NONE_PROBABILITY = 0.1
#: Playings worth comparing: whole notes, of whose reed there is no doubt.
_WHOLE_NOTE = 0.35
#: A note this many times as long as usual may be two.
_DOUBLE = 1.6
#: An order is followed when this share of what sounds like reeds has a place in it, and this
#: share of those comes a few places after the last; repeats count up to a share of their own.
_PLACED, _ORDERLY, _FEW_PLACES, _AGAIN = 0.85, 0.6, 4, 0.15
_CLIPPED = 0.001
_ALL_IN_DOUBT = "The notes do not fit the layout and order given: which reed this was is a guess."


def survey(
    sound: Sound,
    layout: Layout,
    order: SurveyOrder | None,
    *,
    spread: Spread,
    a4_hz: float | None = None,
    clock_ppm: float = 0.0,
    clock_doubt_ppm: float = 50.0,
    temperature_doubt_k: float = TEMPERATURE_DOUBT_K,
    cents_per_k: float = STEEL_CENTS_PER_K,
    progress: Callable[[float], None] | None = None,
) -> Survey:
    """Return what every reed of an instrument was heard to do.

    Parameters
    ----------
    sound
        The recording: seconds to an hour, 8 to 192 kHz.
    order
        In which the reeds were to be played; reeds may be silent, played again,
        broken off or played out of turn. None if they come in no order: then
        reeds of one pitch cannot be told apart, and the instrument must lie within
        50 cents of ``a4_hz``; beyond, both readings are offered.
    spread
        Over which the notes are heard, one piece of the sound each.
    a4_hz
        Roughly where the instrument's A4 lies, if known. Without it the whole may
        be up to 100 cents from 440 Hz (with no order: 440 Hz is assumed).
    clock_ppm, clock_doubt_ppm
        How far the recorder's clock runs fast, and one sigma of that: frequencies
        are multiplied by 1 + clock_ppm 1e-6.
    temperature_doubt_k, cents_per_k
        One sigma of the reeds' temperature, and their metal's coefficient.
    progress
        Called with the share done, 0 to 1.

    Raises
    ------
    RecordingError
        If the recording is empty or silent, or holds no steady note.
    InputError
        If the layout is a blank form, which has no reeds yet.
    """
    reeds = layout.reeds() if order is None else order.reeds
    if not reeds:
        raise InputError(
            f"a survey needs a layout with notes, {layout.layout!r} is a blank form; let the "
            "instrument teach it first, or write the notes in"
        )
    heard = [
        (segment, clock_corrected(tone, clock_ppm))
        for segment, tone in heard_notes(sound, spread=spread, progress=progress)
    ]
    expected = expected_notes(layout, reeds)
    notes = [_heard_note(segment, tone) for segment, tone in heard]
    if not any(note.likeness > 0.0 for note in notes):
        raise RecordingError(
            "a survey needs steady single notes, none was found in "
            f"{sound.frames / sound.sample_rate_hz:.0f} s; record one button at a time, two to "
            "four seconds each"
        )
    stated_cents = None if a4_hz is None else cents_from_ratio(a4_hz / _A4_HZ)
    if order is None:
        alignment = matched_by_pitch(notes, expected, stated_cents=stated_cents or 0.0)
    else:
        alignment = aligned(notes, expected, stated_cents=stated_cents)
    alignment = replace(alignment, places=_confirmed(notes, alignment))
    tones = [tone for _, tone in heard]
    playing = _playing(tones, alignment)
    is_orderly = order is None or _is_orderly(notes, alignment.places)
    readings = _readings(
        layout,
        reeds,
        expected,
        tones,
        alignment,
        playing=playing,
        is_orderly=is_orderly,
        clock_doubt_ppm=clock_doubt_ppm,
        temperature_doubt_k=temperature_doubt_k,
        cents_per_k=cents_per_k,
    )
    spoken = {Reed(reading.key, reading.direction) for reading in readings}
    unplaced = tuple(
        tone
        for tone, note, place in zip(tones, notes, alignment.places, strict=True)
        if place is None and note.likeness > 0.0
    )
    return Survey(
        layout=layout.layout,
        order=AS_THEY_COME if order is None else order.order,
        duration_s=sound.frames / sound.sample_rate_hz,
        sample_rate_hz=sound.sample_rate_hz,
        shift_cents=alignment.manner.shift_cents,
        readings=readings,
        missing=tuple(_missing(layout, reed) for reed in reeds if reed not in spoken),
        unplaced=unplaced,
        cautions=survey_cautions(
            reeds=len(reeds),
            reeds_heard=len(spoken),
            unplaced=len(unplaced),
            is_orderly=is_orderly,
            rival_shift_cents=alignment.rival_shift_cents,
            shift_cents=alignment.manner.shift_cents,
            clipped=sum(reading.tone.clipped_fraction > _CLIPPED for reading in readings),
            repeats=playing.repeats,
            assumed_repeatability_cents=ASSUMED_REPEATABILITY_CENTS,
        ),
        conditions=Conditions(clock_ppm=clock_ppm, clock_doubt_ppm=clock_doubt_ppm),
    )


def _heard_note(segment: Segment, tone: Tone) -> HeardNote:
    """Return a tone as the alignment sees it."""
    likeness = float(
        np.clip(
            _LIKENESS_PER_SALIENCE * (segment.salience - _EVEN_SALIENCE),
            _LEAST_LIKENESS,
            _MOST_LIKENESS,
        )
    )
    if segment.end_s - segment.start_s < _SHORT_S:
        likeness += _SHORT_LIKENESS
    return HeardNote(
        offset_cents=cents_from_ratio(tone.frequency_hz / _A4_HZ),
        start_s=tone.start_s,
        end_s=tone.end_s,
        likeness=likeness,
    )


def _confirmed(notes: Sequence[HeardNote], alignment: Alignment) -> tuple[int | None, ...]:
    """Return the places without those of sounds unlike a reed that the order does not confirm."""
    return tuple(
        None if note.likeness < 0.0 and probabilities[-1] > _MOST_NONE_PROBABILITY else place
        for note, place, probabilities in zip(
            notes, alignment.places, alignment.probabilities, strict=True
        )
    )


def _playing(tones: Sequence[Tone], alignment: Alignment) -> PlayingDoubt:
    """Return how evenly the reeds were played, from whole notes of reeds beyond doubt."""
    lengths_s = [tone.end_s - tone.start_s for tone in tones]
    shortest_s = _WHOLE_NOTE * float(np.median(lengths_s))
    return playing_doubt(
        (place, tone)
        for note, (tone, place) in enumerate(zip(tones, alignment.places, strict=True))
        if place is not None
        and alignment.probabilities[note, place] >= SURE
        and lengths_s[note] >= shortest_s
        and tone_doubt(tone) is None
    )


def _is_orderly(notes: Sequence[HeardNote], places: Sequence[int | None]) -> bool:
    """Whether the notes by and large are reeds of the order, and come in it."""
    placed = [place for place in places if place is not None]
    reedlike = sum(note.likeness > 0.0 for note in notes)
    if len(placed) < _PLACED * reedlike:
        return False
    steps = [after - before for before, after in pairwise(placed)]
    again = sum(step == 0 for step in steps)
    onward = sum(1 <= step <= _FEW_PLACES for step in steps)
    return onward + min(again, _AGAIN * len(steps)) >= _ORDERLY * len(steps)


def _readings(
    layout: Layout,
    reeds: Sequence[Reed],
    expected: Expected,
    tones: Sequence[Tone],
    alignment: Alignment,
    *,
    playing: PlayingDoubt,
    is_orderly: bool,
    clock_doubt_ppm: float,
    temperature_doubt_k: float,
    cents_per_k: float,
) -> tuple[Reading, ...]:
    """Return the readings of all notes that were placed, in order of time."""
    manner = alignment.manner
    usual_s = float(np.median([tone.end_s - tone.start_s for tone in tones]))
    readings = []
    for tone, place, probabilities in zip(
        tones, alignment.places, alignment.probabilities, strict=True
    ):
        if place is None:
            continue
        reed = reeds[place]
        tuned_cents = (
            expected.offsets_cents[place]
            + manner.shift_cents
            + manner.fifth_cents * expected.fifths[place]
        )
        away_cents = cents_from_ratio(tone.frequency_hz / _A4_HZ) - float(tuned_cents)
        confidence = float(probabilities[place])
        others: tuple[Reed, ...] = ()
        doubt = tone_doubt(tone)
        if confidence < SURE or is_far_off(away_cents):
            others = alternatives(probabilities, place, reeds)
            doubt = place_doubt(
                layout,
                reed,
                others,
                none_probability=float(probabilities[-1]),
                away_cents=away_cents,
                is_double=tone.end_s - tone.start_s > _DOUBLE * usual_s,
            )
        readings.append(
            Reading(
                key=reed.key,
                side=layout.key(reed.key).side,
                note=layout.note(reed),
                direction=reed.direction,
                tone=tone,
                confidence=confidence,
                doubt=doubt or (None if is_orderly else _ALL_IN_DOUBT),
                also_possible=tuple((other.key, other.direction) for other in others),
                doubt_budget=doubt_budget(
                    tone,
                    playing,
                    clock_doubt_ppm=clock_doubt_ppm,
                    temperature_doubt_k=temperature_doubt_k,
                    cents_per_k=cents_per_k,
                ),
            )
        )
    return tuple(readings)


def _missing(layout: Layout, reed: Reed) -> Missing:
    return Missing(
        key=reed.key,
        side=layout.key(reed.key).side,
        note=layout.note(reed),
        direction=reed.direction,
    )
