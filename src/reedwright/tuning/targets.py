"""What each reed should do, and how far it is from it."""

import math
from collections.abc import Iterable, Mapping, Sequence
from statistics import median

from reedwright.instrument.layout import Direction, Layout
from reedwright.instrument.note import SpelledNote
from reedwright.instrument.reading import Reading, Survey
from reedwright.instrument.target import ReedOffset, Target
from reedwright.tuning.model import Scheme, Tolerance
from reedwright.units import cents_from_ratio

__all__ = ["reed_offsets", "target_frequency_hz", "targets_of", "tolerances_cents"]

#: Reeds whose targets differ by less than this are of one pitch.
_SAME_PITCH_CENTS = 0.01


def target_frequency_hz(note: SpelledNote, scheme: Scheme) -> float:
    """Return the frequency of a spelled note under a scheme, hertz."""
    reference = SpelledNote.parse(scheme.reference + "4")
    deviation_cents = scheme.temperament.deviation_cents(note) - scheme.temperament.deviation_cents(
        reference
    )
    return scheme.a4_hz * math.exp2((note.semitone - 69) / 12 + deviation_cents / 1200)


def targets_of(layout: Layout, scheme: Scheme) -> tuple[Target, ...]:
    """Return the target of every reed of the layout, key by key, press before draw."""
    return tuple(
        Target(
            key=reed.key,
            side=layout.key(reed.key).side,
            direction=reed.direction,
            note=layout.note(reed),
            frequency_hz=target_frequency_hz(layout.note(reed), scheme),
        )
        for reed in layout.reeds()
    )


def reed_offsets(
    layout: Layout,
    survey: Survey,
    targets: Sequence[Target],
    *,
    tolerance: Tolerance,
    include_common_doubt: bool = True,
) -> tuple[ReedOffset, ...]:
    """Return every reed of the layout against its target, in the order of ``targets``.

    A reed read several times counts with the mean of its readings, weighted by
    their own doubts; readings whose assignment is in doubt are used only where
    there is no other. The doubt of the offset holds the reed's own doubt and, if
    ``include_common_doubt``, what all readings share (clock, temperature).
    """
    heard = {
        (target.key, target.direction): _combined(
            target,
            [
                reading
                for reading in survey.readings
                if (reading.key, reading.direction) == (target.key, target.direction)
            ],
            include_common_doubt=include_common_doubt,
        )
        for target in targets
    }
    limits = tolerances_cents(targets, tolerance)
    offsets = []
    for target, limit_cents in zip(targets, limits, strict=True):
        reading = heard[target.key, target.direction]
        if reading is None:
            offsets.append(ReedOffset(target, None, None, None, None, None, None))
            continue
        frequency_hz, offset_cents, doubt_cents, doubt = reading
        offsets.append(
            ReedOffset(
                target=target,
                frequency_hz=frequency_hz,
                offset_cents=offset_cents,
                doubt_cents=doubt_cents,
                partner_difference_cents=_partner_difference(layout, target, targets, heard),
                is_within_tolerance=abs(offset_cents) <= limit_cents,
                doubt=doubt,
            )
        )
    return tuple(offsets)


_Heard = tuple[float, float, float, str | None]


def _combined(
    target: Target, readings: Sequence[Reading], *, include_common_doubt: bool
) -> _Heard | None:
    sure = [reading for reading in readings if reading.doubt is None]
    used = sure or list(readings)
    if not used:
        return None
    offsets = [cents_from_ratio(r.tone.frequency_hz / target.frequency_hz) for r in used]
    weights = [1.0 / max(r.doubt_budget.own_cents, 1e-6) ** 2 for r in used]
    offset_cents = math.fsum(w * o for w, o in zip(weights, offsets, strict=True)) / sum(weights)
    own_cents = math.sqrt(1.0 / math.fsum(weights))
    budget = used[0].doubt_budget
    common_cents = math.hypot(budget.clock_cents, budget.temperature_cents)
    doubt_cents = math.hypot(own_cents, common_cents) if include_common_doubt else own_cents
    frequency_hz = target.frequency_hz * math.exp2(offset_cents / 1200)
    return frequency_hz, offset_cents, doubt_cents, used[0].doubt


def tolerances_cents(targets: Sequence[Target], tolerance: Tolerance) -> list[float]:
    """Return each target's tolerance: wider in the top half-octave and the lowest octave."""
    semitones = [target.note.semitone for target in targets]
    if not semitones:
        return []
    low, high = min(semitones) + 12, max(semitones) - 6
    return [
        tolerance.outer_tolerance_cents if s < low or s > high else tolerance.tolerance_cents
        for s in semitones
    ]


def _partner_difference(
    layout: Layout,
    target: Target,
    targets: Iterable[Target],
    heard: Mapping[tuple[str, Direction], _Heard | None],
) -> float | None:
    """Return press minus draw, or on a bisonoric key this reed against its like elsewhere."""
    offsets = {address: reading[1] for address, reading in heard.items() if reading is not None}
    own = offsets[target.key, target.direction]
    key = layout.key(target.key)
    if key.is_unisonoric:
        press = offsets.get((target.key, Direction.PRESS))
        draw = offsets.get((target.key, Direction.DRAW))
        return press - draw if press is not None and draw is not None else None
    like = [
        offsets[other.key, other.direction]
        for other in targets
        if (other.key, other.direction) != (target.key, target.direction)
        and (other.key, other.direction) in offsets
        and abs(cents_from_ratio(other.frequency_hz / target.frequency_hz)) < _SAME_PITCH_CENTS
    ]
    return own - median(like) if like else None
