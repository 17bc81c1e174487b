"""Where a note sounds and about at what pitch: the best path through a recording.

Each frame scores every pitch by how far the partials of a harmonic series stand
out of the noise. A path goes from frame to frame through pitches and silence;
changing costs, so that what is steady wins. The best path is found by dynamic
programming [Viterbi1967]_. Weights and costs were chosen on invented recordings;
they are no physics.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import median_filter

from reedwright.listening.model import Sound
from reedwright.listening.spectrogram import (
    CELLS_PER_OCTAVE,
    CellMap,
    cell_map,
    log_powers,
)

__all__ = ["Run", "pitch_runs"]

#: C8 raised by 150 cents, hertz: no pitch is looked for above.
_HIGHEST_PITCH_HZ = 4_565.0
_PARTIALS = 12
#: A partial counts from this far above the floor (nepers of power) and up to the cap.
_THRESHOLD = 2.0
_CAP = 7.0
#: ... but not from further below the loudest cell of its frame: what a window leaks is no partial.
_RANGE = 8.0
#: What a frame of silence scores, and the costs of a new pitch and of a step to the next cell.
_SILENCE_SCORE = 2.0
_CHANGE_COST = 12.0
_STEP_COST = 1.5

#: The floor of noise is this quantile over time of a block.
_FLOOR_QUANTILE = 0.2
#: ... but not more than this (nepers) above the quiet cells around.
_FLOOR_MARGIN = 0.8
_FLOOR_NEIGHBOURS = CELLS_PER_OCTAVE // 2
#: Lines this far (nepers of power) under the loudest are taken for hum at mains frequencies.
_HUM_BELOW = 6.9

#: A pitch between two cells is followed over this many frames.
_FLICKER_FRAMES = 15

_UP, _DOWN, _CHANGE = 1, 2, 3


@dataclass(frozen=True, slots=True)
class Run:
    """A stretch of steady pitch on the path: its times and the pitch's cell."""

    start_s: float
    end_s: float
    frequency_hz: float


def pitch_runs(sound: Sound) -> Iterator[Run]:
    """Yield the stretches of steady pitch in a recording, in order of time, as they are settled."""
    cells = cell_map(sound.sample_rate_hz)
    silence = _pitches(cells)
    begin = 0
    for stretch in _stretches(_settled_paths(sound, cells), silence):
        if stretch[0] != silence:
            for first, stop, cell in _steady(stretch):
                yield Run(
                    start_s=(begin + first - 0.5) * cells.hop_s,
                    end_s=(begin + stop - 0.5) * cells.hop_s,
                    frequency_hz=float(cells.frequencies_hz[cell]),
                )
        begin += stretch.size


def _settled_paths(sound: Sound, cells: CellMap) -> Iterator[NDArray[np.intp]]:
    """Yield the best path, piece by piece, as soon as no later frame can change it."""
    search = _Search(_pitches(cells))
    for block in log_powers(sound, cells):
        floor = _floor(block.values, cells.frequencies_hz)
        search.follow(_scores(block.values, floor, search.pitches))
        yield search.settled()
    yield search.rest()


def _stretches(paths: Iterable[NDArray[np.intp]], silence: int) -> Iterator[NDArray[np.intp]]:
    """Yield the path cut where it falls silent, begins, or jumps to another pitch."""
    open_end = np.empty(0, np.intp)
    for path in paths:
        whole = np.concatenate([open_end, path])
        is_edge = np.abs(np.diff(whole)) > 1
        is_edge |= (whole[1:] == silence) != (whole[:-1] == silence)
        *closed, open_end = np.split(whole, np.flatnonzero(is_edge) + 1)
        yield from closed
    if open_end.size:
        yield open_end


def _steady(stretch: NDArray[np.intp]) -> Iterator[tuple[int, int, int]]:
    """Yield first frame, last-plus-one and cell of each part of a stretch that keeps its pitch.

    A pitch between two cells flickers; so they are first smoothed by a running
    median, and a note's pitch changes cell only for good.
    """
    cells = median_filter(stretch, size=_FLICKER_FRAMES, mode="nearest")
    cuts = np.flatnonzero(np.diff(cells)) + 1
    for first, stop in pairwise([0, *cuts.tolist(), stretch.size]):
        yield first, stop, int(cells[first])


def _pitches(cells: CellMap) -> int:
    """Return the number of cells that may be a pitch."""
    return int(np.sum(cells.frequencies_hz <= _HIGHEST_PITCH_HZ))


def _floor(values: NDArray[np.float32], frequencies_hz: NDArray[np.float64]) -> NDArray[np.float32]:
    """Return the log power of the noise in each cell.

    It is a low quantile over time. A note held through most of the block would
    pass for noise: a cell that stands out of its neighbours is cut down to them,
    unless it is a weak line at a multiple of 50 or 60 Hz, which is hum.
    """
    over_time = np.quantile(values, _FLOOR_QUANTILE, axis=0)
    padded = np.pad(over_time, _FLOOR_NEIGHBOURS, mode="edge")
    around = np.lib.stride_tricks.sliding_window_view(padded, 2 * _FLOOR_NEIGHBOURS + 1)
    quiet = np.quantile(around, _FLOOR_QUANTILE, axis=1) + _FLOOR_MARGIN
    mains = np.zeros(over_time.size, bool)
    for mains_hz in (50.0, 60.0):
        number = np.maximum(1.0, np.round(frequencies_hz / mains_hz))
        mains |= np.abs(frequencies_hz / (number * mains_hz) - 1.0) < 0.02
    hum = mains & (frequencies_hz < 700.0) & (over_time < float(np.max(values)) - _HUM_BELOW)
    return np.where(hum, over_time, np.minimum(over_time, quiet)).astype(np.float32)


def _scores(
    values: NDArray[np.float32], floor: NDArray[np.float32], pitches: int
) -> NDArray[np.float32]:
    """Return how well each pitch explains each frame, shape (frames, pitches)."""
    loudest = values.max(axis=1, keepdims=True)
    least = np.maximum(floor + np.float32(_THRESHOLD), loudest - np.float32(_RANGE))
    heights = np.clip(values - least, 0.0, _CAP)
    scores = np.zeros((len(values), pitches), np.float32)
    for number in range(1, _PARTIALS + 1):
        shift = round(CELLS_PER_OCTAVE * np.log2(number))
        reached = min(pitches, values.shape[1] - shift)
        if reached <= 0:
            break
        # Falling weights: half the pitch would else score the same, from its even partials.
        weight = np.float32(number**-0.5)
        scores[:, :reached] += weight * heights[:, shift : shift + reached]
    return scores


class _Search:
    """The dynamic programme, fed block by block; state ``pitches`` is silence."""

    def __init__(self, pitches: int) -> None:
        self.pitches = pitches
        self._score = np.zeros(pitches + 1, np.float32)
        self._moves = np.empty((0, pitches + 1), np.int8)
        self._sources = np.empty(0, np.intp)

    def follow(self, scores: NDArray[np.float32]) -> None:
        """Go on through the frames of a block."""
        step, change = np.float32(_STEP_COST), np.float32(_CHANGE_COST)
        before = np.empty((len(scores), self.pitches + 1), np.float32)
        best = self._score
        for frame, gain in enumerate(scores):
            before[frame] = best
            reached = np.maximum(best, best.max() - change)
            np.maximum(reached[1:-1], best[:-2] - step, out=reached[1:-1])
            np.maximum(reached[:-2], best[1:-1] - step, out=reached[:-2])
            reached[:-1] += gain
            reached[-1] += np.float32(_SILENCE_SCORE)
            best = reached - reached.max()
        self._score = best
        self._moves = np.concatenate([self._moves, _moves(before)])
        self._sources = np.concatenate([self._sources, np.argmax(before, axis=1)])

    def settled(self) -> NDArray[np.intp]:
        """Return the states of the frames on which all paths agree, and forget those frames."""
        states = np.arange(self.pitches + 1)
        for frame in range(len(self._moves) - 1, 0, -1):
            moves = self._moves[frame, states]
            stepped = states + (moves == _DOWN) - (moves == _UP)
            states = np.unique(np.where(moves == _CHANGE, self._sources[frame], stepped))
            if states.size == 1:
                return self._traced(frame, int(states[0]))
        return np.empty(0, np.intp)

    def rest(self) -> NDArray[np.intp]:
        """Return the best states of the frames that are left."""
        return self._traced(len(self._moves), int(np.argmax(self._score)))

    def _traced(self, stop: int, state: int) -> NDArray[np.intp]:
        """Return the path of the first ``stop`` frames that ends in ``state``; forget them."""
        states = np.empty(stop, np.intp)
        for frame in range(stop - 1, -1, -1):
            states[frame] = state
            move = self._moves[frame, state]
            if move == _CHANGE:
                state = int(self._sources[frame])
            elif move:
                state += 1 if move == _DOWN else -1
        self._moves, self._sources = self._moves[stop:], self._sources[stop:]
        return states


def _moves(before: NDArray[np.float32]) -> NDArray[np.int8]:
    """Return by which move each state is best reached from the frame before it."""
    reached = before.copy()
    moves = np.zeros(before.shape, np.int8)
    for code, source, here in (
        (_UP, before[:, :-2], np.s_[:, 1:-1]),
        (_DOWN, before[:, 1:-1], np.s_[:, :-2]),
        (_CHANGE, before.max(axis=1, keepdims=True), np.s_[:, :]),
    ):
        cost = np.float32(_CHANGE_COST if code == _CHANGE else _STEP_COST)
        better = source - cost > reached[here]
        reached[here] = np.where(better, source - cost, reached[here])
        moves[here][better] = code
    return moves
