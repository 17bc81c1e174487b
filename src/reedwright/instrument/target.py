"""What each reed should do, and how far it is from it."""

from dataclasses import dataclass

from reedwright.instrument.layout import Direction, Side
from reedwright.instrument.note import SpelledNote

__all__ = ["ReedOffset", "Target"]


@dataclass(frozen=True, slots=True)
class Target:
    """The frequency one reed should have, by pitch standard and temperament."""

    key: str
    side: Side
    direction: Direction
    note: SpelledNote
    frequency_hz: float


@dataclass(frozen=True, slots=True)
class ReedOffset:
    """One reed against its target: ``offset_cents`` > 0 is sharp.

    ``frequency_hz`` and the numbers that follow from it are None for a reed that
    was not heard. ``doubt_cents`` is the one-sigma doubt of the offset.
    ``partner_difference_cents`` is press minus draw of a unisonoric key, or this
    reed against the median of the other reeds of its pitch on a bisonoric one;
    None where there is nothing to compare with.
    """

    target: Target
    frequency_hz: float | None
    offset_cents: float | None
    doubt_cents: float | None
    partner_difference_cents: float | None
    is_within_tolerance: bool | None
    doubt: str | None
