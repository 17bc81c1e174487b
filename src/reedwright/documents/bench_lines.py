"""The lines of the bench sheet as values: one per key, a cell for press and one for draw.

The printed sheet and the typed table are both made from these, so they cannot part.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from reedwright.documents.model import BenchSheet, reed_of
from reedwright.documents.shades import shade_of
from reedwright.drawing.numbers import (
    PrintedValue,
    print_number,
    print_offset,
    print_target_frequency,
    print_with_doubt,
)
from reedwright.errors import InputError
from reedwright.instrument.layout import Action, Direction, Key, Reed, Side
from reedwright.instrument.target import ReedOffset
from reedwright.reedwork.model import FilingPlan, Verdict
from reedwright.units import cents_from_ratio

__all__ = ["BenchCell", "BenchLine", "ReedState", "bench_lines", "check_order"]


class ReedState(StrEnum):
    """What is known of a reed when the sheet is printed."""

    MEASURED = "measured"
    SILENT = "silent"
    NO_TARGET = "no target"
    NOTE_UNKNOWN = "note unknown"


@dataclass(frozen=True, slots=True)
class BenchCell:
    """One reed on its line; every text is ready to print.

    ``found`` and ``target`` are cents on the sheet's scale, empty where unknown.
    ``mark`` is F (flat), S (sharp) or empty within tolerance or unheard; ``note`` is
    empty on a key of a blank form, whose notes the instrument has yet to tell;
    ``to_file`` has up to three short lines; ``doubt`` is a sentence to settle.
    """

    reed: Reed
    note: str
    state: ReedState
    found: PrintedValue | None
    offset_cents: float | None
    target: str
    target_hz: str
    mark: str
    is_within_tolerance: bool
    shade: str
    to_file: tuple[str, ...]
    sentence: str
    doubt: str | None


@dataclass(frozen=True, slots=True)
class BenchLine:
    """One key: its cells are None where it has no reed in that direction.

    ``starts_row`` is true for the first key of a new row of buttons.
    """

    key: str
    side: Side
    press: BenchCell | None
    draw: BenchCell | None
    starts_row: bool


def bench_lines(sheet: BenchSheet, side: Side) -> tuple[BenchLine, ...]:
    """Return the lines of one end in the sheet's order.

    Raises
    ------
    InputError
        If the order names a key twice, misses one, or names one the layout lacks.
    """
    check_order(sheet)
    offsets = {reed_of(offset): offset for offset in sheet.offsets}
    plans = {Reed(plan.key, Direction(plan.direction)): plan for plan in sheet.plans}
    keys = [key for key in map(sheet.layout.key, sheet.order.keys) if key.side is side]
    lines: list[BenchLine] = []
    for place, key in enumerate(keys):
        press, draw = (
            _cell(sheet, key, reed, offsets.get(reed), plans.get(reed))
            for reed in (Reed(key.key, direction) for direction in Direction)
        )
        starts_row = sheet.order.is_by_row and place > 0 and keys[place - 1].row != key.row
        lines.append(BenchLine(key.key, side, press, draw, starts_row))
    return tuple(lines)


def check_order(sheet: BenchSheet) -> None:
    """Raise InputError unless the order names every key of the layout exactly once."""
    ordered, known = sheet.order.keys, [key.key for key in sheet.layout.keys]
    if len(ordered) != len(set(ordered)):
        twice = next(key for key in ordered if ordered.count(key) > 1)
        raise InputError(f"an order names every key once, got {twice} twice; remove one of them")
    if set(ordered) != set(known):
        strays = _listed(set(ordered) - set(known))
        missed = _listed(set(known) - set(ordered))
        raise InputError(
            f"an order names every key of {sheet.layout.layout}; it misses {missed or 'none'} and "
            f"has besides {strays or 'none'}; make the order from the same layout"
        )


def _cell(
    sheet: BenchSheet,
    key: Key,
    reed: Reed,
    offset: ReedOffset | None,
    plan: FilingPlan | None,
) -> BenchCell | None:
    note = key.note(reed.direction)
    has_draw_reeds = sheet.layout.action is Action.DOUBLE
    is_unknown = key.press is None and key.draw is None
    if note is None and not (is_unknown and (has_draw_reeds or reed.direction is Direction.PRESS)):
        return None
    found, target, target_hz = None, "", ""
    state = ReedState.NO_TARGET if note is not None else ReedState.NOTE_UNKNOWN
    if offset is not None:
        equal_hz = sheet.scale_a4_hz * 2.0 ** ((offset.target.note.semitone - 69) / 12.0)
        target_cents = cents_from_ratio(offset.target.frequency_hz / equal_hz)
        target = print_number(target_cents, decimals=1, is_offset=True)
        target_hz = print_target_frequency(offset.target.frequency_hz)
        state = ReedState.SILENT
        if offset.frequency_hz is not None:
            state = ReedState.MEASURED
            found_cents = cents_from_ratio(offset.frequency_hz / equal_hz)
            found = print_offset(found_cents, offset.doubt_cents or 0.0)
    measured = offset.offset_cents if offset is not None else None
    is_within = offset is not None and offset.is_within_tolerance is True
    return BenchCell(
        reed=reed,
        note=note.printed if note is not None else "",
        state=state,
        found=found,
        offset_cents=measured,
        target=target,
        target_hz=target_hz,
        mark="" if measured is None or is_within else "S" if measured > 0.0 else "F",
        is_within_tolerance=is_within,
        shade=shade_of(measured, is_within_tolerance=is_within),
        to_file=_to_file(plan),
        sentence=plan.sentence if plan is not None else "",
        doubt=offset.doubt if offset is not None else None,
    )


def _to_file(plan: FilingPlan | None) -> tuple[str, ...]:
    """Return the plan in at most three short lines: where, how deep, where to stop first."""
    if plan is None:
        return ()
    from_mm, to_mm, depth_um = plan.zone_from_mm, plan.zone_to_mm, plan.depth_um
    if plan.verdict is not Verdict.FILE or from_mm is None or to_mm is None or depth_um is None:
        weight = plan.verdict is Verdict.TIP_WEIGHT and plan.mass_mg is not None
        mass = (f"{print_number(plan.mass_mg or 0.0, decimals=0, is_offset=True)} mg",)
        return (str(plan.verdict), *(mass if weight else ()))
    where = f"{plan.zone} {_short_mm(from_mm)}–{_short_mm(to_mm)} mm"
    depth = (
        _short_um(depth_um)
        if not plan.depth_doubt_um
        else str(print_with_doubt(depth_um, plan.depth_doubt_um, finest=0.1))
    )
    lines = [where, f"{depth} µm"]
    if len(plan.steps) > 1:
        lines.append(f"stop at {_short_um(plan.steps[0].depth_um)} µm")
    return tuple(lines)


def _short_um(depth_um: float) -> str:
    """Return a depth as a guide to the hand: cuts of a few micrometres need their tenths."""
    return print_number(depth_um, decimals=1 if depth_um < 10.0 else 0)


def _short_mm(length_mm: float) -> str:
    return print_number(length_mm, decimals=1).removesuffix(".0")


def _listed(keys: Iterable[str]) -> str:
    return ", ".join(sorted(keys))
