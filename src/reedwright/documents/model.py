"""What each paper is made from: one frozen value per paper, given whole by the caller.

Nothing here is looked up or timed: names and dates are texts the caller passes in.
"""

from dataclasses import dataclass
from enum import StrEnum

from reedwright.instrument.finding import Finding
from reedwright.instrument.layout import Layout, Reed
from reedwright.instrument.reading import Survey
from reedwright.instrument.target import ReedOffset
from reedwright.reedwork.model import FilingPlan
from reedwright.tuning.model import OverallPitch, Tolerance

__all__ = [
    "AsFoundReport",
    "BenchSheet",
    "EndMaps",
    "KeyOrder",
    "PageSize",
    "PanMaps",
    "PaperHead",
    "reed_of",
]


class PageSize(StrEnum):
    """The sheet in the printer."""

    A4 = "a4"
    LETTER = "letter"

    @property
    def width_mm(self) -> float:
        """Width of the upright sheet (ISO 216; ANSI Y14.1: 8.5 in)."""
        return 210.0 if self is PageSize.A4 else 215.9

    @property
    def height_mm(self) -> float:
        """Height of the upright sheet (ISO 216; ANSI Y14.1: 11 in)."""
        return 297.0 if self is PageSize.A4 else 279.4


@dataclass(frozen=True, slots=True)
class PaperHead:
    """What every sheet of a job says of itself.

    ``temperature_c`` is None where nobody measured it. ``condition`` says how the
    reeds were heard ("in the instrument, ends on"). ``notice`` is printed on every
    sheet, such as that the instrument is invented; None for a real one.
    """

    job: str
    instrument: str
    date: str
    pitch_standard: str
    temperament: str
    temperature_c: float | None
    condition: str | None
    notice: str | None = None


@dataclass(frozen=True, slots=True)
class KeyOrder:
    """The order of the lines: every key once; ``order`` says which order it is, in words.

    ``is_by_row`` says that the keys of a row of buttons stand together, so that a
    line can part the rows.
    """

    order: str
    keys: tuple[str, ...]
    is_by_row: bool


@dataclass(frozen=True, slots=True)
class BenchSheet:
    """Everything the bench sheet says.

    Found and target are printed in cents from equal temperament at ``scale_a4_hz``,
    which is what a tuning bench shows; the doubt is one standard deviation.
    ``tolerance`` is the one the offsets were judged by.
    """

    head: PaperHead
    layout: Layout
    offsets: tuple[ReedOffset, ...]
    plans: tuple[FilingPlan, ...]
    order: KeyOrder
    tolerance: Tolerance
    scale_a4_hz: float
    page: PageSize = PageSize.A4


@dataclass(frozen=True, slots=True)
class EndMaps:
    """Both ends with the cents written in; ``is_from_inside`` mirrors the view."""

    head: PaperHead
    layout: Layout
    offsets: tuple[ReedOffset, ...]
    tolerance: Tolerance
    is_from_inside: bool = False
    page: PageSize = PageSize.A4


@dataclass(frozen=True, slots=True)
class PanMaps:
    """Both faces of both reed pans with the cents written in."""

    head: PaperHead
    layout: Layout
    offsets: tuple[ReedOffset, ...]
    tolerance: Tolerance
    page: PageSize = PageSize.A4


@dataclass(frozen=True, slots=True)
class AsFoundReport:
    """The state of the instrument as it came, for its owner and for the file.

    ``sentences`` are the findings in plain language, the most important first;
    ``findings`` are those of single parts. ``overall`` is the pitch of the instrument
    as a whole, None where too few reeds were heard to say; ``target_a4_hz`` is the
    A4 of the standard it is held against.
    """

    head: PaperHead
    owner: str | None
    layout: Layout
    survey: Survey
    offsets: tuple[ReedOffset, ...]
    sentences: tuple[str, ...]
    findings: tuple[Finding, ...]
    overall: OverallPitch | None
    target_a4_hz: float
    tolerance: Tolerance
    page: PageSize = PageSize.A4


def reed_of(offset: ReedOffset) -> Reed:
    """Return the reed an offset speaks of."""
    return Reed(offset.target.key, offset.target.direction)
