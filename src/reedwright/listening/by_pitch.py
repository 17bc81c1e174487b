"""Which reed spoke when nobody says in what order: by pitch alone.

The pitch of the whole instrument cannot be told from that of one a semitone
higher played a semitone lower, so it is taken to lie near a stated A4: what is
likelier is weighed against what would be 100 cents away, and near 50 cents from
the stated A4 both readings stay open. Reeds of one pitch cannot be told apart.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from reedwright.listening.alignment import (
    Alignment,
    Expected,
    HeardNote,
    Manner,
    pitch_densities,
)

__all__ = ["matched_by_pitch"]

#: How far from the stated A4 an instrument usually is: common practice, no source.
_STATED_CENTS = 25.0
_SPREAD_CENTS = 15.0
_OTHER_DENSITY = 0.05 / 6000.0
_RIVAL_WEIGHT = 0.01


def matched_by_pitch(
    heard: Sequence[HeardNote], expected: Expected, *, stated_cents: float
) -> Alignment:
    """Return the notes matched to reeds of their pitch, in whatever order they came.

    ``stated_cents`` is the pitch of the whole instrument re A4 = 440 Hz, as stated.
    Of reeds that sound alike, the one that has spoken least is taken, press first;
    the probabilities say that it may have been any of them.
    """
    offset_cents = _offset_within_semitone(heard, stated_cents)
    shifts_cents = [stated_cents + offset_cents + 100.0 * step for step in (-1, 0, 1)]
    densities = [
        pitch_densities(heard, expected, Manner(shift, 0.0, spread_cents=_SPREAD_CENTS))
        for shift in shifts_cents
    ]
    chances = [_chances(density) for density in densities]
    scores = np.array(
        [
            -0.5 * ((shift - stated_cents) / _STATED_CENTS) ** 2
            + float(np.sum(np.log(np.sum(np.exp(density), axis=1) + _OTHER_DENSITY)))
            for shift, density in zip(shifts_cents, densities, strict=True)
        ]
    )
    weights = np.exp(scores - np.max(scores))
    weights /= np.sum(weights)
    best = int(np.argmax(weights))
    mixed = sum(weight * chance for weight, chance in zip(weights, chances, strict=True))
    rivals = [
        shift
        for place, shift in enumerate(shifts_cents)
        if place != best and weights[place] >= _RIVAL_WEIGHT
    ]
    return Alignment(
        manner=Manner(shifts_cents[best], 0.0, spread_cents=_SPREAD_CENTS),
        places=_in_turn(chances[best]),
        probabilities=np.asarray(mixed),
        log_evidence=float(np.max(scores)),
        rival_shift_cents=rivals[0] if rivals else None,
    )


def _offset_within_semitone(heard: Sequence[HeardNote], stated_cents: float) -> float:
    """Return how far, within half a semitone, the notes lie from the stated pitch on the whole.

    The circular mean of the offsets from the nearest semitone, so that notes on
    either side of the half do not cancel.
    """
    phases = [
        (note.offset_cents - stated_cents) / 100.0 for note in heard if note.likeness > 0.0
    ] or [0.0]
    mean = np.angle(np.mean(np.exp(2j * np.pi * np.array(phases))))
    return float(100.0 * mean / (2.0 * np.pi))


def _chances(density: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the probabilities of every reed and, last, of none, for each note."""
    shares = np.concatenate([np.exp(density), np.full((len(density), 1), _OTHER_DENSITY)], axis=1)
    chances: NDArray[np.float64] = shares / np.sum(shares, axis=1, keepdims=True)
    return chances


def _in_turn(chances: NDArray[np.float64]) -> tuple[int | None, ...]:
    """Return a reed for every note: of the likeliest, the one that has spoken least."""
    spoken = np.zeros(chances.shape[1] - 1, dtype=int)
    places: list[int | None] = []
    for row in chances:
        if row[-1] >= np.max(row[:-1]):
            places.append(None)
            continue
        alike = np.flatnonzero(row[:-1] > 0.9 * np.max(row[:-1]))
        place = int(alike[np.argmin(spoken[alike])])
        spoken[place] += 1
        places.append(place)
    return tuple(places)
