"""Where one note ends and the next of the same pitch begins, and where a note's edges are.

Press and draw of one key may follow each other with no silence between them.
What betrays the second reed is that the phases of its partials have nothing to
do with those of the first, that the partials stand in another proportion, that
level or pitch make a step, or that the sound dips. A dropout of the recording
dips too, but leaves phases and proportions as they were.

The limits below were set on invented recordings of two makes, where far from a
boundary the evidence stayed under 0.7 of what is asked.
"""

from dataclasses import replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import maximum_filter1d, uniform_filter1d

from reedwright.listening.partial_tracks import Course
from reedwright.units import CENTS_PER_NATURAL_LOG

__all__ = ["FAINT_DB", "note_edges"]

#: A note so far under the loudest of its stretch is looked at by itself, decibels.
FAINT_DB = 12.0

#: Compared with each other: this much before and after, but not the frames next to the place.
_SIDE_S = 0.20
_MARGIN_S = 0.04
#: A dip is looked for against the loudest within this time on either side.
_REACH_S = 0.30
#: A sound this far (decibels) under both sides for this long (seconds) is two notes.
_PAUSE_DB = 8.0
_PAUSE_S = 0.11
#: A shorter one needs so much other evidence; a dropout of the recording has hardly any.
_PAUSE_EVIDENCE = 0.4
#: Differences that make a new note each by itself; smaller ones add up as squares.
_TIMBRE_DB = 2.4
_PHASE_CYCLES = 0.16
_LEVEL_DB = 7.0
_PITCH_CENTS = 4.0
#: One of these must be seen too: slow growth and beating have neither.
_LEAST_PHASE_CYCLES = 0.06
_LEAST_DIP_DB = 2.0
#: A note goes on if one of its two lowest clear partials does, with so small a step in level
#: and phase, and nothing dips by more than this.
_LOWEST, _CALM_DB, _CALM_CYCLES, _CLEAR_DIP_DB = 2, 0.7, 0.03, 4.0
#: An edge lies where the note has come within this of its median level, decibels.
_EDGE_DB = 6.0
#: What is this far below the loudest of a stretch is no note.
_SILENCE_DB = 50.0
_SHORTEST_S = 0.12
#: No shorter note is cut off at a step without a dip.
_SHORTEST_STEP_S = 0.25
#: A short stretch that dies away like this (decibels from its first to its last third) is an echo.
_ECHO_DB = 5.0
_LONGEST_ECHO_S = 0.5
#: A level less clear than this (decibels over the noise) is smoothed before dips are looked for.
_CLEAR_DB = 20.0
#: Steps in a note not clearer than this are noise.
_UNCLEAR_DB = 10.0
_SMOOTHED_FRAMES = 7
#: A new note shows in at least this share of the partials; two reeds that beat leave the low
#: ones alone, or take away one after the other.
_SHARED = 0.7
#: Unrest of a course makes a step in it doubtful by as much times this.
_UNREST = 1.5
#: Evidence that this share of a stretch reaches is taken off, so many times.
_USUAL_SHARE, _UNUSUAL = 0.75, 4.0

_Windows = tuple[NDArray[np.intp], NDArray[np.intp]]


def note_edges(course: Course) -> tuple[tuple[float, float], ...]:
    """Return start and end, seconds, of each note in a stretch of one pitch, in order.

    A part more than ``FAINT_DB`` under the loudest is left in one piece, for the
    weights are those of the loud part: it wants a course of its own.
    """
    if len(course.times_s) < 4:
        return ()
    level_db = _clear_level(course)
    pauses, bridged = _pauses(course)
    faintest_db = float(np.max(level_db)) - _SILENCE_DB
    return tuple(
        (float(course.times_s[first]), float(course.times_s[stop - 1]))
        for start, end in pairwise([0, *pauses, len(level_db)])
        for first, stop in _notes(bridged, level_db, start, end)
        if np.median(level_db[first:stop]) > faintest_db
    )


def _notes(
    course: Course, level_db: NDArray[np.float64], first: int, stop: int
) -> list[tuple[int, int]]:
    """Return the notes between two frames with no pause between them, in order.

    A faint note before or after a loud one is looked for in what the loud one leaves.
    """
    part_db = level_db[first:stop]
    if len(part_db) * course.hop_s < _SHORTEST_S:
        return []
    usual_db = float(np.median(part_db[part_db > np.max(part_db) - 20.0]))
    loud = np.flatnonzero(part_db > usual_db - _EDGE_DB) + first
    start, end = int(loud[0]), int(loud[-1]) + 1
    is_faint = usual_db < float(np.max(level_db)) - FAINT_DB
    cuts = [start, *([] if is_faint else _steps(course, start, end)), end]
    notes = [
        note
        for note in pairwise(cuts)
        if (note[1] - note[0] - 1) * course.hop_s >= _SHORTEST_S
        and not _is_echo(level_db[slice(*note)], course.hop_s)
    ]
    left = course.frames(_SHORTEST_STEP_S)
    if start - first > left:
        notes = _notes(course, level_db, first, start) + notes
    if stop - end > left:
        notes += _notes(course, level_db, end, stop)
    return notes


def _is_echo(level_db: NDArray[np.float64], hop_s: float) -> bool:
    """Whether a stretch only dies away."""
    third = max(1, len(level_db) // 3)
    falls_db = float(np.mean(level_db[:third]) - np.mean(level_db[-third:]))
    return len(level_db) * hop_s < _LONGEST_ECHO_S and falls_db > _ECHO_DB


def _clear_level(course: Course) -> NDArray[np.float64]:
    """Return the level of the partials that are heard, smoothed where it is noisy."""
    smooth = uniform_filter1d(course.heard_power, _SMOOTHED_FRAMES)
    is_clear = smooth > course.noise_power * 10.0 ** (_CLEAR_DB / 10.0)
    return 10.0 * np.log10(np.where(is_clear, course.heard_power, smooth) + 1e-14)


def _shared_level(course: Course) -> NDArray[np.float64]:
    """Return a level that falls only where most partials fall.

    Two reeds that beat take away partial after partial, never all at once.
    """
    shared: NDArray[np.float64] = _weighted_quantile(
        course.partials_db - np.median(course.partials_db, axis=0), course.weights, _SHARED
    )
    faint = course.heard_power < course.noise_power * 10.0 ** (_CLEAR_DB / 10.0)
    return np.where(faint, uniform_filter1d(shared, _SMOOTHED_FRAMES), shared)


def _pauses(course: Course) -> tuple[list[int], Course]:
    """Return the middles of dips that part two notes, and the course with the others bridged."""
    dip_db = _dip(_shared_level(course), course.frames(_REACH_S))
    margin, side = course.frames(_MARGIN_S), course.frames(_SIDE_S)
    low = np.flatnonzero(dip_db > _PAUSE_DB)
    pauses: list[int] = []
    partials_db, cycles = course.partials_db.copy(), course.cycles.copy()
    for dip in np.split(low, np.flatnonzero(np.diff(low) > 1) + 1):
        if not dip.size:
            continue
        first, last = int(dip[0]) - margin // 2, int(dip[-1]) + margin // 2
        across = _evidence(
            course, dip_db[dip].max(keepdims=True), np.array([first]), np.array([last]), side
        )
        is_long = (dip[-1] - dip[0]) * course.hop_s >= _PAUSE_S
        if is_long or across[0] >= _PAUSE_EVIDENCE or first < 0 or last >= len(dip_db):
            pauses.append((first + last) // 2)
            continue
        share = np.linspace(0.0, 1.0, last - first + 1)[:, None]
        for values in (partials_db, cycles):
            values[first : last + 1] = (1.0 - share) * values[first] + share * values[last]
    inside = [pause for pause in pauses if 0 < pause < len(dip_db)]
    return inside, replace(course, partials_db=partials_db, cycles=cycles)


def _steps(course: Course, first: int, stop: int) -> list[int]:
    """Return the frames between two where a note gives way to the next without a pause.

    The clearest is taken and both parts are searched again, so that no comparison
    reaches across it.
    """
    apart = course.frames(_SHORTEST_STEP_S)
    margin, side = course.frames(_MARGIN_S), course.frames(_SIDE_S)
    part = course.between(first, stop)
    # Every other frame: the sides are averages over many.
    places = np.arange(apart, stop - first - apart, 2)
    if not places.size:
        return []
    dip_db = _dip(_shared_level(part), course.frames(_REACH_S))[places]
    evidence = _evidence(part, dip_db, places - margin, places + margin, side - margin)
    evidence += np.where(evidence > 0.0, (np.minimum(dip_db, _PAUSE_DB) / _PAUSE_DB) ** 2, 0.0)
    # What happens all along is beating; a new note happens once.
    evidence -= _UNUSUAL * np.quantile(evidence, _USUAL_SHARE)
    best = int(np.argmax(evidence))
    if evidence[best] < 1.0:
        return []
    step = first + int(places[best])
    return [
        *_steps(course, first, step),
        step,
        *_steps(course, step, stop),
    ]


def _dip(level_db: NDArray[np.float64], reach: int) -> NDArray[np.float64]:
    """Return how far each frame lies under the loudest on either side, the lesser of the two."""
    before = maximum_filter1d(level_db, reach + 1, origin=reach // 2)
    after = maximum_filter1d(level_db, reach + 1, origin=-(reach // 2))
    return np.minimum(before, after) - level_db


def _evidence(
    course: Course,
    dip_db: NDArray[np.float64],
    last_before: NDArray[np.intp],
    first_after: NDArray[np.intp],
    length: int,
) -> NDArray[np.float64]:
    """Return how strongly the sides of each place speak for two notes; 1 is enough.

    The sides are up to ``length`` frames that end at ``last_before`` and begin at
    ``first_after``.
    """
    count = len(course.cycles)
    before = (np.maximum(0, last_before - length), np.maximum(1, last_before + 1))
    after = (np.minimum(count - 1, first_after), np.minimum(count, first_after + length + 1))
    step_db, unrest_db, _ = _step(course.partials_db, before, after)
    shared_db = _weighted_quantile(step_db, course.weights, 0.5)
    own_db = np.abs(step_db - shared_db[:, None]) - _UNREST * unrest_db
    miss, unrest, turn = _step(course.cycles, before, after)
    jumps = np.abs(miss - np.round(miss)) - _UNREST * unrest
    # Nothing is read from phases that are mostly noise.
    jumps *= np.minimum(1.0, course.phase_weights)
    numbers = np.arange(1, course.cycles.shape[1] + 1)
    turn_cents = np.abs(turn) / numbers * (CENTS_PER_NATURAL_LOG / course.frequency_hz)
    turn_cents /= course.hop_s

    weights, phase_weights = course.weights, course.phase_weights
    is_pause = dip_db > _PAUSE_DB
    timbre_db = np.maximum(_agreed(own_db, weights, is_pause), 0.0)
    phase = np.maximum(_agreed(jumps, phase_weights, is_pause), 0.0)
    cents = np.minimum(_agreed(turn_cents, phase_weights, is_pause), _PITCH_CENTS)
    total = (
        (timbre_db / _TIMBRE_DB) ** 2
        + (phase / _PHASE_CYCLES) ** 2
        + (_common_step(step_db, weights) / _LEVEL_DB) ** 2
        + (cents / _PITCH_CENTS) ** 2
    )
    is_abrupt = (phase > _LEAST_PHASE_CYCLES) | (dip_db > _LEAST_DIP_DB)
    clear = np.flatnonzero(weights > 0.5)[:_LOWEST]
    goes_on = (np.abs(step_db) < _CALM_DB) & (np.abs(miss - np.round(miss)) < _CALM_CYCLES)
    is_abrupt &= ~np.any(goes_on[:, clear], axis=1) | (dip_db > _CLEAR_DIP_DB)
    long_enough = (before[1] - before[0] >= 4) & (after[1] - after[0] >= 4)
    trust = np.clip((_fainter_db(course, before, after) - _UNCLEAR_DB) / _CLEAR_DB, 0.0, 1.0)
    return np.where(is_abrupt & long_enough, total * trust, 0.0)


def _fainter_db(course: Course, before: _Windows, after: _Windows) -> NDArray[np.float64]:
    """Return how far the fainter of two sides stands out of the noise."""
    power = course.heard_power[:, None]
    fainter = np.minimum(_mean(power, *before), _mean(power, *after))[:, 0]
    return 10.0 * np.log10(fainter / course.noise_power + 1e-9)


def _mean(
    values: NDArray[np.float64], first: NDArray[np.intp], stop: NDArray[np.intp]
) -> NDArray[np.float64]:
    """Return the means over windows of the frames, shape (windows, K)."""
    total = np.concatenate([np.zeros((1, values.shape[1])), np.cumsum(values, axis=0)])
    means: NDArray[np.float64] = (total[stop] - total[first]) / (stop - first)[:, None]
    return means


def _step(
    values: NDArray[np.float64], before: _Windows, after: _Windows
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Return the step between two sides, how restless they are, and the change of slope.

    A straight line is laid through each side and both are carried to the middle
    between them, so that what changes evenly makes no step; what the lines leave
    over (root mean square, both sides together) is unrest, such as beating.
    """
    mean_before, slope_before, left_before = _line(values, *before)
    mean_after, slope_after, left_after = _line(values, *after)
    distance = 0.5 * ((after[0] + after[1]) - (before[0] + before[1]))[:, None]
    step = mean_after - mean_before - 0.5 * (slope_before + slope_after) * distance
    return step, left_before + left_after, slope_after - slope_before


def _line(
    values: NDArray[np.float64], first: NDArray[np.intp], stop: NDArray[np.intp]
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Return mean, slope per frame and rms residual of the straight line through each window."""
    places = np.arange(len(values))[:, None]
    mean = _mean(values, first, stop)
    middle = 0.5 * (first + stop - 1)[:, None]
    spread = np.maximum((stop - first)[:, None] ** 2 - 1.0, 1.0) / 12.0
    slope = (_mean(values * places, first, stop) - middle * mean) / spread
    square = _mean(values**2, first, stop) - mean**2 - slope**2 * spread
    return mean, slope, np.sqrt(np.maximum(square, 0.0))


def _agreed(
    values: NDArray[np.float64], weights: NDArray[np.float64], is_pause: NDArray[np.bool_]
) -> NDArray[np.float64]:
    """Return what most partials reach; in a pause of all of them, half are enough."""
    most = _weighted_quantile(values, weights, 1.0 - _SHARED)
    return np.where(is_pause, _weighted_quantile(values, weights, 0.5), most)


def _common_step(step_db: NDArray[np.float64], weights: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the step that most partials make in the same direction, 0 where they do not."""
    low = _weighted_quantile(step_db, weights, 1.0 - _SHARED)
    high = _weighted_quantile(step_db, weights, _SHARED)
    return np.where(low * high > 0.0, np.minimum(np.abs(low), np.abs(high)), 0.0)


def _weighted_quantile(
    values: NDArray[np.float64], weights: NDArray[np.float64], share: float
) -> NDArray[np.float64]:
    """Return what is reached by this share of the weights, along the last axis."""
    order = np.argsort(values, axis=1)
    heard = np.cumsum(weights[order], axis=1)
    place = np.argmax(heard >= share * heard[:, -1:], axis=1)
    rows = np.arange(len(values))
    quantile: NDArray[np.float64] = values[rows, order[rows, place]]
    return quantile
