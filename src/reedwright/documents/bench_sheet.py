"""The bench sheet: a line per key to work from, at the bench and with a pencil."""

import math
from collections.abc import Sequence
from typing import NamedTuple

from reedwright.documents.bench_lines import BenchCell, BenchLine, bench_lines
from reedwright.documents.doubts import doubt_notes, reed_in_words
from reedwright.documents.head import head_values
from reedwright.documents.model import BenchSheet, PageSize
from reedwright.documents.pdf import Json, compile_pages
from reedwright.documents.plan_notes import plan_notes
from reedwright.documents.shades import is_dark
from reedwright.drawing.numbers import print_number
from reedwright.instrument.layout import Action, Side

__all__ = ["LEAST_LINE_MM", "MOST_LINE_MM", "PageRows", "bench_sheet_pdf", "rows_on_pages"]

#: The least height of a line that a thumb and a pencil can use, millimetres.
LEAST_LINE_MM = 8.0
#: Higher lines than this only part what belongs together.
MOST_LINE_MM = 12.0

#: What the page needs besides its lines: edges, head, column titles, foot.
_MARGIN_MM = 9.0
_HEAD_MM = 13.5
_TITLES_MM = 8.5
_FOOT_MM = 6.5


class PageRows(NamedTuple):
    """How the lines of an end lie on its pages: lines per page and their height."""

    counts: tuple[int, ...]
    line_mm: float


def rows_on_pages(lines: int, page: PageSize, *, notes_mm: float = 0.0) -> PageRows:
    """Return how many lines each page takes, evenly, and how high each line is.

    The height lies between 8 and 12 mm; what does not fit at 8 mm goes on to a
    further page. Room for ``notes_mm`` of notes is left under the lines where that
    keeps them on the page.
    """
    room_mm = page.height_mm - 2.0 * _MARGIN_MM - _HEAD_MM - _TITLES_MM - _FOOT_MM
    most = math.floor(room_mm / LEAST_LINE_MM)
    pages = max(1, math.ceil(lines / most))
    fewest, longer = divmod(lines, pages)
    counts = tuple(fewest + (page_number < longer) for page_number in range(pages))
    fullest = max(counts[0], 1)
    beside_notes_mm = (room_mm - notes_mm) / fullest
    line_mm = beside_notes_mm if beside_notes_mm >= LEAST_LINE_MM else room_mm / fullest
    # To the tenth of a millimetre, downwards: the sheet must close.
    return PageRows(counts, math.floor(10.0 * min(MOST_LINE_MM, line_mm) + 1e-9) / 10.0)


def bench_sheet_pdf(sheet: BenchSheet) -> bytes:
    """Return the bench sheet as PDF: the left end, then the right, each on its own pages.

    Raises
    ------
    InputError
        If the order does not name every key of the layout once.
    """
    ends: list[Json] = []
    for side in Side:
        lines = bench_lines(sheet, side)
        if not lines:
            continue
        notes = _notes(sheet, side)
        rows = rows_on_pages(len(lines), sheet.page, notes_mm=_notes_mm(notes))
        pages: list[Json] = []
        done = 0
        for count in rows.counts:
            pages.append([_line_values(line) for line in lines[done : done + count]])
            done += count
        ends.append(
            {
                "title": f"{side.value.capitalize()} end",
                "line_mm": rows.line_mm,
                "pages": pages,
                "notes": [{"where": where, "text": text} for where, text in notes],
            }
        )
    tolerance = sheet.tolerance
    data: dict[str, Json] = {
        "head": head_values(sheet.head, "Bench sheet"),
        "page": _page_values(sheet.page),
        "order": sheet.order.order,
        "tolerance": _tolerance_words(tolerance.tolerance_cents, tolerance.outer_tolerance_cents),
        "scale": f"A4 = {print_number(sheet.scale_a4_hz, decimals=1)} Hz",
        "is_single_action": sheet.layout.action is Action.SINGLE,
        "has_two_notes": sheet.layout.is_blank
        or any(not key.is_unisonoric for key in sheet.layout.keys),
        "ends": ends,
    }
    return compile_pages("bench_sheet", data, {})


def _page_values(page: PageSize) -> dict[str, Json]:
    return {
        "width_mm": page.width_mm,
        "height_mm": page.height_mm,
        "margin_mm": _MARGIN_MM,
        "head_mm": _HEAD_MM,
        "titles_mm": _TITLES_MM,
        "foot_mm": _FOOT_MM,
    }


def _tolerance_words(tolerance_cents: float, outer_cents: float) -> str:
    inner = f"{tolerance_cents:g}"
    if outer_cents == tolerance_cents:
        return f"± {inner} cents"
    return f"± {inner} cents, ± {outer_cents:g} at the top and bottom of the compass"


def _line_values(line: BenchLine) -> dict[str, Json]:
    return {
        "key": line.key,
        "starts_row": line.starts_row,
        "press": _cell_values(line.press),
        "draw": _cell_values(line.draw),
    }


def _cell_values(cell: BenchCell | None) -> dict[str, Json] | None:
    if cell is None:
        return None
    return {
        "note": cell.note,
        "state": str(cell.state),
        "found": cell.found.value if cell.found is not None else "",
        "found_doubt": cell.found.doubt if cell.found is not None else "",
        "target": cell.target,
        "target_hz": cell.target_hz,
        "mark": cell.mark,
        "is_within": cell.is_within_tolerance,
        "shade": cell.shade,
        "is_dark": is_dark(cell.shade),
        "to_file": list(cell.to_file),
        "sentence": cell.sentence,
        "is_doubtful": cell.doubt is not None,
    }


def _notes(sheet: BenchSheet, side: Side) -> tuple[tuple[str, str], ...]:
    """Return what stands under the lines of an end: doubts to settle, care, assumptions."""
    own = [offset for offset in sheet.offsets if offset.target.side is side]
    in_words = {(o.target.key, str(o.target.direction)): reed_in_words(o) for o in own}
    plans = [
        (in_words[plan.key, plan.direction], plan)
        for plan in sheet.plans
        if (plan.key, plan.direction) in in_words
    ]
    return (*doubt_notes(own), *plan_notes(plans))


def _notes_mm(notes: Sequence[tuple[str, str]]) -> float:
    """Return the height of the explanation and the notes under the lines, about.

    Too little only sends the last note to a page of its own.
    """
    printed_lines = sum(math.ceil((len(where) + len(text) + 1) / 150) for where, text in notes)
    return 10.5 + 3.4 * printed_lines
