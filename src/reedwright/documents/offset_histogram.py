"""How many reeds stand how far off, press and draw on top of each other."""

import math
from collections.abc import Sequence

from reedwright.drawing import Anchor, Drawing, Hatch, Line, Polygon, Shape, Text
from reedwright.drawing.axes import Axis, even_ticks
from reedwright.drawing.numbers import print_number
from reedwright.drawing.outlines import rectangle
from reedwright.instrument.layout import Direction
from reedwright.instrument.target import ReedOffset

__all__ = ["offset_histogram"]

_LEFT_MM, _RIGHT_MM, _TOP_MM, _BOTTOM_MM = 8.0, 2.0, 8.0, 10.0
_TEXT_MM = 2.9
_MOST_BARS = 24
_STEPS_CENTS = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)


def offset_histogram(
    offsets: Sequence[ReedOffset], *, width_mm: float, height_mm: float
) -> Drawing:
    """Return the count of reeds by their offset; one bar is a whole number of cents.

    A bar holds the offsets from its left edge up to, but not at, its right one.
    """
    heard = [offset for offset in offsets if offset.offset_cents is not None]
    values = [offset.offset_cents or 0.0 for offset in heard] or [0.0]
    low, high, step = _bars(min(values), max(values))
    bars = round((high - low) / step)
    counts = {
        way: [
            sum(
                1
                for offset in heard
                if offset.target.direction is way
                and low + bar * step <= (offset.offset_cents or 0.0) < low + (bar + 1) * step
            )
            for bar in range(bars)
        ]
        for way in Direction
    }
    most = max(
        press + draw
        for press, draw in zip(counts[Direction.PRESS], counts[Direction.DRAW], strict=True)
    )
    across = Axis(low, high, _LEFT_MM, width_mm - _RIGHT_MM)
    up = Axis(0.0, max(most, 4) * 1.06, height_mm - _BOTTOM_MM, _TOP_MM)
    shapes: list[Shape] = [*_scales(across, up)]
    for bar in range(bars):
        left, right = (across.place_mm(low + (bar + edge) * step) for edge in (0, 1))
        press, draw = counts[Direction.PRESS][bar], counts[Direction.DRAW][bar]
        inset = 0.25
        for under, over, way in (
            (0, press, Direction.PRESS),
            (press, press + draw, Direction.DRAW),
        ):
            if over > under:
                shapes += _bar(
                    rectangle(
                        left + inset,
                        up.place_mm(over),
                        right - inset,
                        up.place_mm(under),
                        f"{way}-bar",
                    ),
                    way,
                )
    ways = [way for way in Direction if any(counts[way])] or list(Direction)
    shapes += _legend(ways, step)
    return Drawing(
        width_mm,
        height_mm,
        "How many reeds stand how far off",
        f"{len(heard)} reeds in bars of {step:g} cents; press solid, draw hatched.",
        tuple(shapes),
    )


def _bars(lowest: float, highest: float) -> tuple[float, float, float]:
    """Return the edges and the width of the bars, in cents: few enough, and whole."""
    for step in _STEPS_CENTS:
        low = min(math.floor(lowest / step) * step, -5.0 * step)
        # Past the highest value, which belongs to the bar that begins at or below it.
        high = max((math.floor(highest / step) + 1.0) * step, 5.0 * step)
        if (high - low) / step <= _MOST_BARS:
            return low, high, step
    return low, high, step


def _scales(across: Axis, up: Axis) -> list[Shape]:
    base = up.from_mm
    shapes: list[Shape] = []
    for tick in even_ticks(0.0, up.high, 6):
        if not float(tick).is_integer():
            continue
        y_mm = up.place_mm(tick)
        shapes.append(Line((across.from_mm, y_mm), (across.to_mm, y_mm), "faint-line"))
        shapes.append(
            Text(
                (across.from_mm - 1.2, y_mm + 0.9), f"{tick:.0f}", _TEXT_MM, "quiet-ink", Anchor.END
            )
        )
    for tick in even_ticks(across.low, across.high, 7):
        x_mm = across.place_mm(tick)
        shapes.append(Line((x_mm, base), (x_mm, base + 1.0), "line"))
        label = print_number(tick, decimals=0, is_offset=True)
        shapes.append(Text((x_mm, base + 4.2), label, _TEXT_MM, "quiet-ink", Anchor.MIDDLE))
    middle = (across.from_mm + across.to_mm) / 2.0
    shapes.append(
        Text((middle, base + 8.4), "cents from target", _TEXT_MM, "quiet-ink", Anchor.MIDDLE)
    )
    shapes.append(Line((across.from_mm, base), (across.to_mm, base), "ink-line"))
    zero = across.place_mm(0.0)
    shapes.append(Line((zero, up.to_mm), (zero, base), "ink-line"))
    return shapes


def _bar(outline: Polygon, way: Direction) -> list[Shape]:
    return (
        [outline, Hatch(outline, 45.0, 0.9, "draw-hatch")] if way is Direction.DRAW else [outline]
    )


def _legend(ways: Sequence[Direction], step: float) -> list[Shape]:
    shapes: list[Shape] = [Text((0.0, 3.6), "reeds", _TEXT_MM, "quiet-ink")]
    x_mm = _LEFT_MM + 2.0
    for way in ways:
        shapes += _bar(rectangle(x_mm, 1.4, x_mm + 3.0, 3.8, f"{way}-bar"), way)
        shapes.append(Text((x_mm + 4.0, 3.6), str(way), _TEXT_MM, "ink"))
        x_mm += 14.0
    cents = "cent" if step == 1.0 else "cents"
    shapes.append(Text((x_mm, 3.6), f"bars of {step:g} {cents}", _TEXT_MM, "quiet-ink"))
    return shapes
