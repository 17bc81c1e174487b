"""The lines of the bench sheet: what each cell says, and in which order."""

from dataclasses import replace

import pytest
from tests.printed import invented

from reedwright.catalogue import load_layout
from reedwright.documents.bench_lines import BenchCell, ReedState, bench_lines
from reedwright.documents.bench_sheet import LEAST_LINE_MM, rows_on_pages
from reedwright.documents.model import KeyOrder, PageSize
from reedwright.documents.orders import order_of_buttons, order_of_pan
from reedwright.documents.shades import shade_of
from reedwright.errors import InputError
from reedwright.instrument.layout import Direction, Reed, Side
from reedwright.instrument.target import ReedOffset, Target
from reedwright.reedwork.model import Verdict
from reedwright.units import ratio_from_cents

TREBLE = load_layout("english-treble-48")
ANGLO = load_layout("anglo-30-a")
SHEET = invented.bench_sheet(TREBLE)


def press_cell(key: str) -> BenchCell:
    """Return the press cell of a key of the invented treble."""
    line = next(line for line in bench_lines(SHEET, Side.LEFT) if line.key == key)
    assert line.press is not None
    return line.press


def test_found_and_target_stand_on_the_scale_of_a_bench() -> None:
    """With a target of +48.5 cents a reed 2 cents flat of it is found at +46.5."""
    reed, key = Reed("L1.1", Direction.PRESS), TREBLE.key("L1.1")
    note = TREBLE.note(reed)
    equal_hz = 440.0 * 2.0 ** ((note.semitone - 69) / 12.0)
    target = Target(reed.key, key.side, reed.direction, note, equal_hz * ratio_from_cents(48.5))
    found_hz = equal_hz * ratio_from_cents(46.5)
    offset = ReedOffset(target, found_hz, -2.0, 0.3, None, is_within_tolerance=True, doubt=None)
    cell = bench_lines(replace(SHEET, offsets=(offset,)), Side.LEFT)[0].press
    assert cell is not None
    assert str(cell.found) == "+46.5 ± 0.3"
    assert cell.target == "+48.5"
    assert cell.target_hz == "285.06"
    assert cell.mark == ""


def test_flat_and_sharp_are_marked_only_outside_the_tolerance() -> None:
    """F for flat, S for sharp, nothing within tolerance or unheard."""
    marks = {
        (cell.mark, cell.is_within_tolerance, cell.state)
        for line in bench_lines(SHEET, Side.LEFT)
        for cell in (line.press, line.draw)
        if cell is not None
    }
    assert marks == {
        ("F", False, ReedState.MEASURED),
        ("S", False, ReedState.MEASURED),
        ("", True, ReedState.MEASURED),
        ("", False, ReedState.SILENT),
    }
    assert press_cell("L1.1").mark == "F"
    assert press_cell("L1.1").offset_cents == -4.5


def test_the_plan_is_told_in_three_short_lines() -> None:
    """Where, how deep with its doubt, and where to stop and listen first."""
    assert press_cell("L1.1").to_file == ("tip 0–6.5 mm", "7.6 ± 2.3 µm", "stop at 4.6 µm")
    assert press_cell("L1.2").to_file == (str(Verdict.LEAVE),)


def test_a_tip_weight_says_how_heavy() -> None:
    """Solder to put on carries a plus."""
    plan = replace(SHEET.plans[1], verdict=Verdict.TIP_WEIGHT, mass_mg=12.3)
    reed = (plan.key, plan.direction)
    lines = bench_lines(replace(SHEET, plans=(plan,)), Side.LEFT)
    assert reed == ("L1.1", "draw")
    assert lines[0].draw is not None
    assert lines[0].draw.to_file == ("tip weight", "+12 mg")


def test_a_reed_nobody_asked_for_has_an_empty_cell() -> None:
    """No target, no number, no mark: but the line is there to write on."""
    cell = bench_lines(replace(SHEET, offsets=(), plans=()), Side.RIGHT)[0].press
    assert cell is not None
    assert (cell.state, cell.found, cell.target) == (ReedState.NO_TARGET, None, "")


def test_single_action_has_no_draw_cells() -> None:
    """A bass sounds on the press only."""
    lines = bench_lines(invented.bench_sheet(load_layout("english-bass")), Side.LEFT)
    assert all(line.draw is None and line.press is not None for line in lines)


def test_a_blank_form_has_lines_to_fill() -> None:
    """Notes the instrument has yet to tell are not the same as no reed."""
    blank = load_layout("duet-six-column-46")
    lines = bench_lines(invented.bench_sheet(blank), Side.LEFT)
    cells = [cell for line in lines for cell in (line.press, line.draw)]
    assert {cell.state for cell in cells if cell is not None} == {ReedState.NOTE_UNKNOWN}
    assert None not in cells


def test_rows_of_buttons_are_parted_only_in_their_own_order() -> None:
    """Four rows, three partings; in the order of the pan none."""
    by_row = bench_lines(SHEET, Side.LEFT)
    assert [line.key for line in by_row if line.starts_row] == ["L2.1", "L3.1", "L4.1"]
    by_pan = bench_lines(replace(SHEET, order=order_of_pan(TREBLE)), Side.LEFT)
    assert not any(line.starts_row for line in by_pan)
    assert sorted(line.key for line in by_pan) == sorted(line.key for line in by_row)
    assert [line.key for line in by_pan] != [line.key for line in by_row]


def test_orders_name_every_key_and_say_which_order_they_are() -> None:
    """English rows begin at the player's side, Anglo rows run from left to right."""
    assert order_of_buttons(TREBLE).order == "row by row, from the player's side"
    assert order_of_buttons(ANGLO).order == "row by row, left to right"
    assert order_of_pan(TREBLE).order.endswith("(order of the chambers assumed)")
    for layout in (TREBLE, ANGLO):
        for order in (order_of_buttons(layout), order_of_pan(layout)):
            assert sorted(order.keys) == sorted(key.key for key in layout.keys)


@pytest.mark.parametrize(
    ("keys", "message"),
    [
        (("L1.1", "L1.1"), "got L1.1 twice"),
        (("L1.1",), r"it misses L1\.2, .* besides none"),
        ((*(key.key for key in TREBLE.keys), "X1"), "misses none and has besides X1"),
    ],
)
def test_an_order_that_is_not_one_is_refused(keys: tuple[str, ...], message: str) -> None:
    """Every key of the layout once, and no other."""
    sheet = replace(SHEET, order=KeyOrder("by whim", keys, is_by_row=False))
    with pytest.raises(InputError, match=message):
        bench_lines(sheet, Side.LEFT)


@pytest.mark.parametrize("page", PageSize)
@pytest.mark.parametrize("lines", [1, 15, 24, 28, 29, 41, 81])
def test_lines_are_high_enough_and_shared_evenly(lines: int, page: PageSize) -> None:
    """At least 8 mm; 28 lines fit either sheet; more go on, no page fuller by more than one."""
    rows = rows_on_pages(lines, page)
    assert sum(rows.counts) == lines
    assert max(rows.counts) - min(rows.counts) <= 1
    assert rows.line_mm >= LEAST_LINE_MM == 8.0
    assert max(rows.counts) * rows.line_mm <= page.height_mm - 46.0
    if lines <= 28:
        assert len(rows.counts) == 1


def test_notes_make_lines_lower_but_never_too_low() -> None:
    """Notes share the page where that leaves 8 mm, else they go on to the next."""
    assert (
        rows_on_pages(24, PageSize.A4, notes_mm=30.0).line_mm
        < rows_on_pages(24, PageSize.A4).line_mm
    )
    assert rows_on_pages(28, PageSize.A4, notes_mm=60.0) == rows_on_pages(28, PageSize.A4)


@pytest.mark.parametrize(
    ("offset_cents", "is_within", "shade"),
    [
        (None, False, "unheard"),
        (1.9, True, "in-tune"),
        (-2.1, False, "flat-1"),
        (5.0, False, "sharp-2"),
        (-10.0, False, "flat-3"),
        (31.0, False, "sharp-4"),
        (6.0, True, "in-tune"),
    ],
)
def test_shades(offset_cents: float | None, is_within: bool, shade: str) -> None:
    """Twice as far is a shade darker; within the tolerance is in tune however wide that is."""
    assert shade_of(offset_cents, is_within_tolerance=is_within) == shade
