"""What it costs each reed of an instrument to be moved: metal, and where filing ends.

Plans are made for a ladder of moves at a row of pitches, and read off in between: the
plan of one reed takes the model of the tongue about ten milliseconds, and choosing a
target asks for a million. Read off, the metal of one reed is within a tenth of the
plan's (whose zone is rounded to what can be marked), that of an instrument within 3 %.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from reedwright.instrument.layout import Direction, Reed, Side
from reedwright.instrument.note import SpelledNote
from reedwright.instrument.target import ReedOffset, Target
from reedwright.reedwork import default_tongue, plan_filing
from reedwright.reedwork.model import (
    FilingPlan,
    FilingRules,
    Metal,
    Tongue,
    TongueScale,
    Verdict,
)
from reedwright.units import ratio_from_cents

__all__ = ["FilingCosts", "HeardPitch", "filing_costs"]

Values = NDArray[np.float64]

#: The ladder, as parts of the largest move that filing may make: down < 0 < up.
_RUNGS = np.array([-1.0, -0.5, -0.2, 0.0, 0.2, 0.5, 1.0])
#: Assumed tongues are planned at the pitches of the scale's rows, where its slopes change,
#: and between them no further apart than this, semitones.
_PITCH_STEP = 3.0
#: Halvings to find where filing ends: to a hundredth of the largest change.
_HALVINGS = 7
#: A plan needs a doubt of the reading; on the metal it does not tell, cents.
_DOUBT_CENTS = 0.01


@dataclass(frozen=True, slots=True)
class HeardPitch:
    """A reed and what it sounds now."""

    reed: Reed
    note: SpelledNote
    frequency_hz: float


@dataclass(frozen=True, slots=True, eq=False)
class FilingCosts:
    """What moving each of n reeds costs; a move in cents > 0 raises.

    ``highest_cents`` > 0 and ``lowest_cents`` < 0 (n) are the furthest that filing may
    move a reed. ``metal_mg`` (rows, 7) is the ladder of moves: a row for each of
    ``planned_semitones``, target pitches from low to high, then one for each measured
    tongue. ``semitones`` (n) is what each reed sounds, ``own_row`` (n) the row of its
    measured tongue, negative if it is assumed.
    """

    highest_cents: Values
    lowest_cents: Values
    metal_mg: Values
    planned_semitones: Values
    semitones: Values
    own_row: Values

    def is_past_limit(self, moves_cents: Values) -> NDArray[np.bool_]:
        """Return, for moves (m, n), which are further than filing may make."""
        return (moves_cents > self.highest_cents) | (moves_cents < self.lowest_cents)

    def filed_mg(self, moves_cents: Values) -> Values:
        """Return, for moves (m, n), the metal that is filed off: none past the limit."""
        limit = np.where(moves_cents >= 0.0, self.highest_cents, -self.lowest_cents)
        part = np.clip(moves_cents / np.where(limit > 0.0, limit, 1.0), -1.0, 1.0)
        rung = np.clip(np.searchsorted(_RUNGS, part, side="right") - 1, 0, len(_RUNGS) - 2)
        up = (part - _RUNGS[rung]) / (_RUNGS[rung + 1] - _RUNGS[rung])
        place = self._rows(moves_cents)
        row = np.minimum(place.astype(int), max(len(self.metal_mg) - 2, 0))
        on = place - row
        following = np.minimum(row + 1, len(self.metal_mg) - 1)
        here = (1.0 - up) * self.metal_mg[row, rung] + up * self.metal_mg[row, rung + 1]
        there = (1.0 - up) * self.metal_mg[following, rung] + up * self.metal_mg[
            following, rung + 1
        ]
        return np.where(self.is_past_limit(moves_cents), 0.0, (1.0 - on) * here + on * there)

    def _rows(self, moves_cents: Values) -> Values:
        """Return the row, with its fraction, that tells the metal of each move."""
        if len(self.planned_semitones) == 0:
            return np.broadcast_to(self.own_row, moves_cents.shape)
        at = np.interp(
            self.semitones + 0.01 * moves_cents,
            self.planned_semitones,
            np.arange(len(self.planned_semitones), dtype=float),
        )
        return np.where(self.own_row >= 0.0, self.own_row, at)


def filing_costs(
    reeds: Sequence[HeardPitch],
    *,
    metal: Metal,
    scale: TongueScale,
    rules: FilingRules,
    tongues: Mapping[Reed, Tongue],
) -> FilingCosts:
    """Return what moving each reed costs.

    ``tongues`` are those that were measured; the others are assumed from the scale at
    the pitch of their target, as their plans are.

    Raises
    ------
    ModelError
        If a measured tongue is no bar, or a reed lies beyond the scale.
    """
    pitches = [_semitones(reed.frequency_hz) for reed in reeds]
    assumed = [p for p, reed in zip(pitches, reeds, strict=True) if reed.reed not in tongues]
    planned = _planned_semitones(assumed, scale, reach=rules.largest_change_cents / 100.0)
    ladders: list[_Ladder] = []
    for pitch in planned:
        frequency_hz = 2.0 ** (pitch / 12.0)
        tongue = default_tongue(scale, metal, frequency_hz=frequency_hz)
        ladders.append(_Ladder.of(tongue, rules, target_hz=frequency_hz))
    own_row, limits = [], []
    for pitch, reed in zip(pitches, reeds, strict=True):
        measured = tongues.get(reed.reed)
        if measured is None:
            own_row.append(-1.0)
            nearest = min(range(len(planned)), key=lambda k: abs(planned[k] - pitch))
            limits.append(ladders[nearest].limits_cents)
        else:
            ladders.append(_Ladder.of(measured, rules, heard_hz=reed.frequency_hz))
            own_row.append(len(ladders) - 1.0)
            limits.append(ladders[-1].limits_cents)
    return FilingCosts(
        highest_cents=np.array([up for _, up in limits]),
        lowest_cents=np.array([down for down, _ in limits]),
        metal_mg=np.stack([ladder.metal_mg for ladder in ladders]),
        planned_semitones=np.array(planned),
        semitones=np.array(pitches),
        own_row=np.array(own_row),
    )


def _planned_semitones(
    assumed: Sequence[float], scale: TongueScale, *, reach: float
) -> list[float]:
    """Return target pitches from low to high that cover the assumed reeds and their moves."""
    if not assumed:
        return []
    low, high = min(assumed) - reach, max(assumed) + reach
    corners = [_semitones(row.frequency_hz) for row in scale.rows]
    ends = [low, *(corner for corner in corners if low < corner < high), high]
    planned = [low]
    for start, stop in pairwise(ends):
        steps = math.ceil((stop - start) / _PITCH_STEP)
        planned += [start + (stop - start) * step / steps for step in range(1, steps + 1)]
    return planned


def _semitones(frequency_hz: float) -> float:
    return 12.0 * math.log2(frequency_hz)


@dataclass(frozen=True, slots=True, eq=False)
class _Ladder:
    """The metal at each rung, and the furthest moves down and up."""

    metal_mg: Values
    limits_cents: tuple[float, float]

    @classmethod
    def of(
        cls,
        tongue: Tongue,
        rules: FilingRules,
        *,
        heard_hz: float | None = None,
        target_hz: float = 0.0,
    ) -> "_Ladder":
        """Return the ladder of a tongue, from a pitch heard or towards a target."""

        @cache
        def plan(move_cents: float) -> FilingPlan:
            begin_hz = heard_hz or target_hz / ratio_from_cents(move_cents)
            return _plan(tongue, begin_hz, move_cents, rules)

        def furthest(sign: float) -> float:
            allowed, refused = 0.0, rules.largest_change_cents
            if plan(sign * refused).verdict is Verdict.FILE:
                return refused
            for _ in range(_HALVINGS):
                middle = 0.5 * (allowed + refused)
                if plan(sign * middle).verdict is Verdict.FILE:
                    allowed = middle
                else:
                    refused = middle
            return allowed

        down, up = furthest(-1.0), furthest(1.0)
        moves = [part * (up if part > 0.0 else down) for part in _RUNGS.tolist()]
        metal = [(plan(move).mass_mg or 0.0) if move else 0.0 for move in moves]
        return cls(np.array(metal), (-down, up))


def _plan(tongue: Tongue, frequency_hz: float, move_cents: float, rules: FilingRules) -> FilingPlan:
    """Return the plan of a reed that sounds ``frequency_hz`` and is to be moved."""
    target = Target(
        key="",
        side=Side.LEFT,
        direction=Direction.PRESS,
        note=SpelledNote.parse("A4"),
        frequency_hz=frequency_hz * ratio_from_cents(move_cents),
    )
    offset = ReedOffset(
        target=target,
        frequency_hz=frequency_hz,
        offset_cents=-move_cents,
        doubt_cents=_DOUBT_CENTS,
        partner_difference_cents=None,
        is_within_tolerance=False,
        doubt=None,
    )
    return plan_filing(offset, tongue=tongue, tolerance_cents=2.0 * _DOUBT_CENTS, rules=rules)
