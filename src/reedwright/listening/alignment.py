"""Which reed spoke: the notes heard laid along the order in which they were to be played.

A hidden Markov model [Rabiner1989]_. The state is the place reached in the
order; from note to note the player goes on to the next reed, passes over silent
ones, plays one again or jumps. A note may also be an excursion to a reed out of
its turn, or no reed at all; either leaves the place as it was.
A reed sounds at its equal-tempered pitch, moved by the pitch of the whole
instrument and by the size of its fifths, and off by some amount of its own.

Pitch decides; that a note has exactly the pitch of the one before, and how long
the pauses are, only lend weight: their say is capped so that they never settle
by themselves which of two equal reeds spoke. The probabilities are
posterior ones (forward-backward). The probabilities below describe
a careful player; they are common practice, no source.

Conventions: cents re A4 = 440 Hz; ``fifth_cents`` is the size of the fifth less
700, so 0 is equal temperament and -3.42 quarter-comma meantone.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import logsumexp

from reedwright.instrument.layout import Layout, Reed

__all__ = [
    "Alignment",
    "Expected",
    "HeardNote",
    "Manner",
    "align",
    "best_places",
    "expected_notes",
    "pitch_densities",
]

#: What the player does between one sounding reed and the next.
_NEXT, _SILENT, _REPEAT = 0.90, 0.05, 0.025
#: ... and, spread over all reeds: a jump, forward or back, that is gone on from.
_JUMP, _JUMP_BACK = 3e-3, 1e-3
#: An excursion to some reed, and that to each one that has not sounded in its turn.
_EXCURSION, _EXCURSION_TO_MISSING, _MISSING_AT_LEAST = 1e-2, 2e-2, 5
#: Reeds this close in pitch (cents) to a missing one share its chance of an excursion.
_TWIN_CENTS = 50.0
#: A note shorter than this share of the usual one was broken off: as likely as not it comes again.
_BROKEN_OFF, _AGAIN_AFTER_BROKEN_OFF = 0.35, 0.5
#: The recording stops before the end of the order.
_BREAK_OFF = 1e-3
#: A note that is no reed of the order, and its density over the compass, per cent.
_OTHER, _OTHER_PER_CENT = 0.05, 1.0 / 6000.0

#: One reed in seven is far off: standard deviation, cents; none is further than the limit.
_STRAY_SHARE, _STRAY_CENTS, _FURTHEST_CENTS = 0.15, 25.0, 80.0
#: The same reed again: usually within a cent, now and then played much harder or softer.
_AGAIN_CENTS, _AGAIN_STRAY_SHARE, _AGAIN_STRAY_CENTS = 1.0, 0.10, 6.0
#: Most that sameness of pitch and pauses may say, each, as natural logarithms of odds.
_SAMENESS_CAP, _PAUSE_CAP = 3.5, 1.1
_LOG_ZERO = -1e9


@dataclass(frozen=True, slots=True)
class HeardNote:
    """A note as heard: its pitch, its time, and ``likeness``.

    ``likeness`` is the logarithm of how much likelier its steadiness and length
    are for a reed than for anything else.
    """

    offset_cents: float
    start_s: float
    end_s: float
    likeness: float


@dataclass(frozen=True, slots=True, eq=False)
class Expected:
    """The order as numbers, (N,): pitch in equal temperament, fifths from A, which key."""

    offsets_cents: NDArray[np.float64]
    fifths: NDArray[np.float64]
    keys: NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Manner:
    """How this instrument is tuned and how this player plays, as far as is known.

    ``spread_cents`` is the standard deviation of a reed about the tuning,
    ``pair_cents`` that between press and draw of one key. The pauses are median
    and standard deviation of the logarithm of seconds, within a key and from key
    to key; None before they are learned.
    """

    shift_cents: float
    fifth_cents: float
    spread_cents: float = 18.0
    pair_cents: float = 12.0
    pause_within: tuple[float, float] | None = None
    pause_between: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Alignment:
    """What was found: ``places`` (index into the order, None for no reed of it) per note.

    ``probabilities`` (notes, N + 1) has the posterior of every place and, last,
    of being no reed; ``log_evidence`` is that of all the notes together.
    ``rival_shift_cents`` is another pitch of the whole instrument that fits
    nearly as well, if there is one.
    """

    manner: Manner
    places: tuple[int | None, ...]
    probabilities: NDArray[np.float64]
    log_evidence: float
    rival_shift_cents: float | None = None


def expected_notes(layout: Layout, reeds: Sequence[Reed]) -> Expected:
    """Return the notes of some reeds of a layout as numbers, in that order."""
    notes = [layout.note(reed) for reed in reeds]
    keys = {key.key: number for number, key in enumerate(layout.keys)}
    return Expected(
        offsets_cents=np.array([100.0 * (note.semitone - 69) for note in notes]),
        fifths=np.array([float(note.fifths - 3) for note in notes]),
        keys=np.array([keys[reed.key] for reed in reeds], dtype=np.intp),
    )


def align(
    heard: Sequence[HeardNote], expected: Expected, manner: Manner, missing: Sequence[int] = ()
) -> Alignment:
    """Return the best places of the notes and their probabilities, for a tuning and a player.

    ``missing`` are the places that an earlier alignment left empty: an excursion
    to one of them (or to its twin in pitch, which may have sounded in its stead)
    is likelier than one to a reed that has already sounded.
    """
    trellis = _Trellis(heard, expected, manner, missing)
    probabilities, log_evidence = trellis.posterior()
    return Alignment(manner, trellis.best_places(), probabilities, log_evidence)


def best_places(
    heard: Sequence[HeardNote], expected: Expected, manner: Manner, missing: Sequence[int] = ()
) -> tuple[int | None, ...]:
    """Return the best places only: what ``align`` returns, in a third of the time."""
    return _Trellis(heard, expected, manner, missing).best_places()


class _Trellis:
    """The model for one set of notes; all numbers are natural logarithms of probabilities.

    State 0 is before the first reed, state j + 1 is place j of the order.
    """

    def __init__(
        self,
        heard: Sequence[HeardNote],
        expected: Expected,
        manner: Manner,
        missing: Sequence[int],
    ) -> None:
        self._count = len(expected.offsets_cents)
        self._steps = _steps(self._count)
        self._end = _end(self._count)
        self._emissions = pitch_densities(heard, expected, manner)
        excursions = _excursions(expected, manner, missing)
        self._excursions = self._emissions + np.log(excursions)
        self._other = float(np.log(_OTHER * _OTHER_PER_CENT))
        #: A note that leaves the place as it was: no reed, or any excursion.
        self._aside = np.logaddexp(self._other, logsumexp(self._excursions, axis=1))
        self._sameness = _sameness(heard, manner) + _after_broken_off(heard)
        self._within_cap, self._between_cap = _pauses(heard, manner)
        following = np.eye(self._count + 1, self._count, dtype=bool)
        following[0] = False
        before = np.concatenate([[-1], expected.keys])
        is_within: NDArray[np.bool_] = before[:, None] == expected.keys[None, :]
        self._is_again = np.eye(self._count + 1, self._count, k=-1, dtype=bool)
        self._is_within = following & is_within
        self._is_between = following & ~is_within

    def _step(self, note: int) -> NDArray[np.float64]:
        """Return the steps from every state to every place that lead to a note."""
        steps: NDArray[np.float64] = (
            self._steps
            + self._sameness[note] * self._is_again
            + self._within_cap[note] * self._is_within
            + self._between_cap[note] * self._is_between
        )
        return steps

    def _start(self) -> NDArray[np.float64]:
        score = np.full(self._count + 1, _LOG_ZERO)
        score[0] = 0.0
        return score

    def best_places(self) -> tuple[int | None, ...]:
        """Return the best path: a place for every note, None where it is no reed."""
        score = self._start()
        back: list[NDArray[np.intp]] = []
        for note, emission in enumerate(self._emissions):
            reached = score[:, None] + self._step(note)
            source = np.argmax(reached, axis=0)
            spoken = reached[source, np.arange(self._count)] + emission
            aside = max(self._other, float(np.max(self._excursions[note])))
            left = score + aside
            is_spoken = spoken > left[1:]
            # Source -1 says that the place stayed: an excursion, or no reed.
            back.append(np.concatenate([[-1], np.where(is_spoken, source, -1)]))
            score = np.concatenate([left[:1], np.where(is_spoken, spoken, left[1:])])
        places: list[int | None] = []
        state = int(np.argmax(score + self._end))
        for note in range(len(back) - 1, -1, -1):
            source_state = int(back[note][state])
            places.append(state - 1 if source_state >= 0 else self._place_aside(note))
            state = source_state if source_state >= 0 else state
        return tuple(reversed(places))

    def _place_aside(self, note: int) -> int | None:
        """Return the likeliest excursion, or None if the note is likelier no reed."""
        place = int(np.argmax(self._excursions[note]))
        return place if self._excursions[note, place] > self._other else None

    def posterior(self) -> tuple[NDArray[np.float64], float]:
        """Return the probabilities of all places for every note, and the evidence."""
        notes = len(self._emissions)
        forward = [self._start()]
        arrivals = []
        for note, emission in enumerate(self._emissions):
            arrived = logsumexp(forward[-1][:, None] + self._step(note), axis=0) + emission
            arrivals.append(arrived)
            left = forward[-1] + self._aside[note]
            forward.append(np.concatenate([left[:1], np.logaddexp(left[1:], arrived)]))
        log_evidence = float(logsumexp(forward[-1] + self._end))
        probabilities = np.empty((notes, self._count + 1))
        onward = self._end
        for note in range(notes - 1, -1, -1):
            probabilities[note, :-1] = np.exp(arrivals[note] + onward[1:] - log_evidence)
            stayed = logsumexp(forward[note] + onward) - log_evidence
            probabilities[note, :-1] += np.exp(self._excursions[note] + stayed)
            probabilities[note, -1] = np.exp(self._other + stayed)
            gone_on = self._emissions[note] + onward[1:]
            ahead = logsumexp(self._step(note) + gone_on[None, :], axis=1)
            onward = np.logaddexp(onward + self._aside[note], ahead)
        return probabilities, log_evidence


def _steps(count: int) -> NDArray[np.float64]:
    """Return the logarithms of the player's steps, shape (count + 1, count)."""
    ahead = np.arange(count)[None, :] - np.arange(-1, count)[:, None]
    onward = _NEXT * _SILENT ** np.maximum(ahead - 1.0, 0.0) + _JUMP / count
    steps = np.where(ahead > 0, onward, np.where(ahead == 0, _REPEAT, _JUMP_BACK / count))
    logarithms: NDArray[np.float64] = np.log((1.0 - _OTHER) * steps)
    return logarithms


def _excursions(expected: Expected, manner: Manner, missing: Sequence[int]) -> NDArray[np.float64]:
    """Return the probability of an excursion to each place."""
    count = len(expected.offsets_cents)
    chances = np.full(count, _EXCURSION / count)
    tuning = expected.offsets_cents + manner.fifth_cents * expected.fifths
    for place in missing:
        chances[np.abs(tuning - tuning[place]) < _TWIN_CENTS] = _EXCURSION_TO_MISSING / max(
            _MISSING_AT_LEAST, len(missing)
        )
    return chances


def _end(count: int) -> NDArray[np.float64]:
    """Return the logarithms of the recording ending in each state."""
    left = np.arange(count, -1, -1)
    logarithms: NDArray[np.float64] = np.log(np.maximum(_SILENT**left, _BREAK_OFF))
    return logarithms


def pitch_densities(
    heard: Sequence[HeardNote], expected: Expected, manner: Manner
) -> NDArray[np.float64]:
    """Return the log density of each note's pitch at each place, likeness included, (M, N)."""
    tuning = expected.offsets_cents + manner.shift_cents + manner.fifth_cents * expected.fifths
    off_cents = np.array([note.offset_cents for note in heard])[:, None] - tuning[None, :]
    likeness = np.array([note.likeness for note in heard])[:, None]
    usual = (1.0 - _STRAY_SHARE) * _normal(off_cents, manner.spread_cents)
    stray = _STRAY_SHARE * _normal(off_cents, max(_STRAY_CENTS, 1.5 * manner.spread_cents))
    density = np.log(usual + stray + 1e-300) + likeness
    return np.where(np.abs(off_cents) <= _FURTHEST_CENTS, density, _LOG_ZERO)


def _sameness(heard: Sequence[HeardNote], manner: Manner) -> NDArray[np.float64]:
    """Return how strongly each note's pitch says that it is the reed before it once more."""
    said = np.zeros(len(heard))
    pair_cents = max(manner.pair_cents, 1.5)
    for place in range(1, len(heard)):
        apart_cents = abs(heard[place].offset_cents - heard[place - 1].offset_cents)
        again = (1.0 - _AGAIN_STRAY_SHARE) * _normal(apart_cents, _AGAIN_CENTS)
        again += _AGAIN_STRAY_SHARE * _normal(apart_cents, _AGAIN_STRAY_CENTS)
        other = 0.8 * _normal(apart_cents, pair_cents)
        other += 0.2 * _normal(apart_cents, 2.0 * manner.spread_cents)
        said[place] = np.log((again + 1e-12) / (other + 1e-12))
    return np.clip(said, -_SAMENESS_CAP, _SAMENESS_CAP)


def _after_broken_off(heard: Sequence[HeardNote]) -> NDArray[np.float64]:
    """Return how much likelier than usual each note is the one before it once more."""
    said = np.zeros(len(heard))
    lengths_s = np.array([note.end_s - note.start_s for note in heard])
    reedlike = [
        length_s for note, length_s in zip(heard, lengths_s, strict=True) if note.likeness > 0.0
    ]
    if reedlike:
        is_broken_off = lengths_s < _BROKEN_OFF * np.median(reedlike)
        odds = _AGAIN_AFTER_BROKEN_OFF / (1.0 - _AGAIN_AFTER_BROKEN_OFF) * _NEXT / _REPEAT
        said[1:] = np.where(is_broken_off[:-1], np.log(odds), 0.0)
    return said


def _pauses(
    heard: Sequence[HeardNote], manner: Manner
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return what the pause before each note says for a turn of the bellows, and for a new key.

    Both against a pause of any kind, such as one in which a silent reed was tried.
    """
    within, between = np.zeros(len(heard)), np.zeros(len(heard))
    if manner.pause_within is None or manner.pause_between is None:
        return within, between
    any_pause = (manner.pause_between[0] + 0.7, 1.0)
    for place in range(1, len(heard)):
        if min(heard[place].likeness, heard[place - 1].likeness) < 0.0:
            continue
        length = np.log(max(heard[place].start_s - heard[place - 1].end_s, 0.01))
        broad = _normal(length - any_pause[0], any_pause[1]) + 1e-6
        for said, pause in ((within, manner.pause_within), (between, manner.pause_between)):
            said[place] = np.log((_normal(length - pause[0], pause[1]) + 1e-6) / broad)
    return np.clip(within, -_PAUSE_CAP, _PAUSE_CAP), np.clip(between, -_PAUSE_CAP, _PAUSE_CAP)


def _normal(distance: NDArray[np.float64] | float, deviation: float) -> NDArray[np.float64]:
    """Return the normal density."""
    density: NDArray[np.float64] = np.exp(-0.5 * (np.asarray(distance) / deviation) ** 2) / (
        deviation * np.sqrt(2.0 * np.pi)
    )
    return density
