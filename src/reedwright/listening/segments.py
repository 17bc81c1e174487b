"""From a long recording to the stretches that hold one note each.

Three looks at the sound, each reading it piece by piece: where a pitch is steady
(``pitch_path``), which pitch it is (``note_pitch``), and where in it one note
ends and the next of the same pitch begins (``partial_tracks``, ``onsets``).
"""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from reedwright.listening.model import Segment, Sound
from reedwright.listening.note_pitch import PitchFit, fit_pitch
from reedwright.listening.onsets import FAINT_DB, note_edges
from reedwright.listening.partial_tracks import Course, follow_partials
from reedwright.listening.pitch_path import pitch_runs
from reedwright.units import CENTS_PER_NATURAL_LOG, cents_from_ratio

__all__ = ["Stretch", "find_segments", "steady_stretches", "stretch_notes", "without_hum"]

#: Shorter runs of the path are syllables and accidents.
_SHORTEST_RUN_S = 0.10
#: Runs of one pitch no further apart than this are looked at together.
_JOINED_S = 0.12
_SAME_PITCH_CENTS = 25.0
#: A note whose pitch wanders by this much (standard deviation, cents) is half as reed-like.
_UNSTEADY_CENTS = 12.0
_WHOLE_NOTE_S = 0.25
#: Hum is at least so far under the loudest note, and within this of a multiple of the mains.
_HUM_BELOW_DB, _HUM_TOLERANCE = 25.0, 0.006
_WANDER_STEP_S = 0.05
_WANDER_EDGE_S = 0.03


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of one steady pitch, in which one or several notes sound."""

    start_s: float
    end_s: float
    fit: PitchFit


def find_segments(sound: Sound) -> tuple[Segment, ...]:
    """Return every stretch that holds one steady note, in order of time.

    Finds fundamentals from A1 to C8 raised or lowered by up to 150 cents (below
    0.48 of the sample rate), from 0.15 s long, down to about 7 dB under the noise
    of the whole band. Speech, knocks and several notes at once come back too, if
    they are steady for so long, with a low ``salience``.
    """
    return without_hum(
        segment for stretch in steady_stretches(sound) for segment in stretch_notes(sound, stretch)
    )


def without_hum(segments: Iterable[Segment]) -> tuple[Segment, ...]:
    """Return segments in order of time, without faint ones at the mains frequency."""
    ordered = sorted(segments, key=lambda segment: segment.start_s)
    loudest_dbfs = max((segment.level_dbfs for segment in ordered), default=0.0)
    return tuple(segment for segment in ordered if not _is_hum(segment, loudest_dbfs))


def _is_hum(segment: Segment, loudest_dbfs: float) -> bool:
    """Whether a stretch is faint and at the mains frequency or its first multiples."""
    if segment.level_dbfs > loudest_dbfs - _HUM_BELOW_DB:
        return False
    return any(
        abs(segment.coarse_frequency_hz / (number * mains_hz) - 1.0) < _HUM_TOLERANCE
        for mains_hz in (50.0, 60.0)
        for number in (1, 2, 3)
    )


def stretch_notes(sound: Sound, stretch: Stretch) -> Iterator[Segment]:
    """Yield the notes in a stretch of one pitch; faint ones beside loud ones are looked at anew."""
    fit = stretch.fit
    course = follow_partials(sound, stretch.start_s, stretch.end_s, fit.frequency_hz)
    edges = note_edges(course)
    loudest_db = float(np.max(course.level_db))
    for note_start_s, note_end_s in edges:
        own = fit_pitch(sound, note_start_s, note_end_s, fit.frequency_hz) if edges[1:] else fit
        level_db = float(np.median(course.level_db[course.inside(note_start_s, note_end_s)]))
        if level_db > loudest_db - FAINT_DB:
            yield _segment(course, note_start_s, note_end_s, own)
            continue
        alone = follow_partials(sound, note_start_s, note_end_s, own.frequency_hz)
        for part_start_s, part_end_s in note_edges(alone):
            yield _segment(alone, part_start_s, part_end_s, own)


def steady_stretches(sound: Sound) -> Iterator[Stretch]:
    """Yield the stretches of one pitch, those of one note that the path broke put together."""
    pending: Stretch | None = None
    for run in pitch_runs(sound):
        if run.end_s - run.start_s < _SHORTEST_RUN_S:
            continue
        fit = fit_pitch(sound, run.start_s, run.end_s, run.frequency_hz)
        here = Stretch(run.start_s, run.end_s, fit)
        if pending is not None and _is_one_pitch(pending, here):
            longer = max(pending, here, key=lambda stretch: stretch.end_s - stretch.start_s)
            here = Stretch(pending.start_s, here.end_s, longer.fit)
        elif pending is not None:
            yield pending
        pending = here
    if pending is not None:
        yield pending


def _is_one_pitch(before: Stretch, after: Stretch) -> bool:
    """Whether two stretches follow each other closely and at nearly the same pitch."""
    apart_cents = cents_from_ratio(after.fit.frequency_hz / before.fit.frequency_hz)
    return after.start_s - before.end_s < _JOINED_S and abs(apart_cents) < _SAME_PITCH_CENTS


def _segment(course: Course, start_s: float, end_s: float, fit: PitchFit) -> Segment:
    """Return a note with its level and salience."""
    inside = course.inside(start_s, end_s)
    steadiness = 1.0 / (1.0 + (_wander_cents(course, inside) / _UNSTEADY_CENTS) ** 2)
    wholeness = min(1.0, (end_s - start_s) / _WHOLE_NOTE_S)
    return Segment(
        start_s=start_s,
        end_s=end_s,
        coarse_frequency_hz=fit.frequency_hz,
        level_dbfs=10.0 * math.log10(float(np.median(course.heard_power[inside])) + 1e-14),
        salience=fit.merit * fit.oneness * steadiness * wholeness,
    )


def _wander_cents(course: Course, inside: NDArray[np.bool_]) -> float:
    """Return the standard deviation of the pitch over a note, its edges left out."""
    step = course.frames(_WANDER_STEP_S)
    edge = course.frames(_WANDER_EDGE_S)
    cycles = course.cycles[inside][edge:-edge]
    if len(cycles) <= step:
        return 0.0
    numbers = np.arange(1, cycles.shape[1] + 1)
    weights = course.phase_weights * numbers**2
    turns = (cycles[step:] - cycles[:-step]) / numbers @ weights / np.sum(weights)
    cents = turns * (CENTS_PER_NATURAL_LOG / (step * course.hop_s * course.frequency_hz))
    # Quartiles: a knock on a note is no wandering.
    low, high = np.quantile(cents, [0.25, 0.75])
    return float(high - low) / 1.349
