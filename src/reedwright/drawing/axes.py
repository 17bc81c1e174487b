"""The geometry of a graph: where a value lies, and which values get a tick."""

import math
from dataclasses import dataclass

from reedwright.errors import InputError

__all__ = ["Axis", "even_ticks", "widened"]


@dataclass(frozen=True, slots=True)
class Axis:
    """Values from ``low`` to ``high`` laid evenly from ``from_mm`` to ``to_mm``.

    ``from_mm`` may be the greater, as on an axis that rises up the page.
    """

    low: float
    high: float
    from_mm: float
    to_mm: float

    def __post_init__(self) -> None:
        if not (math.isfinite(self.low) and math.isfinite(self.high) and self.low < self.high):
            raise InputError(
                f"an axis runs from a lower to a higher value, got {self.low} and {self.high}; "
                "widen the range first"
            )

    def place_mm(self, value: float) -> float:
        """Return where a value lies; values beyond the ends lie beyond the ends."""
        share = (value - self.low) / (self.high - self.low)
        return self.from_mm + share * (self.to_mm - self.from_mm)


def even_ticks(low: float, high: float, most: int) -> tuple[float, ...]:
    """Return the round values from low to high, at most ``most`` >= 2 of them.

    The step is 1, 2 or 5 times a power of ten, the smallest that is not too many.

    Raises
    ------
    InputError
        If low is not below high, or fewer than two ticks are asked for.
    """
    if not (low < high and most >= 2):
        raise InputError(
            f"ticks need low < high and at least 2 of them, got {low}, {high} and {most}"
        )
    decade = math.floor(math.log10((high - low) / most))
    steps = (
        leading * 10.0**power for power in range(decade, decade + 3) for leading in (1.0, 2.0, 5.0)
    )
    for step in steps:
        # A hair of tolerance: 0.3 / 0.1 is a little less than 3 in binary numbers.
        first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
        if last - first + 1 <= most:
            # Rounded to the step's place, so that 3 * 0.1 prints and compares as 0.3.
            places = max(0, -math.floor(math.log10(step) + 1e-9))
            return tuple(round(count * step, places) for count in range(first, last + 1))
    raise AssertionError("a step of a hundred times the mean spacing is always few enough")


def widened(low: float, high: float, *, least: float, margin: float) -> tuple[float, float]:
    """Return the range widened by a share on both sides, and to at least ``least``."""
    missing = max(0.0, least - (high - low)) / 2.0
    spare = margin * (high - low + 2.0 * missing)
    return low - missing - spare, high + missing + spare
