"""Everything the papers of a job are made from, gathered once."""

from dataclasses import dataclass

from reedwright.jobs.assessing import Assessment
from reedwright.reedwork.model import FilingPlan

__all__ = ["JobPapers"]


@dataclass(frozen=True, slots=True)
class JobPapers:
    """What the papers say and how they are laid out.

    ``date`` is as it is to be printed. ``page`` is "a4" or "letter"; ``order`` is
    "instrument" (the keys as the layout has them) or "pan" (as the chambers lie).
    ``notice`` is printed on every sheet, None on a real job's.
    """

    job: str
    instrument: str
    owner: str | None
    date: str
    assessment: Assessment
    plans: tuple[FilingPlan, ...]
    page: str
    order: str
    is_from_inside: bool
    notice: str | None
