"""How long the papers take, and how large they are.

``python -m benchmarks.paper`` prints a table as markdown: the first paper of a
process (fonts read, compiler warmed) and the median of nine more, wall-clock
milliseconds, with pages and kilobytes, for an instrument of 48 keys and one of 82.
"""

import time
from collections.abc import Callable
from statistics import median

from tests.printed import invented

from reedwright.catalogue import load_layout
from reedwright.documents.bench_sheet import bench_sheet_pdf
from reedwright.documents.bench_table import read_bench_table, write_bench_table
from reedwright.documents.map_sheet import map_sheet_pdf
from reedwright.documents.model import PanMaps
from reedwright.documents.pan_map import pan_map_pdf
from reedwright.documents.report import as_found_report_pdf, report_drawings
from reedwright.documents.svg import svg_of
from reedwright.instrument.layout import Layout

__all__ = ["main"]

_REPEATS = 9


def papers_of(layout: Layout) -> dict[str, Callable[[], bytes]]:
    """Return how each paper of a layout is made."""
    sheet, maps, report = (
        invented.bench_sheet(layout),
        invented.end_maps(layout),
        invented.report(layout),
    )
    pans = PanMaps(maps.head, layout, maps.offsets, maps.tolerance)
    drawings = report_drawings(report)
    table = write_bench_table(sheet)

    def table_round_trip() -> bytes:
        read_bench_table(write_bench_table(sheet), layout)
        return table.encode()

    def pictures() -> bytes:
        return "".join(svg_of(drawing) for drawing in drawings.values()).encode()

    return {
        "bench sheet": lambda: bench_sheet_pdf(sheet),
        "map of the ends": lambda: map_sheet_pdf(maps),
        "map of the reed pans": lambda: pan_map_pdf(pans),
        "as-found report": lambda: as_found_report_pdf(report),
        "typed table, written and read": table_round_trip,
        "the report's three SVG files": pictures,
    }


def timed(make: Callable[[], bytes]) -> tuple[float, bytes]:
    """Return how long one paper takes, in milliseconds, and the paper."""
    start = time.perf_counter()
    paper = make()
    return 1e3 * (time.perf_counter() - start), paper


def main() -> None:
    """Print the table."""
    print("| keys | paper | first, ms | next, ms | kB |")
    print("|---|---|---|---|---|")
    for layout in (load_layout("english-treble-48"), invented.large_duet()):
        for name, make in papers_of(layout).items():
            first, paper = timed(make)
            further = median(timed(make)[0] for _ in range(_REPEATS))
            kilobytes = len(paper) / 1000.0
            print(
                f"| {len(layout.keys)} | {name} | {first:.0f} | {further:.1f} | {kilobytes:.0f} |"
            )


if __name__ == "__main__":
    main()
