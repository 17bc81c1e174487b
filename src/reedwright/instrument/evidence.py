"""How sure we are of a figure or a table that no instrument has confirmed yet."""

from enum import StrEnum

__all__ = ["Confidence", "EvidenceMark"]


class EvidenceMark(StrEnum):
    """Where a figure or a table comes from.

    ``published``: read in a public source. ``common practice``: usual in the
    trade, no source found. ``memory``: recalled, no source found. ``derived``:
    worked out from rules or dimensions, the working is given. ``taught``: heard
    from the instrument itself. ``own``: written by the user.
    """

    PUBLISHED = "published"
    COMMON_PRACTICE = "common practice"
    MEMORY = "memory"
    DERIVED = "derived"
    TAUGHT = "taught"
    OWN = "own"


class Confidence(StrEnum):
    """How far to trust it: check one button (high), a few (medium), every one (low)."""

    HIGH = "high"
    MEDIUM = "medium"
    LOW = "low"
