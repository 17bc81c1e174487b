"""What the commands are handed: the edges, as they see them. ``wiring`` fills it."""

from collections.abc import Iterable, Sequence
from contextlib import AbstractContextManager
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

import numpy as np
from numpy.typing import NDArray

from reedwright.bellows.model import BellowsDesign, BellowsFigures, FoldsCompared
from reedwright.instrument.layout import Layout
from reedwright.instrument.order import SurveyOrder
from reedwright.instrument.parts import PartsList
from reedwright.instrument.target import ReedOffset
from reedwright.jobs.keeping import HandedIn
from reedwright.jobs.papers import JobPapers
from reedwright.jobs.ports import BenchRow, WorkshopFiles, WorkshopStore
from reedwright.jobs.reed_picture import ReedPicture
from reedwright.listening.model import Sound, Spread
from reedwright.reedwork.bench_kit import BenchKit
from reedwright.reedwork.model import FilingRules, Metal, Tongue, TongueScale
from reedwright.tuning import HeardReed, PitchStandard, Temperament, Tolerance

if TYPE_CHECKING:
    # The beam model behind it takes long to bring: only the command that needs it does.
    from reedwright.jobs.least_work import LeastWork

__all__ = ["HeardSurvey", "InventedRecording", "OpenedRecording", "Tools", "TuningsList"]


class OpenedRecording(Sound, Protocol):
    """A recording open for reading."""

    @property
    def duration_s(self) -> float:
        """Length in seconds by the recorder's clock."""
        ...

    @property
    def cautions(self) -> tuple[str, ...]:
        """What must be known of the file."""
        ...


class TuningsList(Protocol):
    """Pitch standards and temperaments by name."""

    @property
    def pitch_standards(self) -> tuple[PitchStandard, ...]:
        """All pitch standards."""
        ...

    @property
    def temperaments(self) -> tuple[Temperament, ...]:
        """All temperaments."""
        ...

    def pitch_standard(self, name: str) -> PitchStandard:
        """Return one; NotFound if there is none of that name."""
        ...

    def temperament(self, name: str) -> Temperament:
        """Return one; NotFound if there is none of that name."""
        ...


class InventedRecording(Protocol):
    """The demonstration's recording and what was invented for it."""

    @property
    def samples(self) -> Iterable[NDArray[np.float32]]:
        """The sound, in pieces."""
        ...

    @property
    def faults(self) -> Sequence[tuple[str, str]]:
        """Which reed was given which fault."""
        ...


class HeardSurvey(Protocol):
    """The readings of a survey file, and the layout it names, if any."""

    @property
    def layout(self) -> str | None:
        """The slug of the layout, None if the file does not say."""
        ...

    @property
    def readings(self) -> tuple[HeardReed, ...]:
        """What was heard."""
        ...


class Tools(Protocol):
    """Everything a command may need of the world."""

    def now(self) -> str:
        """Return the time, ISO 8601 with the offset from UTC."""
        ...

    def recording(self, path: Path, channel: str) -> AbstractContextManager[OpenedRecording]:
        """Open a recording for reading."""
        ...

    def handed_in(self, path: Path) -> HandedIn:
        """Return a recording's bytes, to be kept."""
        ...

    def write_recording(
        self, path: Path, samples: Iterable[NDArray[np.float32]], *, sample_rate_hz: int
    ) -> None:
        """Write samples as a WAV or FLAC file."""
        ...

    def spread(self, recording: Path) -> AbstractContextManager[Spread]:
        """Start processes to spread the listening over, if the recording is worth it."""
        ...

    def layout(
        self, name: str, *, home_keys: str | None = None, row_order: Sequence[int] | None = None
    ) -> Layout:
        """Return a layout by its slug or its file, with other home keys or rows if asked."""
        ...

    def layout_names(self) -> tuple[str, ...]:
        """Return the slugs of the shipped layouts."""
        ...

    def write_layout(self, layout: Layout, path: Path) -> None:
        """Write a layout as a file that can be edited."""
        ...

    def order(self, name: str, layout: Layout) -> SurveyOrder:
        """Return a survey order by its name or its file."""
        ...

    def survey_file(self, path: Path) -> HeardSurvey:
        """Return the readings of a survey that was printed as JSON."""
        ...

    def tunings(self, own: Path | None) -> TuningsList:
        """Return the pitch standards and temperaments, the user's own before the shipped."""
        ...

    def tongue(self, profile: Path) -> Tongue:
        """Return the tongue a profile file describes."""
        ...

    def metal(self, name: str) -> Metal:
        """Return a tongue metal."""
        ...

    def tongue_scale(self) -> TongueScale:
        """Return the default sizes of tongues by pitch."""
        ...

    def filing_rules(self) -> FilingRules:
        """Return how far a file may go."""
        ...

    def bench_kit(self, tools: Path | None, rules: Path | None) -> BenchKit:
        """Return files, scrapers and habits of the bench, the user's own or the shipped."""
        ...

    def write_reed(self, picture: ReedPicture, path: Path) -> Path:
        """Draw one reed as SVG or PDF, by the ending of ``path``."""
        ...

    def parts(self, layout: Layout, *, frame_metal: str, folds: int) -> PartsList:
        """Return the parts of an instrument, counted and weighed."""
        ...

    def workshop(
        self, location: Path | None, *, create: bool = False
    ) -> AbstractContextManager[WorkshopStore]:
        """Open the workshop file."""
        ...

    def workshop_location(self, location: Path | None) -> str:
        """Return where the workshop file lies, the default place if None."""
        ...

    def workshop_files(self) -> WorkshopFiles:
        """Return what checks, backs up and restores workshop files."""
        ...

    def write_papers(self, papers: JobPapers, folder: Path) -> tuple[Path, ...]:
        """Write the papers of a job and return where they are."""
        ...

    def write_map(
        self,
        layout: Layout,
        offsets: Sequence[ReedOffset],
        path: Path,
        *,
        tolerance: Tolerance,
        is_pan: bool,
        is_from_inside: bool,
    ) -> tuple[Path, ...]:
        """Draw both ends or the pans as SVG or PDF, by the ending of ``path``."""
        ...

    def write_least_work(
        self,
        work: "LeastWork",
        path: Path,
        *,
        standards: Sequence[PitchStandard],
        found_a4_hz: float,
    ) -> None:
        """Draw what the targets ask, as SVG."""
        ...

    def typed_rows(self, table: Path, layout: Layout) -> tuple[BenchRow, ...]:
        """Return the rows of a typed bench table."""
        ...

    def bellows_figures(self, own: Path | None) -> BellowsFigures:
        """Return materials and allowances of bellows, the user's own if named."""
        ...

    def write_bellows_templates(
        self,
        design: BellowsDesign,
        figures: BellowsFigures,
        path: Path,
        *,
        page: str,
        packed_mm: tuple[float, float] | None,
        gap_mm: float,
    ) -> Path:
        """Write the templates as PDF, DXF or SVG, by the ending of ``path``."""
        ...

    def write_bellows_picture(
        self, design: BellowsDesign, path: Path, *, opening_deg: float
    ) -> Path:
        """Draw a bellows in space as SVG or PDF, by the ending of ``path``."""
        ...

    def write_fold_plot(self, rows: Sequence[FoldsCompared], path: Path, *, playing: str) -> Path:
        """Draw folds compared as SVG or PDF, by the ending of ``path``."""
        ...

    def invent(
        self, layout: Layout, order: SurveyOrder, *, sample_rate_hz: int
    ) -> InventedRecording:
        """Return the demonstration's instrument, recorded."""
        ...
