"""The tools of the commands, each brought from its edge when it is first asked for."""

import os
from collections.abc import Iterable, Iterator, Sequence
from contextlib import AbstractContextManager, contextmanager, nullcontext
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from reedwright.bellows.model import BellowsDesign, BellowsFigures, FoldsCompared
from reedwright.errors import NotFound
from reedwright.instrument.layout import Layout
from reedwright.instrument.order import SurveyOrder
from reedwright.instrument.parts import PartsList
from reedwright.instrument.target import ReedOffset
from reedwright.jobs.keeping import HandedIn
from reedwright.jobs.papers import JobPapers
from reedwright.jobs.ports import BenchRow, WorkshopFiles, WorkshopStore
from reedwright.jobs.reed_picture import ReedPicture
from reedwright.listening.model import Spread
from reedwright.reedwork.bench_kit import BenchKit
from reedwright.reedwork.model import FilingRules, Metal, Tongue, TongueScale
from reedwright.tuning import PitchStandard, Tolerance

if TYPE_CHECKING:
    from reedwright.audio import Recording
    from reedwright.catalogue.survey_file import SurveyFile
    from reedwright.catalogue.tunings import Tunings
    from reedwright.jobs.least_work import LeastWork

__all__ = ["Workbench"]

#: Below this many bytes of recording, starting processes costs more than it saves.
_WORTH_SPREADING_BYTES = 4_000_000
_PIECE_BYTES = 1 << 20
_DEMO_SEED = 48
_MEDIA_TYPES = {
    ".wav": "audio/wav",
    ".flac": "audio/flac",
    ".ogg": "audio/ogg",
    ".mp3": "audio/mpeg",
    ".m4a": "audio/mp4",
}


@dataclass(frozen=True)
class _Invented:
    samples: Iterable[NDArray[np.float32]]
    faults: Sequence[tuple[str, str]]


class Workbench:
    """Every tool a command may ask for (``cli.tools.Tools``)."""

    def now(self) -> str:
        """Return the time, ISO 8601 with the offset from UTC."""
        return datetime.now().astimezone().isoformat(timespec="seconds")

    # ---- sound ----

    def recording(self, path: Path, channel: str) -> AbstractContextManager["Recording"]:
        """Open a recording for reading."""
        from reedwright.audio import Channel, open_recording

        return open_recording(path, channel=Channel(channel))

    def handed_in(self, path: Path) -> HandedIn:
        """Return a recording's bytes, to be kept."""
        media_type = _MEDIA_TYPES.get(path.suffix.lower(), "application/octet-stream")
        return HandedIn(_pieces(path), path.name, media_type)

    def write_recording(
        self, path: Path, samples: Iterable[NDArray[np.float32]], *, sample_rate_hz: int
    ) -> None:
        """Write samples as a WAV or FLAC file."""
        from reedwright.audio import write_samples

        write_samples(path, samples, sample_rate_hz=sample_rate_hz)

    def spread(self, recording: Path) -> AbstractContextManager[Spread]:
        """Start processes to spread the listening over, if the recording is worth it."""
        from reedwright.compute import Here, Processes

        count = os.cpu_count() or 1
        is_short = not recording.is_file() or recording.stat().st_size < _WORTH_SPREADING_BYTES
        if count == 1 or is_short:
            return nullcontext(Here())
        return Processes(count, prepare=_prepare_listening)

    # ---- the catalogue ----

    def layout(
        self, name: str, *, home_keys: str | None = None, row_order: Sequence[int] | None = None
    ) -> Layout:
        """Return a layout by its slug or its file, with other home keys or rows if asked."""
        from reedwright.catalogue import load_layout

        return load_layout(name, home_keys=home_keys, row_order=row_order)

    def layout_names(self) -> tuple[str, ...]:
        """Return the slugs of the shipped layouts."""
        from reedwright.catalogue import layout_names

        return layout_names()

    def write_layout(self, layout: Layout, path: Path) -> None:
        """Write a layout as a file that can be edited."""
        from reedwright.catalogue import write_layout

        write_layout(layout, path)

    def order(self, name: str, layout: Layout) -> SurveyOrder:
        """Return a survey order by its name or its file."""
        from reedwright.catalogue import load_order
        from reedwright.instrument.orders import SURVEY_ORDERS, survey_order

        if name in SURVEY_ORDERS:
            return survey_order(layout, name)
        if not Path(name).exists():
            raise NotFound(
                f"an order is one of {', '.join(SURVEY_ORDERS)} or a file, {name!r} is neither; "
                "check the name"
            )
        return load_order(name, layout)

    def survey_file(self, path: Path) -> "SurveyFile":
        """Return the readings of a survey that was printed as JSON."""
        from reedwright.catalogue.survey_file import read_survey_file

        return read_survey_file(path)

    def tunings(self, own: Path | None) -> "Tunings":
        """Return the pitch standards and temperaments, the user's own before the shipped."""
        from reedwright.catalogue.tunings import read_tunings

        return read_tunings(own)

    def tongue(self, profile: Path) -> Tongue:
        """Return the tongue a profile file describes."""
        from reedwright.catalogue.tongues import read_tongue_profile

        return read_tongue_profile(profile)

    def metal(self, name: str) -> Metal:
        """Return a tongue metal."""
        from reedwright.catalogue.tongues import load_metal

        return load_metal(name)

    def tongue_scale(self) -> TongueScale:
        """Return the default sizes of tongues by pitch."""
        from reedwright.catalogue.tongues import load_tongue_scale

        return load_tongue_scale()

    def filing_rules(self) -> FilingRules:
        """Return how far a file may go."""
        from reedwright.catalogue.tongues import load_filing_rules

        return load_filing_rules()

    def bench_kit(self, tools: Path | None, rules: Path | None) -> BenchKit:
        """Return files, scrapers and habits of the bench, the user's own or the shipped."""
        from reedwright.catalogue.tools import load_bench_kit

        return load_bench_kit(tools, rules)

    def write_reed(self, picture: ReedPicture, path: Path) -> Path:
        """Draw one reed as SVG or PDF."""
        from reedwright.wiring.filing import write_reed

        return write_reed(picture, path)

    def parts(self, layout: Layout, *, frame_metal: str, folds: int) -> PartsList:
        """Return the parts of an instrument, counted and weighed."""
        from reedwright.catalogue import load_part_figures
        from reedwright.instrument.part_mass import FrameMetal
        from reedwright.instrument.parts import PartsChoices, parts_list

        choices = PartsChoices(frame_metal=FrameMetal(frame_metal), folds=folds)
        return parts_list(layout, load_part_figures(), choices)

    # ---- the workshop file ----

    def workshop_location(self, location: Path | None) -> str:
        """Return where the workshop file lies, the default place if None."""
        if location is not None:
            return str(location)
        if named := os.environ.get("REEDWRIGHT_WORKSHOP"):
            return named
        from platformdirs import user_data_path

        return str(user_data_path("reedwright", appauthor=False) / "workshop.reedwright")

    @contextmanager
    def workshop(self, location: Path | None, *, create: bool = False) -> Iterator[WorkshopStore]:
        """Open the workshop file, made in its default place if it is new."""
        where = self.workshop_location(location)
        if create and location is None and "://" not in where:
            Path(where).parent.mkdir(parents=True, exist_ok=True)
        store = self.workshop_files().open_workshop(where, create=create)
        try:
            yield store
        finally:
            store.close()

    def workshop_files(self) -> WorkshopFiles:
        """Return what checks, backs up and restores workshop files."""
        from reedwright import store

        return store

    # ---- paper ----

    def write_papers(self, papers: JobPapers, folder: Path) -> tuple[Path, ...]:
        """Write the papers of a job and return where they are."""
        from reedwright.wiring.papers import write_papers

        return write_papers(papers, folder)

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
        """Draw both ends or the pans as SVG."""
        from reedwright.wiring.papers import write_map

        return write_map(
            layout,
            offsets,
            path,
            tolerance=tolerance,
            is_pan=is_pan,
            is_from_inside=is_from_inside,
        )

    def write_least_work(
        self,
        work: "LeastWork",
        path: Path,
        *,
        standards: Sequence[PitchStandard],
        found_a4_hz: float,
    ) -> None:
        """Draw what the targets ask, as SVG."""
        from reedwright.wiring.least_work import write_least_work

        write_least_work(work, path, standards=standards, found_a4_hz=found_a4_hz)

    def typed_rows(self, table: Path, layout: Layout) -> tuple[BenchRow, ...]:
        """Return the rows of a typed bench table."""
        from reedwright.wiring.papers import typed_rows

        return typed_rows(table, layout)

    # ---- bellows ----

    def bellows_figures(self, own: Path | None) -> BellowsFigures:
        """Return materials and allowances of bellows, the user's own if named."""
        from reedwright.catalogue.bellows import load_bellows_figures

        return load_bellows_figures(own)

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
        from reedwright.wiring.bellows import write_bellows_templates

        return write_bellows_templates(
            design, figures, path, page=page, packed_mm=packed_mm, gap_mm=gap_mm
        )

    def write_bellows_picture(
        self, design: BellowsDesign, path: Path, *, opening_deg: float
    ) -> Path:
        """Draw a bellows in space as SVG or PDF, by the ending of ``path``."""
        from reedwright.wiring.bellows import write_bellows_picture

        return write_bellows_picture(design, path, opening_deg=opening_deg)

    def write_fold_plot(self, rows: Sequence[FoldsCompared], path: Path, *, playing: str) -> Path:
        """Draw folds compared as SVG or PDF, by the ending of ``path``."""
        from reedwright.wiring.bellows import write_fold_plot

        return write_fold_plot(rows, path, playing=playing)

    # ---- the demonstration ----

    def invent(self, layout: Layout, order: SurveyOrder, *, sample_rate_hz: int) -> _Invented:
        """Return the demonstration's instrument, recorded."""
        from reedwright.demo import invent_instrument, record_instrument

        instrument = invent_instrument(layout, seed=_DEMO_SEED)
        faults = [
            (f"{reed.note.printed} {reed.reed.direction.value} ({reed.reed.key})", reed.fault)
            for reed in instrument.reeds
            if reed.fault is not None
        ]
        return _Invented(
            record_instrument(instrument, order, sample_rate_hz=sample_rate_hz, seed=_DEMO_SEED),
            faults,
        )


def _pieces(path: Path) -> Iterator[bytes]:
    with path.open("rb") as file:
        while piece := file.read(_PIECE_BYTES):
            yield piece


def _prepare_listening() -> None:
    """Import in a new process what every note will need."""
    import reedwright.listening.tone  # noqa: F401
