"""The graph of both directions: how far every reed stands from its target, by pitch.

Press is a filled disc, draw an open square, silent reeds stand below as crosses.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from reedwright.drawing import (
    Anchor,
    Circle,
    Drawing,
    Line,
    Point,
    Polygon,
    Shape,
    Text,
    Weight,
)
from reedwright.drawing.axes import Axis, even_ticks, widened
from reedwright.drawing.labels import Box, WantedLabel, place_labels
from reedwright.drawing.numbers import print_number, print_offset
from reedwright.drawing.outlines import rectangle
from reedwright.instrument.layout import Direction
from reedwright.instrument.target import ReedOffset
from reedwright.tuning.model import OverallPitch
from reedwright.units import cents_from_ratio

__all__ = ["offset_graph"]

#: Around the field of the graph: numbers of the scale left, words right, legend above.
_LEFT_MM, _RIGHT_MM, _TOP_MM, _BOTTOM_MM = 10.0, 30.0, 9.0, 11.5
_TEXT_MM = 2.9
_SMALL_MM = 2.6
_MARK_MM = 0.8
#: The two reeds of a key stand side by side, in semitones.
_APART = 0.2
#: How many of the worst reeds are named.
_MOST_LABELS = 8


@dataclass(frozen=True, slots=True)
class _Field:
    """Where the graph's field lies and how values lie in it."""

    across: Axis
    up: Axis

    @property
    def box(self) -> Box:
        return Box(self.across.from_mm, self.up.to_mm, self.across.to_mm, self.up.from_mm)

    def place(self, offset: ReedOffset, offset_cents: float) -> Point:
        aside = -_APART if offset.target.direction is Direction.PRESS else _APART
        x_mm = self.across.place_mm(offset.target.note.semitone + aside)
        return x_mm, self.up.place_mm(offset_cents)


def offset_graph(
    offsets: Sequence[ReedOffset],
    *,
    tolerance_cents: float,
    overall: OverallPitch | None,
    target_a4_hz: float,
    width_mm: float,
    height_mm: float,
) -> Drawing:
    """Return the graph of offsets against pitch with the doubt of each reed.

    The pale band is the tolerance; the dashed line is the pitch of the whole
    instrument where ``overall`` is given. The scale takes in every reed and its doubt.
    """
    overall_cents = None if overall is None else cents_from_ratio(overall.a4_hz / target_a4_hz)
    heard = [offset for offset in offsets if offset.offset_cents is not None]
    silent = [offset for offset in offsets if offset.offset_cents is None]
    field = _Field(
        _across(offsets, width_mm),
        _up(heard, tolerance_cents, overall_cents, height_mm),
    )
    marks = [_mark(field, offset) for offset in heard]
    ways = [way for way in Direction if any(o.target.direction is way for o in offsets)]
    shapes: list[Shape] = [
        *_ground(field, tolerance_cents),
        *_pair_lines(field, heard),
        *(shape for mark in marks for shape in mark),
        *(shape for offset in silent for shape in _cross(field, offset)),
        *_worst_labels(field, heard),
        *_right_words(field, overall, overall_cents),
        *_legend(ways, has_silent=bool(silent)),
    ]
    counted = f"{len(heard)} reeds heard" + (f", {len(silent)} silent" if silent else "")
    return Drawing(
        width_mm,
        height_mm,
        "Offset of every reed from its target, against pitch",
        f"{counted}; press as discs, draw as open squares, bars of one standard deviation.",
        tuple(shapes),
    )


def _across(offsets: Sequence[ReedOffset], width_mm: float) -> Axis:
    semitones = [offset.target.note.semitone for offset in offsets] or [60]
    low, high = widened(min(semitones), max(semitones), least=12.0, margin=0.0)
    return Axis(low - 1.0, high + 1.0, _LEFT_MM, width_mm - _RIGHT_MM)


def _up(
    heard: Sequence[ReedOffset],
    tolerance_cents: float,
    overall_cents: float | None,
    height_mm: float,
) -> Axis:
    reach = [0.0, tolerance_cents, -tolerance_cents]
    reach += [] if overall_cents is None else [overall_cents]
    for offset in heard:
        value, doubt = offset.offset_cents or 0.0, offset.doubt_cents or 0.0
        reach += [value - doubt, value + doubt]
    low, high = widened(min(reach), max(reach), least=10.0, margin=0.06)
    return Axis(low, high, height_mm - _BOTTOM_MM, _TOP_MM)


def _ground(field: _Field, tolerance_cents: float) -> Iterable[Shape]:
    """Yield the band of tolerance, the scales and the target line."""
    box = field.box
    upper, lower = field.up.place_mm(tolerance_cents), field.up.place_mm(-tolerance_cents)
    yield rectangle(box.left_mm, upper, box.right_mm, lower, "tolerance-band")
    for octave in range(-1, 11):
        semitone = 12.0 * (octave + 1)
        if field.across.low <= semitone <= field.across.high:
            x_mm = field.across.place_mm(semitone)
            yield Line((x_mm, box.top_mm), (x_mm, box.bottom_mm), "faint-line")
            yield Text(
                (x_mm, box.bottom_mm + 8.2), f"C{octave}", _TEXT_MM, "quiet-ink", Anchor.MIDDLE
            )
    for tick in even_ticks(field.up.low, field.up.high, 9):
        y_mm = field.up.place_mm(tick)
        yield Line((box.left_mm, y_mm), (box.right_mm, y_mm), "faint-line" if tick else "ink-line")
        decimals = 0 if float(tick).is_integer() else 1
        yield Text(
            (box.left_mm - 1.2, y_mm + 0.3 * _TEXT_MM),
            print_number(tick, decimals=decimals, is_offset=True),
            _TEXT_MM,
            "quiet-ink",
            Anchor.END,
        )
    yield Line((box.left_mm, box.bottom_mm), (box.right_mm, box.bottom_mm), "line")
    yield Line((box.left_mm, box.top_mm), (box.right_mm, box.top_mm), "faint-line")


def _pair_lines(field: _Field, heard: Sequence[ReedOffset]) -> Iterable[Shape]:
    """Yield a quiet line from the press reed of a key to its draw reed of the same note."""
    press = {
        offset.target.key: offset for offset in heard if offset.target.direction is Direction.PRESS
    }
    for offset in heard:
        partner = press.get(offset.target.key)
        if (
            offset.target.direction is Direction.DRAW
            and partner is not None
            and partner.target.note == offset.target.note
        ):
            ends = [field.place(reed, reed.offset_cents or 0.0) for reed in (partner, offset)]
            yield Line(ends[0], ends[1], "pair-line")


def _mark(field: _Field, offset: ReedOffset) -> tuple[Shape, ...]:
    """Return a reed's mark over its bar of doubt."""
    value, doubt = offset.offset_cents or 0.0, offset.doubt_cents or 0.0
    way = offset.target.direction
    x_mm, y_mm = field.place(offset, value)
    bar = Line(
        (x_mm, field.up.place_mm(value - doubt)),
        (x_mm, field.up.place_mm(value + doubt)),
        f"{way}-line",
    )
    return bar, _symbol((x_mm, y_mm), way)


def _symbol(at_mm: Point, way: Direction) -> Circle | Polygon:
    x_mm, y_mm = at_mm
    if way is Direction.PRESS:
        return Circle(at_mm, _MARK_MM, "press-mark")
    half = 0.85 * _MARK_MM
    return rectangle(x_mm - half, y_mm - half, x_mm + half, y_mm + half, "draw-mark")


def _cross(field: _Field, offset: ReedOffset) -> tuple[Shape, ...]:
    """Return a cross below the field for a reed that was not heard."""
    x_mm, _ = field.place(offset, 0.0)
    return _cross_at((x_mm, field.box.bottom_mm + 2.6), f"{offset.target.direction}-line")


def _cross_at(at_mm: Point, style: str) -> tuple[Shape, ...]:
    x_mm, y_mm = at_mm
    arm = 0.8
    return (
        Line((x_mm - arm, y_mm - arm), (x_mm + arm, y_mm + arm), style),
        Line((x_mm - arm, y_mm + arm), (x_mm + arm, y_mm - arm), style),
    )


def _worst_labels(field: _Field, heard: Sequence[ReedOffset]) -> Iterable[Shape]:
    """Return the names of the worst reeds out of tolerance, where there is room."""
    taken = [_mark_box(field, offset) for offset in heard]
    worst = sorted(
        (offset for offset in heard if offset.is_within_tolerance is False),
        key=lambda offset: -abs(offset.offset_cents or 0.0),
    )[:_MOST_LABELS]
    wanted = []
    for offset in worst:
        box = _mark_box(field, offset)
        at_mm = field.place(offset, offset.offset_cents or 0.0)
        half_mm = (box.bottom_mm - box.top_mm) / 2.0
        wanted.append(WantedLabel(at_mm, half_mm, offset.target.note.printed))
    return place_labels(wanted, within=field.box, taken=taken, size_mm=_SMALL_MM, style="ink")


def _mark_box(field: _Field, offset: ReedOffset) -> Box:
    """Return the room of a mark and its bar."""
    value, doubt = offset.offset_cents or 0.0, offset.doubt_cents or 0.0
    x_mm, y_mm = field.place(offset, value)
    half_bar = max(_MARK_MM, y_mm - field.up.place_mm(value + doubt))
    return Box(x_mm - _MARK_MM, y_mm - half_bar, x_mm + _MARK_MM, y_mm + half_bar)


def _right_words(
    field: _Field, overall: OverallPitch | None, overall_cents: float | None
) -> Iterable[Shape]:
    """Yield what the lines mean, at their right ends."""
    box = field.box
    target_y = field.up.place_mm(0.0)
    x_mm = box.right_mm + 1.5
    rise = 0.3 * _TEXT_MM
    yield Text((x_mm, target_y + rise), "target", _TEXT_MM, "ink", weight=Weight.SEMIBOLD)
    if overall is None or overall_cents is None:
        return
    y_mm = field.up.place_mm(overall_cents)
    yield Line((box.left_mm, y_mm), (box.right_mm, y_mm), "dashed-line")
    # Two lines of text that keep clear of the word beside the target line.
    text_y = y_mm + rise
    if abs(text_y - target_y) < 2.6 * _TEXT_MM:
        text_y = target_y + rise + (1.35 if overall_cents < 0.0 else -2.5) * _TEXT_MM
    printed = print_offset(overall_cents, overall.doubt_cents)
    yield Text((x_mm, text_y), "whole instrument", _SMALL_MM, "quiet-ink")
    yield Text((x_mm, text_y + 1.25 * _SMALL_MM), str(printed), _SMALL_MM, "quiet-ink")


def _legend(ways: Iterable[Direction], *, has_silent: bool) -> Iterable[Shape]:
    """Yield the line above the field: what the marks mean and what the scale is."""
    y_mm, x_mm = 3.6, _LEFT_MM
    yield Text((0.0, y_mm + 1.0), "cents", _TEXT_MM, "quiet-ink")
    words = {
        Direction.PRESS: "press (bellows closing)",
        Direction.DRAW: "draw (bellows opening)",
    }
    for way in ways:
        yield _symbol((x_mm + 1.0, y_mm), way)
        yield Text((x_mm + 3.0, y_mm + 1.0), words[way], _TEXT_MM, "ink")
        x_mm += 37.5
    yield Line((x_mm + 1.0, y_mm - 1.6), (x_mm + 1.0, y_mm + 1.6), "press-line")
    yield Text((x_mm + 3.0, y_mm + 1.0), "one standard deviation", _TEXT_MM, "ink")
    x_mm += 36.0
    if has_silent:
        yield from _cross_at((x_mm + 1.0, y_mm), "press-line")
        yield Text((x_mm + 3.0, y_mm + 1.0), "silent", _TEXT_MM, "ink")
