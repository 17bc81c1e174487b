"""What the jobs ask of a store: the records it keeps and the calls it answers.

Conventions: identifiers are whole numbers given by the store and never used
again. Times are ISO 8601 text with their offset from UTC
(``2026-11-25T14:03:00+00:00``), dates ``2026-11-25``; both are passed in, the
store reads no clock. ``version`` counts the changes of a record: a change is
given the record as it was read and refused with Conflict when somebody changed
it since. What is measured or decided (recordings, surveys, targets, plans) is
added to, never overwritten by a later one.
"""

from collections.abc import Callable, Iterable, Iterator
from contextlib import AbstractContextManager
from dataclasses import dataclass
from enum import StrEnum
from typing import Protocol

from reedwright.instrument.layout import Direction, Layout
from reedwright.instrument.reading import Survey
from reedwright.instrument.target import Target
from reedwright.reedwork.bench_offset import PairedReading
from reedwright.reedwork.model import FilingPlan
from reedwright.reedwork.scrapes import Scrape
from reedwright.tuning.model import Scheme, Tolerance

__all__ = [
    "BenchPass",
    "BenchRow",
    "CheckReport",
    "InstrumentRecord",
    "JobRecord",
    "OffsetRecord",
    "PlanRecord",
    "Problem",
    "RecordingRecord",
    "ScrapeRecord",
    "SurveyRecord",
    "TargetRecord",
    "TypedTableRecord",
    "WorkshopFiles",
    "WorkshopStore",
]


class BenchPass(StrEnum):
    """How far the work was when something was measured: the columns of the bench sheet."""

    FOUND = "found"
    AFTER_1 = "after_1"
    AFTER_2 = "after_2"
    FINAL = "final"


@dataclass(frozen=True, slots=True)
class JobRecord:
    """A job: the work on what one owner brought in.

    ``owner_reference`` is whatever the repairer finds the owner by, and may be
    empty: no address is kept.
    """

    job_id: int
    name: str
    opened_on: str
    owner_reference: str
    notes: str
    version: int


@dataclass(frozen=True, slots=True)
class InstrumentRecord:
    """An instrument of a job.

    ``layout`` is the whole layout as it was used, with the changes made for this
    instrument, not a pointer to a layout file that may change. ``metal`` and
    ``frame_metal`` name a metal of the catalogue; ``a4_hz`` is the pitch the
    instrument is said to be in, None where nobody said.
    """

    instrument_id: int
    job_id: int
    title: str
    layout: Layout
    metal: str
    frame_metal: str
    a4_hz: float | None
    notes: str
    version: int


@dataclass(frozen=True, slots=True)
class RecordingRecord:
    """A recording as it was handed in, byte for byte; its ``sha256`` (hexadecimal) names it."""

    recording_id: int
    sha256: str
    size_bytes: int
    media_type: str
    original_name: str
    added_at: str


@dataclass(frozen=True, slots=True)
class SurveyRecord:
    """A survey with the instrument and the recording it belongs to, and when it was made."""

    survey_id: int
    instrument_id: int
    recording_id: int | None
    made_at: str
    bench_pass: BenchPass
    operator: str
    comment: str
    survey: Survey
    version: int


@dataclass(frozen=True, slots=True)
class TargetRecord:
    """What an instrument is to be tuned to, reed by reed, and the scheme it came from.

    ``pitch_standard`` names the standard ``scheme.a4_hz`` was taken from, None
    where the pitch was given in hertz.
    """

    target_set_id: int
    instrument_id: int
    survey_id: int | None
    made_at: str
    pitch_standard: str | None
    scheme: Scheme
    tolerance: Tolerance
    targets: tuple[Target, ...]


@dataclass(frozen=True, slots=True)
class PlanRecord:
    """The filing plans of all reeds, made from one survey against one set of targets."""

    plan_set_id: int
    survey_id: int
    target_set_id: int
    made_at: str
    plans: tuple[FilingPlan, ...]


@dataclass(frozen=True, slots=True)
class BenchRow:
    """One line of the bench sheet as typed: cents on the sheet's scale, None where empty."""

    key: str
    direction: Direction
    found_cents: float | None
    target_cents: float | None
    after_1_cents: float | None
    after_2_cents: float | None
    final_cents: float | None
    is_ticked: bool


@dataclass(frozen=True, slots=True)
class TypedTableRecord:
    """A bench sheet typed back, in the order of its lines.

    ``target_set_id`` says which targets the sheet was printed with, None where unknown.
    """

    typed_table_id: int
    instrument_id: int
    target_set_id: int | None
    typed_at: str
    comment: str
    rows: tuple[BenchRow, ...]
    version: int


@dataclass(frozen=True, slots=True)
class ScrapeRecord:
    """A scrape as it was logged; one logged in error is withdrawn and teaches nothing.

    ``survey_id`` is the survey whose readings were the latest then, None if there was none.
    """

    scrape_id: int
    instrument_id: int
    survey_id: int | None
    scraped_at: str
    comment: str
    is_withdrawn: bool
    scrape: Scrape
    version: int


@dataclass(frozen=True, slots=True)
class OffsetRecord:
    """Paired readings of an instrument: one survey on the bench, one closed with the end on."""

    offset_set_id: int
    instrument_id: int
    bench_survey_id: int
    instrument_survey_id: int
    made_at: str
    pairs: tuple[PairedReading, ...]


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong with a workshop: what it concerns, what was found, what to do."""

    subject: str
    statement: str
    remedy: str


@dataclass(frozen=True, slots=True)
class CheckReport:
    """The health of a workshop: ``records`` counts the rows of each table that was readable."""

    workshop: str
    schema: int
    records: tuple[tuple[str, int], ...]
    problems: tuple[Problem, ...]


class WorkshopStore(Protocol):
    """An open workshop.

    Each call that adds or changes something is one transaction; ``atomic`` makes
    several calls one. When a call, or the outermost ``atomic``, has returned, what
    it kept survives the end of the program. Every call raises NotFound where an
    identifier is unknown, and FileError where the workshop cannot be read or
    written.
    """

    def atomic(self) -> AbstractContextManager[object]:
        """Keep everything done inside, or, if an error leaves the block, nothing of it."""
        ...

    def close(self) -> None:
        """Let go of the workshop."""
        ...

    def add_job(
        self, *, name: str, opened_on: str, owner_reference: str = "", notes: str = ""
    ) -> JobRecord:
        """Open a job."""
        ...

    def job(self, job_id: int) -> JobRecord:
        """Return one job."""
        ...

    def jobs(self) -> tuple[JobRecord, ...]:
        """Return all jobs, the oldest first."""
        ...

    def update_job(self, job: JobRecord) -> JobRecord:
        """Keep a changed job; Conflict if it was changed since ``job`` was read."""
        ...

    def add_instrument(
        self,
        job_id: int,
        *,
        title: str,
        layout: Layout,
        metal: str,
        frame_metal: str,
        a4_hz: float | None = None,
        notes: str = "",
    ) -> InstrumentRecord:
        """Add an instrument to a job."""
        ...

    def instrument(self, instrument_id: int) -> InstrumentRecord:
        """Return one instrument."""
        ...

    def instruments(self, job_id: int | None = None) -> tuple[InstrumentRecord, ...]:
        """Return the instruments of a job, or all, the oldest first."""
        ...

    def update_instrument(self, instrument: InstrumentRecord) -> InstrumentRecord:
        """Keep a changed instrument; Conflict if it was changed since it was read."""
        ...

    def add_recording(
        self, chunks: Iterable[bytes], *, original_name: str, media_type: str, added_at: str
    ) -> RecordingRecord:
        """Keep a recording, read piece by piece; the same bytes again give the first record."""
        ...

    def recording(self, recording_id: int) -> RecordingRecord:
        """Return what is known of one recording."""
        ...

    def recordings(self) -> tuple[RecordingRecord, ...]:
        """Return all recordings, the oldest first."""
        ...

    def recording_pieces(self, recording_id: int) -> Iterator[bytes]:
        """Yield the bytes piece by piece; FileError after the last if they were damaged."""
        ...

    def save_survey(
        self,
        instrument_id: int,
        survey: Survey,
        *,
        recording_id: int | None,
        made_at: str,
        bench_pass: BenchPass = BenchPass.FOUND,
        operator: str = "",
        comment: str = "",
    ) -> SurveyRecord:
        """Keep a survey of an instrument."""
        ...

    def survey(self, survey_id: int) -> SurveyRecord:
        """Return one survey, equal to what was kept."""
        ...

    def surveys(self, instrument_id: int) -> tuple[SurveyRecord, ...]:
        """Return the surveys of an instrument, the first kept first."""
        ...

    def latest_survey(self, instrument_id: int) -> SurveyRecord | None:
        """Return the survey kept last, None if there is none."""
        ...

    def update_survey(self, survey: SurveyRecord) -> SurveyRecord:
        """Keep a survey whose doubts a person settled; Conflict if it was changed since read."""
        ...

    def save_targets(
        self,
        instrument_id: int,
        targets: Iterable[Target],
        *,
        scheme: Scheme,
        tolerance: Tolerance,
        made_at: str,
        pitch_standard: str | None = None,
        survey_id: int | None = None,
    ) -> TargetRecord:
        """Keep what each reed should do."""
        ...

    def target_set(self, target_set_id: int) -> TargetRecord:
        """Return one set of targets, equal to what was kept."""
        ...

    def target_sets(self, instrument_id: int) -> tuple[TargetRecord, ...]:
        """Return the sets of targets of an instrument, the first kept first."""
        ...

    def latest_targets(self, instrument_id: int) -> TargetRecord | None:
        """Return the targets kept last, None if there are none."""
        ...

    def save_plans(
        self, plans: Iterable[FilingPlan], *, survey_id: int, target_set_id: int, made_at: str
    ) -> PlanRecord:
        """Keep the filing plans made from a survey against targets of the same instrument."""
        ...

    def plan_set(self, plan_set_id: int) -> PlanRecord:
        """Return one set of plans, equal to what was kept."""
        ...

    def plan_sets(self, instrument_id: int) -> tuple[PlanRecord, ...]:
        """Return the sets of plans of an instrument, the first kept first."""
        ...

    def latest_plans(self, instrument_id: int) -> PlanRecord | None:
        """Return the plans kept last, None if there are none."""
        ...

    def save_typed_table(
        self,
        instrument_id: int,
        rows: Iterable[BenchRow],
        *,
        typed_at: str,
        target_set_id: int | None = None,
        comment: str = "",
    ) -> TypedTableRecord:
        """Keep what was typed from a bench sheet."""
        ...

    def typed_table(self, typed_table_id: int) -> TypedTableRecord:
        """Return one typed bench sheet, equal to what was kept."""
        ...

    def typed_tables(self, instrument_id: int) -> tuple[TypedTableRecord, ...]:
        """Return the typed bench sheets of an instrument, the first kept first."""
        ...

    def latest_typed_table(self, instrument_id: int) -> TypedTableRecord | None:
        """Return the bench sheet typed last, None if there is none."""
        ...

    def update_typed_table(self, table: TypedTableRecord) -> TypedTableRecord:
        """Keep a corrected bench sheet; Conflict if it was changed since it was read."""
        ...

    def save_scrape(
        self,
        instrument_id: int,
        scrape: Scrape,
        *,
        survey_id: int | None,
        scraped_at: str,
        comment: str = "",
    ) -> ScrapeRecord:
        """Keep a scrape."""
        ...

    def scrape(self, scrape_id: int) -> ScrapeRecord:
        """Return one scrape, equal to what was kept."""
        ...

    def scrapes(self, instrument_id: int | None = None) -> tuple[ScrapeRecord, ...]:
        """Return the scrapes of an instrument, or all, the first kept first."""
        ...

    def update_scrape(self, scrape: ScrapeRecord) -> ScrapeRecord:
        """Keep a corrected or withdrawn scrape; Conflict if it was changed since it was read."""
        ...

    def save_offset_pairs(
        self,
        pairs: Iterable[PairedReading],
        *,
        bench_survey_id: int,
        instrument_survey_id: int,
        made_at: str,
    ) -> OffsetRecord:
        """Keep the paired readings of two surveys of one instrument."""
        ...

    def offset_set(self, offset_set_id: int) -> OffsetRecord:
        """Return one set of paired readings, equal to what was kept."""
        ...

    def offset_sets(self, instrument_id: int) -> tuple[OffsetRecord, ...]:
        """Return the sets of paired readings of an instrument, the first kept first."""
        ...


class WorkshopFiles(Protocol):
    """Workshops as a whole; a location is the path of a file or the address of a database."""

    def open_workshop(self, location: str, *, create: bool = False) -> WorkshopStore:
        """Open a workshop, brought to this program's schema with a copy kept beside it.

        NotFound if there is none and ``create`` is not asked for; FileError if it
        is damaged, not a workshop, newer than this program, or not to be written.
        """
        ...

    def check_workshop(
        self, location: str, *, progress: Callable[[float], None] = ...
    ) -> CheckReport:
        """Read everything and report what is wrong, changing nothing."""
        ...

    def backup_workshop(
        self, location: str, target: str, *, progress: Callable[[float], None] = ...
    ) -> CheckReport:
        """Write a verified copy to a new file; FileError if ``target`` exists."""
        ...

    def restore_workshop(
        self,
        backup: str,
        target: str,
        *,
        overwrite: bool = False,
        progress: Callable[[float], None] = ...,
    ) -> str | None:
        """Put a verified backup in place; return where the old workshop was set aside, if any."""
        ...
