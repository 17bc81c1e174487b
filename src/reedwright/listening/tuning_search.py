"""How the whole instrument is tuned, as far as laying notes along an order needs it.

First a grid over the pitch of the whole and the size of its fifths, each tried by
laying the notes along the order; then a robust fit to the notes so placed, which
also learns how far reeds stray and how long the player pauses.
"""

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from reedwright.listening.alignment import (
    Alignment,
    Expected,
    HeardNote,
    Manner,
    align,
    best_places,
)

__all__ = ["aligned"]

#: The whole instrument is up to 100 cents from 440, and half a reed's stray more.
_SHIFTS_CENTS = np.arange(-130.0, 131.0, 10.0)
#: From a third-comma meantone fifth to a little over the Pythagorean one, less 700.
_FIFTHS_CENTS = np.arange(-5.0, 2.6, 1.5)
_FIFTH_PRIOR_CENTS = 2.5
_SHIFT_PRIOR_CENTS = 80.0
_STATED_PRIOR_CENTS = 25.0
#: Tunings worth a second look: at most this many, this far apart, and this likely re the best.
_READINGS, _APART_CENTS, _LESS_LIKELY = 3, 45.0, 12.0

_SPREAD_CENTS = 20.0
_FORWARD_COST, _AGAIN_COST, _JUMP_COST, _OTHER_SCORE = 3.0, 4.0, 9.0, -12.0
_ROUNDS = 3
_RIVAL_WEIGHT = 0.01
_FEWEST_PAIRS, _FEWEST_PAUSES = 6, 8


def aligned(
    heard: Sequence[HeardNote], expected: Expected, *, stated_cents: float | None = None
) -> Alignment:
    """Return the notes laid along the order in the likeliest tuning.

    ``stated_cents`` is the pitch of the whole instrument re A4 = 440 Hz, if
    somebody stated it. The probabilities weigh up to three tunings, for a
    recording may fit the order a semitone higher nearly as well.
    """
    readings = [
        _settled(heard, expected, Manner(shift_cents, fifth_cents), stated_cents)
        for shift_cents, fifth_cents in _candidates(heard, expected, stated_cents)
    ]
    readings = _unlike(readings)
    evidence = np.array(
        [
            reading.log_evidence + _prior(reading.manner.shift_cents, stated_cents)
            for reading in readings
        ]
    )
    weights = np.exp(evidence - np.max(evidence))
    weights /= np.sum(weights)
    best = readings[int(np.argmax(weights))]
    mixed = sum(
        weight * reading.probabilities for weight, reading in zip(weights, readings, strict=True)
    )
    rivals = [
        reading.manner.shift_cents
        for weight, reading in zip(weights, readings, strict=True)
        if weight >= _RIVAL_WEIGHT and reading is not best
    ]
    return replace(
        best,
        probabilities=np.asarray(mixed),
        rival_shift_cents=rivals[0] if rivals else None,
    )


def _unlike(readings: Sequence[Alignment]) -> list[Alignment]:
    """Return the readings, the better one where two have settled on the same pitch."""
    kept: list[Alignment] = []
    for reading in sorted(readings, key=lambda each: -each.log_evidence):
        shift_cents = reading.manner.shift_cents
        if all(abs(shift_cents - other.manner.shift_cents) >= _APART_CENTS for other in kept):
            kept.append(reading)
    return kept


def _prior(shift_cents: float, stated_cents: float | None) -> float:
    """Return the logarithm of how likely a pitch of the whole is before anything was heard."""
    if stated_cents is None:
        return -0.5 * (shift_cents / _SHIFT_PRIOR_CENTS) ** 2
    return -0.5 * ((shift_cents - stated_cents) / _STATED_PRIOR_CENTS) ** 2


def _candidates(
    heard: Sequence[HeardNote], expected: Expected, stated_cents: float | None
) -> list[tuple[float, float]]:
    """Return pitch and fifth of the best tunings of the grid, the best first."""
    shifts, fifths = (axis.ravel() for axis in np.meshgrid(_SHIFTS_CENTS, _FIFTHS_CENTS))
    scores = _grid_scores(heard, expected, shifts, fifths)
    scores += [_prior(float(shift), stated_cents) for shift in shifts]
    scores -= 0.5 * (fifths / _FIFTH_PRIOR_CENTS) ** 2
    chosen: list[tuple[float, float]] = []
    for place in np.argsort(-scores):
        if scores[place] < np.max(scores) - _LESS_LIKELY or len(chosen) == _READINGS:
            break
        if all(abs(shifts[place] - other) >= _APART_CENTS for other, _ in chosen):
            chosen.append((float(shifts[place]), float(fifths[place])))
    return chosen


def _grid_scores(
    heard: Sequence[HeardNote],
    expected: Expected,
    shifts: NDArray[np.float64],
    fifths: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Return how well the notes can be laid along the order in each tuning.

    A simpler model than ``align``, for all tunings at once: the best path that
    goes on, passes over up to three, plays again, or jumps at a price.
    """
    tunings = (
        expected.offsets_cents[None, :]
        + shifts[:, None]
        + fifths[:, None] * expected.fifths[None, :]
    )
    best = np.full(tunings.shape, -_FORWARD_COST * 0.0)
    best -= _FORWARD_COST * np.arange(tunings.shape[1])[None, :]
    best = np.maximum(best, -_JUMP_COST)
    started = best - 0.0
    score = np.full(tunings.shape, -np.inf)
    for note in heard:
        off = (note.offset_cents - tunings) / _SPREAD_CENTS
        fit = np.maximum(-0.5 * off**2, -8.0) + min(note.likeness, 2.0) - 2.0
        arrived = np.maximum(score - _AGAIN_COST, started)
        for ahead in range(1, 5):
            cost = _FORWARD_COST * (ahead - 1)
            arrived[:, ahead:] = np.maximum(arrived[:, ahead:], score[:, :-ahead] - cost)
        jumped = np.max(score, axis=1, keepdims=True) - _JUMP_COST
        spoken = np.maximum(arrived, jumped) + fit
        started = started + _OTHER_SCORE
        score = np.maximum(spoken, score + _OTHER_SCORE)
    best_paths: NDArray[np.float64] = np.max(score, axis=1)
    return best_paths


def _settled(
    heard: Sequence[HeardNote],
    expected: Expected,
    manner: Manner,
    stated_cents: float | None,
) -> Alignment:
    """Return the alignment once tuning and player are learned from it, in three rounds."""
    missing: list[int] = []
    for _ in range(_ROUNDS):
        places = best_places(heard, expected, manner, missing)
        manner = _learned(heard, expected, places, manner, stated_cents)
        missing = [place for place in range(len(expected.keys)) if place not in set(places)]
    return align(heard, expected, manner, missing)


def _learned(
    heard: Sequence[HeardNote],
    expected: Expected,
    best: Sequence[int | None],
    manner: Manner,
    stated_cents: float | None,
) -> Manner:
    """Return tuning and player as the notes placed show them."""
    placed = [(note, place) for note, place in enumerate(best) if place is not None]
    if not placed:
        return manner
    notes, places = (np.array(side, dtype=np.intp) for side in zip(*placed, strict=True))
    heard_cents = np.array([note.offset_cents for note in heard])[notes]
    off_cents = heard_cents - expected.offsets_cents[places]
    shift_cents, fifth_cents = _robust_tuning(off_cents, expected.fifths[places], stated_cents)
    rest = off_cents - shift_cents - fifth_cents * expected.fifths[places]
    spread_cents = float(np.clip(1.4826 * np.median(np.abs(rest)), 5.0, 22.0))
    pairs: list[float] = []
    within: list[float] = []
    between: list[float] = []
    for before, after in pairwise(placed):
        if after[0] != before[0] + 1 or after[1] != before[1] + 1:
            continue
        first, second = heard[before[0]], heard[after[0]]
        pause = math.log(max(second.start_s - first.end_s, 0.01))
        is_within = expected.keys[before[1]] == expected.keys[after[1]]
        (within if is_within else between).append(pause)
        if expected.offsets_cents[before[1]] == expected.offsets_cents[after[1]]:
            pairs.append(second.offset_cents - first.offset_cents)
    return Manner(
        shift_cents=shift_cents,
        fifth_cents=fifth_cents,
        spread_cents=spread_cents,
        pair_cents=(
            float(np.clip(1.4826 * np.median(np.abs(pairs)), 1.5, 35.0))
            if len(pairs) >= _FEWEST_PAIRS
            else manner.pair_cents
        ),
        pause_within=_pause(within),
        pause_between=_pause(between),
    )


def _pause(logarithms: Sequence[float]) -> tuple[float, float] | None:
    """Return median and robust standard deviation of pauses, None if there are too few."""
    if len(logarithms) < _FEWEST_PAUSES:
        return None
    median = float(np.median(logarithms))
    return median, max(0.3, 1.4826 * float(np.median(np.abs(np.array(logarithms) - median))))


def _robust_tuning(
    off_cents: NDArray[np.float64], fifths: NDArray[np.float64], stated_cents: float | None
) -> tuple[float, float]:
    """Return pitch and fifth by least squares with Huber's weights, the fifth held near 700."""
    shift, fifth = float(np.median(off_cents)), 0.0
    tie = 0.0 if stated_cents is None else (10.0 / _STATED_PRIOR_CENTS) ** 2
    for _ in range(10):
        rest = off_cents - shift - fifth * fifths
        scale = max(4.0, 1.4826 * float(np.median(np.abs(rest))))
        weights = np.minimum(1.0, 1.5 * scale / np.maximum(np.abs(rest), 1e-9))
        ridge = (scale / _FIFTH_PRIOR_CENTS) ** 2
        normal = np.array(
            [
                [np.sum(weights) + tie, np.sum(weights * fifths)],
                [np.sum(weights * fifths), np.sum(weights * fifths**2) + ridge],
            ]
        )
        right = np.array(
            [
                np.sum(weights * off_cents) + tie * (stated_cents or 0.0),
                np.sum(weights * fifths * off_cents),
            ]
        )
        shift, fifth = (float(value) for value in np.linalg.solve(normal, right))
    return shift, fifth
