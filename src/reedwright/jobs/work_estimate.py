"""What a target asks of an instrument: reeds, metal, hours, and reeds past their limit."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from reedwright.errors import InputError
from reedwright.instrument.layout import Direction, Layout, Reed
from reedwright.instrument.note import SpelledNote
from reedwright.instrument.reading import Survey
from reedwright.jobs.filing_costs import FilingCosts, HeardPitch, filing_costs
from reedwright.reedwork.model import FilingRules, Metal, Tongue, TongueScale, Verdict
from reedwright.tuning import (
    Scheme,
    Temperament,
    Tolerance,
    reed_offsets,
    targets_of,
    tolerances_cents,
)
from reedwright.units import cents_from_ratio

__all__ = [
    "Aim",
    "PastLimit",
    "ReedsAtHand",
    "WorkEstimate",
    "WorkTimes",
    "WorkTotals",
    "notes_of",
    "reeds_at_hand",
]

Values = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class WorkTimes:
    """How long the work on one reed takes, minutes; edit it to your own bench.

    ``minutes_per_reed`` is for taking a reed out, filing, letting it settle, listening
    and putting it back, visits together; ``minutes_per_cent`` comes on top for the way it
    has to go.
    """

    minutes_per_reed: float = 6.0
    minutes_per_cent: float = 0.11
    minutes_per_tip_weight: float = 20.0
    minutes_per_new_tongue: float = 70.0
    evidence: str = (
        "common practice, no source: 8 to 14 hours to tune 96 reeds at pitch (here taken as 8 "
        "cents each), 12 to 24 hours to bring them down 48 cents, 45 to 90 minutes for a new "
        "tongue; the two figures per reed and per cent are derived from these"
    )

    def __post_init__(self) -> None:
        for name in (
            "minutes_per_reed",
            "minutes_per_cent",
            "minutes_per_tip_weight",
            "minutes_per_new_tongue",
        ):
            if not 0.0 <= getattr(self, name) <= 1000.0:
                raise InputError(
                    f"{name} must lie between 0 and 1000 minutes, got {getattr(self, name):g}; "
                    "give what your own bench takes"
                )


@dataclass(frozen=True, slots=True)
class Aim:
    """A target for every note of an instrument.

    ``a4_hz``, ``temperament`` (its slug) and ``fifth_cents`` are None where the target
    has no such thing, as that of another instrument. ``frequencies_hz`` names each note.
    """

    title: str
    a4_hz: float | None
    temperament: str | None
    fifth_cents: float | None
    frequencies_hz: tuple[tuple[SpelledNote, float], ...]


@dataclass(frozen=True, slots=True)
class PastLimit:
    """A reed that a file should not bring to the target, and what the plan says instead."""

    key: str
    direction: Direction
    note: SpelledNote
    move_cents: float
    verdict: Verdict


@dataclass(frozen=True, slots=True)
class WorkEstimate:
    """What a target asks.

    ``reeds_to_touch`` are out of tolerance, ``reeds_left_alone`` within. ``metal_mg`` is
    what is filed off, ``hours`` includes tip weights and new tongues for the
    ``past_limit``. ``furthest_move_cents`` is the largest move, up > 0.
    """

    title: str
    a4_hz: float | None
    temperament: str | None
    fifth_cents: float | None
    reeds_to_touch: int
    reeds_left_alone: int
    metal_mg: float
    hours: float
    past_limit: tuple[PastLimit, ...]
    furthest_move_cents: float


@dataclass(frozen=True, slots=True, eq=False)
class WorkTotals:
    """Reeds to touch, milligrams, minutes and reeds past their limit for each of m targets."""

    touched: Values
    metal_mg: Values
    minutes: Values
    past_limit: Values


@dataclass(frozen=True, slots=True, eq=False)
class ReedsAtHand:
    """The reeds of an instrument that were heard without doubt, and what moving them costs.

    ``offsets_cents`` (n) are from equal temperament at 440 Hz; ``tolerances_cents`` (n)
    how near a target a reed is left alone. ``not_counted`` were not heard, or are in doubt.
    """

    title: str
    reeds: tuple[HeardPitch, ...]
    offsets_cents: Values
    tolerances_cents: Values
    costs: FilingCosts
    times: WorkTimes
    not_counted: tuple[Reed, ...]
    largest_tip_weight_change_cents: float

    def totals(self, moves_cents: Values) -> WorkTotals:
        """Return what moves (m, n) ask."""
        is_touched = np.abs(moves_cents) > self.tolerances_cents
        is_past = is_touched & self.costs.is_past_limit(moves_cents)
        is_filed = is_touched & ~is_past
        is_weighted = is_past & self._takes_a_weight(moves_cents)
        times = self.times
        minutes = np.where(
            is_filed, times.minutes_per_reed + times.minutes_per_cent * np.abs(moves_cents), 0.0
        )
        minutes = minutes + times.minutes_per_tip_weight * is_weighted
        minutes = minutes + times.minutes_per_new_tongue * (is_past & ~is_weighted)
        metal_mg = np.where(is_filed, self.costs.filed_mg(moves_cents), 0.0)
        return WorkTotals(
            touched=is_touched.sum(axis=1).astype(float),
            metal_mg=metal_mg.sum(axis=1),
            minutes=minutes.sum(axis=1),
            past_limit=is_past.sum(axis=1).astype(float),
        )

    def estimate(self, aim: Aim) -> WorkEstimate:
        """Return what a target asks.

        Raises
        ------
        InputError
            If the target has no pitch for one of the notes.
        """
        moves = self.moves_cents(aim)
        totals = self.totals(moves[None, :])
        touched = np.abs(moves) > self.tolerances_cents
        past = touched & self.costs.is_past_limit(moves[None, :])[0]
        is_weighted = self._takes_a_weight(moves)
        return WorkEstimate(
            title=aim.title,
            a4_hz=aim.a4_hz,
            temperament=aim.temperament,
            fifth_cents=aim.fifth_cents,
            reeds_to_touch=int(totals.touched[0]),
            reeds_left_alone=len(self.reeds) - int(totals.touched[0]),
            metal_mg=float(totals.metal_mg[0]),
            hours=float(totals.minutes[0]) / 60.0,
            past_limit=tuple(
                PastLimit(
                    reed.reed.key,
                    reed.reed.direction,
                    reed.note,
                    float(move),
                    Verdict.TIP_WEIGHT if takes_weight else Verdict.NEW_TONGUE,
                )
                for reed, move, is_past, takes_weight in zip(
                    self.reeds, moves, past, is_weighted, strict=True
                )
                if is_past
            ),
            furthest_move_cents=float(moves[np.argmax(np.abs(moves))]),
        )

    def moves_cents(self, aim: Aim) -> Values:
        """Return how far each reed must go, up > 0; InputError for a note without a target."""
        wanted = dict(aim.frequencies_hz)
        missing = [reed.note for reed in self.reeds if reed.note not in wanted]
        if missing:
            raise InputError(
                f"a target must name every note of the instrument, {aim.title!r} has no "
                f"{missing[0].name}; give it a pitch or choose another target"
            )
        return np.array(
            [cents_from_ratio(wanted[reed.note] / reed.frequency_hz) for reed in self.reeds]
        )

    def _takes_a_weight(self, moves_cents: Values) -> NDArray[np.bool_]:
        """Return which moves solder at the tip can make: down, and not too far."""
        limit = self.largest_tip_weight_change_cents
        return (moves_cents < 0.0) & (moves_cents >= -limit)


def reeds_at_hand(
    layout: Layout,
    survey: Survey,
    *,
    title: str,
    equal: Temperament,
    tolerance: Tolerance,
    times: WorkTimes,
    metal: Metal,
    scale: TongueScale,
    rules: FilingRules,
    tongues: Mapping[Reed, Tongue],
) -> ReedsAtHand:
    """Return the reeds of a survey with what moving them costs.

    ``equal`` is equal temperament; ``tongues`` are those that were measured.

    Raises
    ------
    InputError
        If no reed was heard without doubt.
    ModelError
        If a measured tongue is no bar, or a reed lies beyond the scale of tongues.
    """
    targets = targets_of(layout, Scheme(440.0, equal))
    offsets = reed_offsets(layout, survey, targets, tolerance=tolerance)
    limits = tolerances_cents(targets, tolerance)
    heard: list[HeardPitch] = []
    off, limit, not_counted = [], [], []
    for offset, limit_cents in zip(offsets, limits, strict=True):
        reed = Reed(offset.target.key, offset.target.direction)
        if offset.frequency_hz is None or offset.offset_cents is None or offset.doubt is not None:
            not_counted.append(reed)
            continue
        heard.append(HeardPitch(reed, offset.target.note, offset.frequency_hz))
        off.append(offset.offset_cents)
        limit.append(limit_cents)
    if not heard:
        raise InputError(
            "the work can be told only from reeds heard without doubt, there is none in "
            f"{title!r}; record the instrument again or settle the doubts"
        )
    return ReedsAtHand(
        title=title,
        reeds=tuple(heard),
        offsets_cents=np.array(off),
        tolerances_cents=np.array(limit),
        costs=filing_costs(heard, metal=metal, scale=scale, rules=rules, tongues=tongues),
        times=times,
        not_counted=tuple(not_counted),
        largest_tip_weight_change_cents=rules.largest_tip_weight_change_cents,
    )


def notes_of(instruments: Sequence[ReedsAtHand]) -> tuple[SpelledNote, ...]:
    """Return every note of some instruments once."""
    return tuple(dict.fromkeys(reed.note for each in instruments for reed in each.reeds))
