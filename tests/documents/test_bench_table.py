"""The typed table: written in the order of the sheet, read back, mistakes named."""

from dataclasses import replace

import pytest
from tests.printed import invented

from reedwright.catalogue import load_layout
from reedwright.documents.bench_lines import bench_lines
from reedwright.documents.bench_table import COLUMNS, read_bench_table, write_bench_table
from reedwright.documents.orders import order_of_pan
from reedwright.errors import InputError
from reedwright.instrument.layout import Direction, Reed, Side

TREBLE = load_layout("english-treble-48")
SHEET = invented.bench_sheet(TREBLE)
TABLE = write_bench_table(SHEET)
HEADER = ",".join(COLUMNS)


def test_the_table_has_the_order_of_the_printed_lines() -> None:
    """Left end, then right; each key press, then draw; also in the order of the pan."""
    for sheet in (SHEET, replace(SHEET, order=order_of_pan(TREBLE))):
        typed = read_bench_table(write_bench_table(sheet), TREBLE)
        printed = [
            Reed(line.key, direction)
            for side in Side
            for line in bench_lines(sheet, side)
            for direction in Direction
        ]
        assert [row.reed for row in typed] == printed


def test_what_was_written_is_read() -> None:
    """Found, target and ticks come back as they stand on the sheet; blanks are None."""
    first, second = read_bench_table(TABLE, TREBLE)[:2]
    assert TABLE.splitlines()[:2] == [HEADER, "L1.1,press,C#4,-4.5,0.0,,,,"]
    assert (first.found_cents, first.target_cents, first.final_cents) == (-4.5, 0.0, None)
    assert not first.is_ticked
    assert second.note.name == "C#4"
    within = sum(offset.is_within_tolerance is True for offset in SHEET.offsets)
    ticks = [row.is_ticked for row in read_bench_table(TABLE, TREBLE)]
    assert ticks.count(True) == within - 1  # one reed within tolerance is in doubt: not ticked


def test_a_silent_reed_has_a_row_without_a_number() -> None:
    """It is on the sheet, so it is in the table."""
    silent = SHEET.offsets[7].target
    row = next(
        row
        for row in read_bench_table(TABLE, TREBLE)
        if row.reed == Reed(silent.key, silent.direction)
    )
    assert row.found_cents is None
    assert row.target_cents == 0.0


@pytest.mark.parametrize(
    "typed",
    [
        HEADER + "\nL1.1,press,C#4,-4.5,0,−3.1,+0.4,0.2,✓\n",
        "\ufeff" + HEADER.upper() + "\r\nL1.1,Press,C♯4,-4.5,0,-3.1,0.4,0.2,x\r\n",
        (HEADER + "\n\nL1.1,press,C#4,-4.5,0,-3.1,0.4,0.2,yes\n").replace(",", ";"),
        HEADER.replace(",", ";") + "\nL1.1;press;C#4;-4,5;0;-3,1;0,4;0,2;1",
        HEADER.replace(",", "\t") + "\nL1.1\tpress\tC#4\t-4.5\t0\t-3.1\t0.4\t0.2\tok",
        "tick,final,after_2,after_1,target,found,note,direction,key\n"
        "x,0.2,0.4,-3.1,0,-4.5,C#4,press,L1.1\n",
    ],
)
def test_tables_come_back_from_any_spreadsheet(typed: str) -> None:
    """Commas, semicolons, tabs, either minus, byte order mark, columns moved."""
    (row,) = read_bench_table(typed, TREBLE)
    assert row.reed == Reed("L1.1", Direction.PRESS)
    assert (row.found_cents, row.target_cents) == (-4.5, 0.0)
    assert (row.after_1_cents, row.after_2_cents, row.final_cents) == (-3.1, 0.4, 0.2)
    assert row.is_ticked


@pytest.mark.parametrize("tick", ["", "0", "n", "No"])
def test_no_tick_is_no_tick(tick: str) -> None:
    """Nothing, 0, n and no."""
    (row,) = read_bench_table(f"{HEADER}\nL1.1,press,C#4,,,,,,{tick}\n", TREBLE)
    assert not row.is_ticked


@pytest.mark.parametrize(
    ("row", "message"),
    [
        ("L1.1,pull,C#4,,,,,,", "line 2: direction is press or draw, got 'pull'"),
        ("L9.9,press,C#4,,,,,,", "has no reed 'L9.9' on the press"),
        ("L1.1,press,Db4,,,,,,", "L1.1 press is C#4, the row says 'Db4'"),
        ("L1.1,press,C#4,about 3,,,,,", "found is a number of cents .* got 'about 3'"),
        ("L1.1,press,C#4,,,,,nan,", "final is a number of cents"),
        ("L1.1,press,C#4,,,,,12000,", "final is a number of cents"),
        ("L1.1,press,C#4,-4,5,0,,,,", "a decimal comma"),
        ("L1.1,press,C#4,,,,,,\nL1.1,press,C#4,,,,,,", "line 3: L1.1 press stands in line 2"),
        ("L1.1,up,C#4,,,,,,\n,,,,,,,,\nL1.1,x,C#4,,,,,,", r"line 2: .*\(and lines 4 have mistakes"),
        ("L1.1,press,H4,,,,,,", "a note is a capital letter"),
    ],
)
def test_a_mistake_is_named_with_its_line(row: str, message: str) -> None:
    """Rule, value, remedy, and where."""
    with pytest.raises(InputError, match=message):
        read_bench_table(f"{HEADER}\n{row}\n", TREBLE)


@pytest.mark.parametrize("text", ["", "\n", "key,direction\nL1.1,press\n"])
def test_a_table_without_its_columns_is_refused(text: str) -> None:
    """The first line names the columns."""
    with pytest.raises(InputError, match=r"starts with a line of the columns .* missing"):
        read_bench_table(text, TREBLE)


def test_a_blank_form_has_no_rows_yet() -> None:
    """Nothing to type until the instrument has told its notes."""
    blank = load_layout("duet-six-column-46")
    assert write_bench_table(invented.bench_sheet(blank)) == HEADER + "\n"
