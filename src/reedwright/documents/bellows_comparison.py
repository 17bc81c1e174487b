"""Folds compared, as bars: a panel for each thing that matters, a bar for each number of folds."""

from collections.abc import Sequence

from reedwright.bellows.model import FoldsCompared
from reedwright.drawing import Anchor, Drawing, Group, Shape, Text, Weight
from reedwright.drawing.axes import Axis
from reedwright.drawing.numbers import print_number
from reedwright.drawing.outlines import rectangle
from reedwright.errors import InputError

__all__ = ["comparison_plot"]

_TEXT_MM = 2.9
_BAR_MM, _STEP_MM = 3.6, 5.2
_TITLE_MM = 7.0
_COLUMNS = 2
_GAP_MM = 8.0
_LABEL_MM, _VALUE_MM = 14.0, 20.0


def comparison_plot(
    rows: Sequence[FoldsCompared], *, playing: str, width_mm: float = 180.0
) -> Drawing:
    """Return the plot; ``playing`` says in words what the seconds are for.

    Raises
    ------
    InputError
        If there is nothing to compare.
    """
    if not rows:
        raise InputError("a plot needs numbers of folds to compare, got none; give some")
    panels = (
        ("stroke, mm", [(row.stroke_mm, 0) for row in rows]),
        ("air a stroke, L", [(row.air_per_stroke_l, 2) for row in rows]),
        ("seconds a stroke", [(row.seconds_per_stroke, 1) for row in rows]),
        ("closed length, mm", [(row.closed_length_mm, 1) for row in rows]),
        ("cards", [(float(row.cards), 0) for row in rows]),
    )
    one_mm = (width_mm - (_COLUMNS - 1) * _GAP_MM) / _COLUMNS
    high_mm = _TITLE_MM + len(rows) * _STEP_MM + 4.0
    shapes: list[Shape] = []
    for number, (title, values) in enumerate(panels):
        column, line = number % _COLUMNS, number // _COLUMNS
        words = [print_number(value, decimals=decimals) for value, decimals in values]
        bars = [(0.0, value) for value, _ in values]
        panel = _panel(title, [row.folds for row in rows], bars, words, one_mm)
        shapes.append(Group(title, title, panel, (column * (one_mm + _GAP_MM), line * high_mm)))
    hours = [
        f"{print_number(row.hours_low, decimals=0)} to {print_number(row.hours_high, decimals=0)}"
        for row in rows
    ]
    spans = [(row.hours_low, row.hours_high) for row in rows]
    panel = _panel("hours of work, a range", [row.folds for row in rows], spans, hours, one_mm)
    column, line = len(panels) % _COLUMNS, len(panels) // _COLUMNS
    shapes.append(Group("hours", "hours", panel, (column * (one_mm + _GAP_MM), line * high_mm)))
    foot_mm = (line + 1) * high_mm
    shapes.append(Text((0.0, foot_mm), f"Seconds: {playing}.", _TEXT_MM, "quiet-ink"))
    listed = ", ".join(str(row.folds) for row in rows)
    return Drawing(
        width_mm,
        foot_mm + 2.0,
        f"Bellows of {listed} folds compared",
        "Bars for stroke, air, seconds of playing, closed length, cards and hours.",
        tuple(shapes),
    )


def _panel(
    title: str,
    folds: Sequence[int],
    bars: Sequence[tuple[float, float]],
    words: Sequence[str],
    width_mm: float,
) -> tuple[Shape, ...]:
    axis = Axis(0.0, max(high for _, high in bars), _LABEL_MM, width_mm - _VALUE_MM)
    shapes: list[Shape] = [Text((0.0, 3.6), title, _TEXT_MM, "ink", weight=Weight.SEMIBOLD)]
    for number, (fold, (low, high), word) in enumerate(zip(folds, bars, words, strict=True)):
        top = _TITLE_MM + number * _STEP_MM
        middle = top + _BAR_MM / 2.0 + 0.35 * _TEXT_MM
        shapes += [
            Text((_LABEL_MM - 1.5, middle), f"{fold} folds", _TEXT_MM, "ink", Anchor.END),
            rectangle(axis.place_mm(low), top, axis.place_mm(high), top + _BAR_MM, "press-bar"),
            Text((axis.place_mm(high) + 1.5, middle), word, _TEXT_MM, "ink"),
        ]
    return tuple(shapes)
