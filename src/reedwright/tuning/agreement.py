"""How much one reed adds where the reeds of one note repeat one another.

A tuner brings the two reeds of a key to each other, and time moves them alike: then the
second says less of the temperament than the first.
"""

from collections import Counter
from collections.abc import Callable, Hashable, Sequence

import numpy as np
from numpy.typing import NDArray

from reedwright.instrument.note import SpelledNote

__all__ = ["information_per_reed"]

Values = NDArray[np.float64]

#: An agreement below so many of its standard errors is chance.
_SURE_FROM = 2.0


def information_per_reed(
    notes: Sequence[SpelledNote], residuals: Values, *, is_sound: NDArray[np.bool_]
) -> float:
    """Return what one reed counts for, in (0, 1].

    The correlation c of reeds of one note is their mean product less that of reeds of
    the same note class in other octaves (which a temperament would explain), over the
    variance. A mean over groups of m reeds then has 1 + (m - 1) c times the variance
    that independent reeds would give it (the design effect of [Kish1965]_); the
    information is the inverse. 1 where the agreement may be chance.

    Parameters
    ----------
    notes : sequence of n SpelledNote
    residuals : (n,) float
        From a line along the chain of fifths, cents.
    is_sound : (n,) bool
        Reeds to count.
    """
    sound = [
        (note, float(residual))
        for note, residual, counts in zip(notes, residuals, is_sound, strict=True)
        if counts
    ]
    variance = sum(residual**2 for _, residual in sound) / max(len(sound), 1)
    same_sum, same = _products(sound, lambda note: note.name)
    class_sum, class_pairs = _products(sound, lambda note: note.pitch_class_name)
    other_sum, other = class_sum - same_sum, class_pairs - same
    if same == 0 or variance <= 0.0:
        return 1.0
    correlation = same_sum / same - (other_sum / other if other else 0.0)
    correlation /= variance
    chance = (1.0 / same + (1.0 / other if other else 0.0)) ** 0.5
    if correlation < _SURE_FROM * chance:
        return 1.0
    groups = Counter(note.name for note, _ in sound)
    size = sum(count**2 for count in groups.values()) / len(sound)
    return 1.0 / (1.0 + (size - 1.0) * min(correlation, 1.0))


def _products(
    reeds: Sequence[tuple[SpelledNote, float]], group: Callable[[SpelledNote], Hashable]
) -> tuple[float, int]:
    """Return the sum of the products of all pairs within groups, and how many pairs."""
    by_group: dict[Hashable, list[float]] = {}
    for note, residual in reeds:
        by_group.setdefault(group(note), []).append(residual)
    total, pairs = 0.0, 0
    for residuals in by_group.values():
        total += 0.5 * (sum(residuals) ** 2 - sum(r**2 for r in residuals))
        pairs += len(residuals) * (len(residuals) - 1) // 2
    return total, pairs
