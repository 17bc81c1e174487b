"""A survey held against the truth of an invented recording."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np

from benchmarks.virtual.recording import Playback, TrueNote, VirtualRecording
from reedwright.instrument.layout import Direction, Layout
from reedwright.instrument.reading import Reading, Survey
from reedwright.units import cents_from_ratio

__all__ = ["SurveyScore", "score_survey", "total_score"]


@dataclass(frozen=True, slots=True)
class SurveyScore:
    """Counts, and the errors of the readings in cents.

    ``notes`` are whole notes, false starts apart; ``audible`` those of them whose
    power exceeds the noise's in 20 Hz to 20 kHz. A reading is right about its
    sound (``found``) when half of it lies within a note; ``invented`` ones do not.
    A swap is a wrong reed of the right pitch; ``wrong_notes`` are of another
    semitone. A doubt is needless when every reed of that semitone was played
    exactly once, and so could not be mistaken for another.
    """

    notes: int
    notes_found: int
    audible: int
    audible_found: int
    false_starts: int
    false_starts_found: int
    readings: int
    invented: int
    wrong_notes: int
    swaps_flagged: int
    swaps_unflagged: int
    doubts: int
    doubts_needless: int
    unplaced: int
    errors_cents: tuple[float, ...]

    @property
    def recall(self) -> float:
        """Share of the audible notes that have a reading."""
        return self.audible_found / self.audible

    @property
    def precision(self) -> float:
        """Share of the readings that are of a note."""
        return 1.0 - self.invented / self.readings

    @property
    def needless(self) -> float:
        """Share of the readings that were doubted without need."""
        return self.doubts_needless / self.readings


def score_survey(
    survey: Survey, recording: VirtualRecording, layout: Layout, *, snr_db: float
) -> SurveyScore:
    """Return how a survey compares with the truth."""
    found: set[int] = set()
    counts: Counter[str] = Counter()
    errors: list[float] = []
    plays = Counter((note.key, note.direction) for note in recording.notes)
    for reading in survey.readings:
        place = _note_at(reading, recording.notes)
        if reading.doubt is not None:
            counts["doubts"] += 1
            counts["needless"] += not _has_need(reading, layout, plays)
        if place is None:
            counts["invented"] += 1
            continue
        found.add(place)
        note = recording.notes[place]
        tone = reading.tone
        truth_hz = note.mean_frequency_hz(tone.measured_from_s, tone.measured_to_s)
        errors.append(cents_from_ratio(tone.frequency_hz / truth_hz))
        if (note.key, note.direction) != (reading.key, reading.direction):
            if note.note.semitone != reading.note.semitone:
                counts["wrong"] += 1
            else:
                counts["flagged" if reading.doubt is not None else "unflagged"] += 1
    whole = [
        place
        for place, note in enumerate(recording.notes)
        if note.playback is not Playback.FALSE_START
    ]
    audible = [place for place in whole if recording.notes[place].level_db + snr_db > 0.0]
    return SurveyScore(
        notes=len(whole),
        notes_found=len(found.intersection(whole)),
        audible=len(audible),
        audible_found=len(found.intersection(audible)),
        false_starts=len(recording.notes) - len(whole),
        false_starts_found=len(found.difference(whole)),
        readings=len(survey.readings),
        invented=counts["invented"],
        wrong_notes=counts["wrong"],
        swaps_flagged=counts["flagged"],
        swaps_unflagged=counts["unflagged"],
        doubts=counts["doubts"],
        doubts_needless=counts["needless"],
        unplaced=len(survey.unplaced),
        errors_cents=tuple(errors),
    )


def total_score(scores: Sequence[SurveyScore]) -> SurveyScore:
    """Return the sum of some scores."""
    counted = {
        field.name: sum(getattr(score, field.name) for score in scores)
        for field in fields(SurveyScore)
        if field.name != "errors_cents"
    }
    errors = tuple(float(error) for score in scores for error in score.errors_cents)
    return SurveyScore(**counted, errors_cents=errors)


def _note_at(reading: Reading, notes: Sequence[TrueNote]) -> int | None:
    """Return the note that holds at least half of a reading."""
    tone = reading.tone
    shared = [min(note.end_s, tone.end_s) - max(note.start_s, tone.start_s) for note in notes]
    place = int(np.argmax(shared))
    return place if shared[place] >= 0.5 * (tone.end_s - tone.start_s) else None


def _has_need(reading: Reading, layout: Layout, plays: Counter[tuple[str, Direction]]) -> bool:
    """Whether a reed of the reading's semitone was silent or played more than once."""
    return any(
        plays[(reed.key, reed.direction)] != 1
        for reed in layout.reeds()
        if layout.note(reed).semitone == reading.note.semitone
    )
