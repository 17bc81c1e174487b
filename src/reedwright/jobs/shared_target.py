"""A target from other instruments: one that another has, or one that several meet at."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from reedwright.errors import InputError
from reedwright.instrument.note import SpelledNote
from reedwright.jobs.least_work import Goal, free_optimum
from reedwright.jobs.work_estimate import Aim, ReedsAtHand, WorkEstimate, notes_of
from reedwright.tuning import NotePitch
from reedwright.units import ratio_from_cents

__all__ = ["Meeting", "SharedWork", "aim_of_instrument", "meet"]

Values = NDArray[np.float64]

_PAST_LIMIT_MG = 1e4


class Meeting(StrEnum):
    """How instruments meet: on one line, half-way note by note, or where least metal falls."""

    LINE = "line"
    MEAN = "mean"
    LEAST_METAL = "least metal"


@dataclass(frozen=True, slots=True)
class SharedWork:
    """A target that several instruments share, and what it asks of each, in their order."""

    meeting: Meeting
    aim: Aim
    estimates: tuple[tuple[str, WorkEstimate], ...]


def aim_of_instrument(title: str, pitches: Sequence[NotePitch]) -> Aim:
    """Return the pitches of another instrument as a target."""
    return Aim(title, None, None, None, tuple((p.note, p.frequency_hz) for p in pitches))


def meet(
    instruments: Sequence[ReedsAtHand],
    meeting: Meeting,
    *,
    pitches: Mapping[str, Sequence[NotePitch]],
) -> SharedWork:
    """Return a target between several instruments.

    LINE is the pitch and the fifth that ask least of all together. MEAN is half-way in
    cents, note by note, each instrument counting once. LEAST_METAL chooses for each note
    the pitch of one of its reeds at which least metal falls in all: the cost is convex
    in the pitch and bends only there. It goes by note, so that chance goes into it.

    Parameters
    ----------
    instruments : sequence of ReedsAtHand
        At least two, with different titles.
    meeting : Meeting
    pitches : mapping of title to sequence of NotePitch
        What each instrument makes of every note of all of them (``note_pitches``); used
        by MEAN.

    Raises
    ------
    InputError
        If there are fewer than two instruments, or two have one title.
    """
    titles = [each.title for each in instruments]
    if len(set(titles)) < 2 or len(set(titles)) < len(titles):
        raise InputError(
            f"a shared target needs at least two different instruments, got {titles}; name "
            "another job"
        )
    if meeting is Meeting.LINE:
        aim = free_optimum(instruments, goal=Goal.HOURS)
    elif meeting is Meeting.MEAN:
        aim = _half_way(instruments, pitches)
    else:
        aim = _least_metal(instruments)
    return SharedWork(meeting, aim, tuple((each.title, each.estimate(aim)) for each in instruments))


def _half_way(
    instruments: Sequence[ReedsAtHand], pitches: Mapping[str, Sequence[NotePitch]]
) -> Aim:
    heard = [{p.note: p for p in pitches[each.title]} for each in instruments]
    wanted = []
    for note in notes_of(instruments):
        own = [known[note].offset_cents for known in heard if note in known]
        wanted.append((note, _frequency_hz(note, float(np.mean(own)))))
    return Aim("half-way between them", None, None, None, tuple(wanted))


def _least_metal(instruments: Sequence[ReedsAtHand]) -> Aim:
    wanted = []
    for note in notes_of(instruments):
        own = [
            each.offsets_cents[[reed.note == note for reed in each.reeds]] for each in instruments
        ]
        at = np.concatenate(own)
        metal_mg = sum((_metal_of_note(each, note, at) for each in instruments), np.zeros(len(at)))
        wanted.append((note, _frequency_hz(note, float(at[int(np.argmin(metal_mg))]))))
    return Aim("where least metal falls", None, None, None, tuple(wanted))


def _metal_of_note(instrument: ReedsAtHand, note: SpelledNote, at_cents: Values) -> Values:
    """Return the metal that the reeds of a note lose for each of some pitches."""
    is_own = np.array([reed.note == note for reed in instrument.reeds])
    moves = np.where(is_own, at_cents[:, None] - instrument.offsets_cents, 0.0)
    totals = instrument.totals(moves)
    return np.asarray(totals.metal_mg + _PAST_LIMIT_MG * totals.past_limit)


def _frequency_hz(note: SpelledNote, offset_cents: float) -> float:
    return 440.0 * ratio_from_cents(100.0 * (note.semitone - 69) + offset_cents)
