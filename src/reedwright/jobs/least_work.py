"""The target that asks least: candidates side by side, and the best pitch and fifth of all.

Limits: hours are the bench's habit, not physics; metal rests on tongues assumed where
none were measured. Good for choosing between targets, not for a quotation.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from reedwright.instrument.layout import Reed
from reedwright.instrument.note import SpelledNote
from reedwright.jobs.work_estimate import (
    Aim,
    ReedsAtHand,
    WorkEstimate,
    WorkTimes,
    WorkTotals,
    notes_of,
)
from reedwright.tuning import Scheme, Temperament, regular, target_frequency_hz
from reedwright.tuning.families import chain_places
from reedwright.units import cents_from_ratio, ratio_from_cents

__all__ = [
    "Goal",
    "LeastWork",
    "WorkCurve",
    "aim_of_scheme",
    "free_optimum",
    "least_work",
]

Values = NDArray[np.float64]

#: The free optimum is looked for so far about the pitch of the whole, and among fifths
#: from narrower than quarter-comma to wider than pure; steps in cents.
_PITCH_REACH, _PITCH_STEP = 60.0, 0.5
_FIFTHS_FROM, _FIFTHS_TO, _FIFTH_STEP = 694.0, 704.0, 0.1
#: Each closer look goes two steps about the best, in quarter steps.
_CLOSER_LOOKS = 2
_ABOUT: Values = np.arange(-8.0, 8.5, 1.0)
#: For least metal, a reed past its limit outweighs any filing, mg.
_PAST_LIMIT_MG = 1e4
#: Curves are drawn this far beyond the outermost pitch, and in steps of, cents.
_CURVE_MARGIN, _CURVE_STEP = 12.0, 1.0


class Goal(StrEnum):
    """What is to be least."""

    HOURS = "hours"
    METAL = "metal"


@dataclass(frozen=True, slots=True)
class WorkCurve:
    """What one temperament asks at pitches from low to high; all tuples of one length."""

    title: str
    a4_hz: tuple[float, ...]
    hours: tuple[float, ...]
    reeds_past_limit: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class LeastWork:
    """Targets side by side.

    ``estimates`` are in the order of ``goal``, least first. ``free_optimum`` is the best
    pitch with the best fifth. ``not_counted`` reeds were not heard or are in doubt.
    """

    goal: Goal
    estimates: tuple[WorkEstimate, ...]
    free_optimum: WorkEstimate
    curves: tuple[WorkCurve, ...]
    reeds: int
    not_counted: tuple[Reed, ...]
    times: WorkTimes


def aim_of_scheme(title: str, scheme: Scheme, notes: Sequence[SpelledNote]) -> Aim:
    """Return a pitch and temperament as a target for some notes."""
    return Aim(
        title=title,
        a4_hz=scheme.a4_hz,
        temperament=scheme.temperament.temperament,
        fifth_cents=scheme.temperament.fifth_cents,
        frequencies_hz=tuple((note, target_frequency_hz(note, scheme)) for note in notes),
    )


def least_work(
    instrument: ReedsAtHand,
    aims: Sequence[Aim],
    *,
    drawn: Sequence[Temperament],
    goal: Goal = Goal.HOURS,
) -> LeastWork:
    """Return what each target asks of an instrument, and the best there is.

    Parameters
    ----------
    instrument : ReedsAtHand
    aims : sequence of Aim
        The candidates.
    drawn : sequence of Temperament
        Those a curve over the pitch is wanted of, with A as their reference.
    goal : Goal
        What the free optimum and the order of the candidates go by.

    Raises
    ------
    InputError
        If a candidate has no pitch for a note of the instrument, or a temperament none.
    """
    optimum = instrument.estimate(free_optimum([instrument], goal=goal))
    estimates = [instrument.estimate(aim) for aim in aims]
    pitches = [e.a4_hz for e in (*estimates, optimum) if e.a4_hz is not None]
    return LeastWork(
        goal=goal,
        estimates=tuple(sorted(estimates, key=_height_by(goal))),
        free_optimum=optimum,
        curves=_curves(instrument, pitches, drawn),
        reeds=len(instrument.reeds),
        not_counted=instrument.not_counted,
        times=instrument.times,
    )


def free_optimum(instruments: Sequence[ReedsAtHand], *, goal: Goal = Goal.HOURS) -> Aim:
    """Return the pitch and the size of fifth that together ask least.

    Of several instruments it is the one that asks least of all of them together. Found
    on a grid that is narrowed twice, since the work jumps where reeds come into
    tolerance: to 0.03 cents in the pitch and 0.006 in the fifth.
    """
    middle = float(np.median(np.concatenate([each.offsets_cents for each in instruments])))
    shifts: Values = np.arange(middle - _PITCH_REACH, middle + _PITCH_REACH + 1e-9, _PITCH_STEP)
    fifths: Values = np.arange(_FIFTHS_FROM, _FIFTHS_TO + 1e-9, _FIFTH_STEP)
    shift, fifth = _best(instruments, shifts, fifths, goal)
    shift_step, fifth_step = _PITCH_STEP, _FIFTH_STEP
    for _ in range(_CLOSER_LOOKS):
        shift_step, fifth_step = shift_step / 4.0, fifth_step / 4.0
        shift, fifth = _best(
            instruments, shift + shift_step * _ABOUT, fifth + fifth_step * _ABOUT, goal
        )
    temperament = regular(
        "free", "least work", fifth_cents=fifth, evidence="found by the work it asks"
    )
    scheme = Scheme(440.0 * ratio_from_cents(shift), temperament)
    return aim_of_scheme("the least of all", scheme, notes_of(instruments))


def _best(
    instruments: Sequence[ReedsAtHand], shifts: Values, fifths: Values, goal: Goal
) -> tuple[float, float]:
    """Return the shift and the fifth of a grid that ask least."""
    heights = np.zeros((len(shifts), len(fifths)))
    for each in instruments:
        places = chain_places([reed.note for reed in each.reeds])
        for number, shift in enumerate(shifts):
            moves = shift + (fifths[:, None] - 700.0) * places - each.offsets_cents
            heights[number] += _height(each.totals(moves), goal)
    row, column = np.unravel_index(int(heights.argmin()), heights.shape)
    return float(shifts[row]), float(fifths[column])


def _height(totals: WorkTotals, goal: Goal) -> Values:
    if goal is Goal.HOURS:
        return totals.minutes
    return totals.metal_mg + _PAST_LIMIT_MG * totals.past_limit


def _height_by(goal: Goal) -> Callable[[WorkEstimate], float]:
    def height(estimate: WorkEstimate) -> float:
        if goal is Goal.HOURS:
            return estimate.hours
        return estimate.metal_mg + _PAST_LIMIT_MG * len(estimate.past_limit)

    return height


def _curves(
    instrument: ReedsAtHand, pitches_hz: Sequence[float], drawn: Sequence[Temperament]
) -> tuple[WorkCurve, ...]:
    """Return the work over the pitch for some temperaments."""
    shifts_cents = [cents_from_ratio(a4_hz / 440.0) for a4_hz in pitches_hz]
    low, high = min(shifts_cents) - _CURVE_MARGIN, max(shifts_cents) + _CURVE_MARGIN
    shifts = np.arange(low, high + _CURVE_STEP, _CURVE_STEP)
    a4_hz = tuple(440.0 * ratio_from_cents(shift) for shift in shifts.tolist())
    curves = []
    for temperament in drawn:
        at_440 = Scheme(440.0, temperament)
        notes = [reed.note for reed in instrument.reeds]
        moves = instrument.moves_cents(aim_of_scheme(temperament.title, at_440, notes))
        totals = instrument.totals(moves + shifts[:, None])
        curves.append(
            WorkCurve(
                title=temperament.title,
                a4_hz=a4_hz,
                hours=tuple((totals.minutes / 60.0).tolist()),
                reeds_past_limit=tuple(int(count) for count in totals.past_limit),
            )
        )
    return tuple(curves)
