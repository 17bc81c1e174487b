"""The bench sheet as a table to type into: CSV in the order of the printed lines.

Columns: ``key, direction, note, found, target, after_1, after_2, final, tick``, one
row per reed, the left end first. Numbers are cents on the sheet's scale, written
plainly for a spreadsheet (``-4.5``); notes in ASCII (``Ab4``). What was written by
hand goes into ``after_1``, ``after_2`` and ``final``; anything but nothing, ``0``,
``n`` or ``no`` in ``tick`` is a tick.
"""

import csv
import io
import math
from collections.abc import Iterator
from dataclasses import dataclass

from reedwright.documents.bench_lines import bench_lines
from reedwright.documents.model import BenchSheet
from reedwright.drawing.numbers import MINUS
from reedwright.errors import InputError
from reedwright.instrument.layout import Direction, Layout, Reed, Side
from reedwright.instrument.note import SpelledNote

__all__ = ["COLUMNS", "TypedReed", "read_bench_table", "write_bench_table"]

COLUMNS = (
    "key", "direction", "note", "found", "target", "after_1", "after_2", "final", "tick",
)  # fmt: skip

#: No reed that is worth filing stands further off than this; more is a slip of the hand.
_MOST_CENTS = 1200.0
_NOT_TICKED = {"", "0", "n", "no"}


@dataclass(frozen=True, slots=True)
class TypedReed:
    """One row as typed: cents on the sheet's scale, None where the cell was left empty."""

    reed: Reed
    note: SpelledNote
    found_cents: float | None
    target_cents: float | None
    after_1_cents: float | None
    after_2_cents: float | None
    final_cents: float | None
    is_ticked: bool


def write_bench_table(sheet: BenchSheet) -> str:
    """Return the table of a bench sheet, with what was found and nothing typed yet.

    A key whose note is not known yet has no row.

    Raises
    ------
    InputError
        If the sheet's order does not name every key once.
    """
    written = io.StringIO()
    rows = csv.writer(written, lineterminator="\n")
    rows.writerow(COLUMNS)
    for side in Side:
        for line in bench_lines(sheet, side):
            for cell in (line.press, line.draw):
                if cell is None or not cell.note:
                    continue
                note = sheet.layout.note(cell.reed)
                found = "" if cell.found is None else _plain(cell.found.value)
                tick = "x" if cell.is_within_tolerance and cell.doubt is None else ""
                reed, blanks = cell.reed, ("",) * 3
                rows.writerow(
                    (reed.key, reed.direction, note.name, found, _plain(cell.target), *blanks, tick)
                )
    return written.getvalue()


def read_bench_table(text: str, layout: Layout) -> tuple[TypedReed, ...]:
    """Return the typed rows in the order of the file.

    Reeds may be left out; blank rows are passed over. Columns may be separated by
    commas, semicolons or tabs, and minus signs be typed or true. With semicolons or
    tabs a decimal comma is read as one.

    Raises
    ------
    InputError
        If a column is missing, a reed is not of the layout or comes twice, a note is
        not the layout's, or a number is none. The first mistake is told in full with
        its line, the lines of the others are named.
    """
    lines = text.removeprefix("\ufeff").splitlines()
    separator = max(",;\t", key=lines[0].count) if lines else ","
    reader = csv.reader(lines, delimiter=separator)
    columns = [name.strip().lower() for name in next(reader, [])]
    missing = [name for name in COLUMNS if name not in columns]
    if missing:
        raise InputError(
            f"a bench table starts with a line of the columns {', '.join(COLUMNS)}; "
            f"{', '.join(missing)} missing: start from the table the program wrote"
        )
    reeds, mistakes = _checked_rows(reader, columns, separator, layout)
    if mistakes:
        first_line, first = mistakes[0]
        others = ", ".join(str(line) for line, _ in mistakes[1:])
        also = f" (and lines {others} have mistakes too)" if others else ""
        raise InputError(f"line {first_line}: {first}{also}")
    return tuple(reeds)


def _checked_rows(
    reader: Iterator[list[str]], columns: list[str], separator: str, layout: Layout
) -> tuple[list[TypedReed], list[tuple[int, str]]]:
    """Return the good rows and, as (line, what is wrong), the bad ones."""
    reeds: list[TypedReed] = []
    lines: dict[Reed, int] = {}
    mistakes: list[tuple[int, str]] = []
    for line, values in enumerate(reader, start=2):
        if not any(value.strip() for value in values):
            continue
        try:
            if len(values) > len(columns):
                raise InputError(
                    f"a row has {len(columns)} columns, got {len(values)}; a decimal comma in a "
                    "table separated by commas makes two columns of one: write a point"
                )
            padded = values + [""] * (len(columns) - len(values))
            typed = _typed_reed(dict(zip(columns, padded, strict=True)), separator, layout)
            if typed.reed in lines:
                raise InputError(
                    f"{typed.reed.key} {typed.reed.direction} stands in line {lines[typed.reed]} "
                    "already; remove one of the two"
                )
            lines[typed.reed] = line
            reeds.append(typed)
        except InputError as mistake:
            mistakes.append((line, str(mistake)))
    return reeds, mistakes


def _typed_reed(row: dict[str, str], separator: str, layout: Layout) -> TypedReed:
    reed, note = _reed_of_row(row, layout)
    cents = {name: _cents(name, row[name], separator) for name in COLUMNS[3:8]}
    is_ticked = row["tick"].strip().lower() not in _NOT_TICKED
    return TypedReed(
        reed,
        note,
        found_cents=cents["found"],
        target_cents=cents["target"],
        after_1_cents=cents["after_1"],
        after_2_cents=cents["after_2"],
        final_cents=cents["final"],
        is_ticked=is_ticked,
    )


def _reed_of_row(row: dict[str, str], layout: Layout) -> tuple[Reed, SpelledNote]:
    key, direction = row["key"].strip(), row["direction"].strip().lower()
    if direction not in [str(way) for way in Direction]:
        raise InputError(f"direction is press or draw, got {row['direction']!r}; write one of them")
    reed = Reed(key, Direction(direction))
    try:
        note = layout.note(reed)
    except KeyError:
        raise InputError(
            f"{layout.layout} has no reed {key!r} on the {direction}; take the key as the sheet "
            "prints it"
        ) from None
    if SpelledNote.parse(row["note"]) != note:
        raise InputError(
            f"{key} {direction} is {note.name}, the row says {row['note'].strip()!r}; check that "
            "the row was typed on the right line"
        )
    return reed, note


def _cents(column: str, typed: str, separator: str) -> float | None:
    written = typed.strip().replace(MINUS, "-")
    if separator != ",":
        written = written.replace(",", ".")
    if not written:
        return None
    try:
        value = float(written)
    except ValueError:
        value = math.nan
    if not abs(value) <= _MOST_CENTS:
        raise InputError(
            f"{column} is a number of cents between -1200 and 1200 or empty, got "
            f"{typed.strip()!r}; write it like -4.5"
        )
    return value


def _plain(printed: str) -> str:
    """Return a printed number as a spreadsheet reads it."""
    return printed.replace(MINUS, "-").removeprefix("+")
