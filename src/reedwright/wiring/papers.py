"""The papers of a job: its values into those of the documents, and these onto the disk."""

from collections.abc import Sequence
from pathlib import Path

from reedwright.documents.bench_sheet import bench_sheet_pdf
from reedwright.documents.bench_table import read_bench_table, write_bench_table
from reedwright.documents.end_map import both_ends_map
from reedwright.documents.map_sheet import map_sheet_pdf
from reedwright.documents.model import (
    AsFoundReport,
    BenchSheet,
    EndMaps,
    PageSize,
    PanMaps,
    PaperHead,
)
from reedwright.documents.orders import order_of_buttons, order_of_pan
from reedwright.documents.pan_map import pan_drawings, pan_map_pdf
from reedwright.documents.report import as_found_report_pdf, report_drawings
from reedwright.documents.svg import svg_of
from reedwright.errors import InputError
from reedwright.instrument.layout import Layout
from reedwright.instrument.reading import Conditions
from reedwright.instrument.target import ReedOffset
from reedwright.jobs.papers import JobPapers
from reedwright.jobs.ports import BenchRow
from reedwright.tuning import Tolerance

__all__ = ["typed_rows", "write_map", "write_papers"]

#: Cents on the bench sheet are from equal temperament at this pitch, as a tuning bench shows.
_SCALE_A4_HZ = 440.0
#: An A4 sheet lying on its side, less its margins.
_MAP_WIDTH_MM, _MAP_HEIGHT_MM = 270.0, 180.0


def write_papers(papers: JobPapers, folder: Path) -> tuple[Path, ...]:
    """Write bench sheet, its table, the map, the report and the graphs of a job."""
    folder.mkdir(parents=True, exist_ok=True)
    work = papers.assessment
    head = _head(papers)
    page = PageSize(papers.page)
    in_order = order_of_pan if papers.order == "pan" else order_of_buttons
    sheet = BenchSheet(
        head=head,
        layout=work.layout,
        offsets=work.offsets,
        plans=papers.plans,
        order=in_order(work.layout),
        tolerance=work.tolerance,
        scale_a4_hz=_SCALE_A4_HZ,
        page=page,
    )
    maps = EndMaps(
        head=head,
        layout=work.layout,
        offsets=work.offsets,
        tolerance=work.tolerance,
        is_from_inside=papers.is_from_inside,
        page=page,
    )
    pans = PanMaps(
        head=head, layout=work.layout, offsets=work.offsets, tolerance=work.tolerance, page=page
    )
    report = AsFoundReport(
        head=head,
        owner=papers.owner,
        layout=work.layout,
        survey=work.survey,
        offsets=work.offsets,
        sentences=tuple(finding.statement for finding in work.findings),
        findings=(),
        overall=work.overall,
        target_a4_hz=work.scheme.a4_hz,
        tolerance=work.tolerance,
        page=page,
    )
    written = [
        _kept(folder / "bench-sheet.pdf", bench_sheet_pdf(sheet)),
        _kept(folder / "bench-table.csv", write_bench_table(sheet).encode()),
        _kept(folder / "map.pdf", map_sheet_pdf(maps)),
        _kept(folder / "pan-map.pdf", pan_map_pdf(pans)),
        _kept(folder / "as-found-report.pdf", as_found_report_pdf(report)),
    ]
    for name, drawing in report_drawings(report).items():
        written.append(_kept(folder / f"{name}.svg", svg_of(drawing).encode()))
    return tuple(written)


def write_map(
    layout: Layout,
    offsets: Sequence[ReedOffset],
    path: Path,
    *,
    tolerance: Tolerance,
    is_pan: bool,
    is_from_inside: bool,
) -> tuple[Path, ...]:
    """Draw both ends, or each pan from both faces, as SVG; return what was written.

    Raises
    ------
    InputError
        If ``path`` does not end in ``.svg``.
    """
    if path.suffix.lower() != ".svg":
        raise InputError(
            f"a map is written as .svg, got {path.name}; for paper use 'papers', which writes PDF"
        )
    if is_pan:
        head = PaperHead("", layout.title, "", "", "", None, None)
        pans = pan_drawings(PanMaps(head, layout, tuple(offsets), tolerance))
        return tuple(
            _kept(path.with_stem(f"{path.stem}-{side}"), svg_of(drawing).encode())
            for side, drawing in pans.items()
        )
    drawing = both_ends_map(
        layout,
        offsets,
        tolerance=tolerance,
        width_mm=_MAP_WIDTH_MM,
        most_height_mm=_MAP_HEIGHT_MM,
        is_from_inside=is_from_inside,
    )
    return (_kept(path, svg_of(drawing).encode()),)


def typed_rows(table: Path, layout: Layout) -> tuple[BenchRow, ...]:
    """Return the rows of a typed bench table.

    Raises
    ------
    InputError
        If it is not readable text, or not such a table.
    """
    try:
        text = table.read_text("utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(
            f"a bench table must be readable UTF-8 text, {table} is not ({error}); "
            "save it from the spreadsheet as CSV in UTF-8"
        ) from error
    return tuple(
        BenchRow(
            key=row.reed.key,
            direction=row.reed.direction,
            found_cents=row.found_cents,
            target_cents=row.target_cents,
            after_1_cents=row.after_1_cents,
            after_2_cents=row.after_2_cents,
            final_cents=row.final_cents,
            is_ticked=row.is_ticked,
        )
        for row in read_bench_table(text, layout)
    )


def _head(papers: JobPapers) -> PaperHead:
    scheme = papers.assessment.scheme
    conditions = papers.assessment.survey.conditions
    return PaperHead(
        job=papers.job,
        instrument=papers.instrument,
        date=papers.date,
        pitch_standard=f"A4 = {scheme.a4_hz:.2f} Hz".replace(".00", ""),
        temperament=f"{scheme.temperament.title}, {scheme.reference} as reference",
        temperature_c=conditions.temperature_c,
        condition=_condition(conditions),
        notice=papers.notice,
    )


def _condition(conditions: Conditions) -> str:
    if conditions.is_on_bench:
        return "on the tuning bench"
    return "in the instrument, ends on" if conditions.is_end_on else "in the instrument, end off"


def _kept(path: Path, content: bytes) -> Path:
    try:
        path.write_bytes(content)
    except OSError as error:
        raise InputError(
            f"the papers must be written to a folder, {path} cannot be ({error.strerror}); "
            "name another"
        ) from error
    return path
