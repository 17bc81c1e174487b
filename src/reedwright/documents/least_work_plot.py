"""Hours of work and reeds past their limit, against the pitch chosen, for some temperaments."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from reedwright.drawing import Anchor, Circle, Drawing, Line, Polyline, Shape, Text, Weight
from reedwright.drawing.axes import Axis, even_ticks, widened
from reedwright.drawing.labels import Box, text_box
from reedwright.drawing.numbers import print_number
from reedwright.errors import InputError
from reedwright.jobs.least_work import LeastWork, WorkCurve
from reedwright.tuning.model import PitchStandard

__all__ = ["least_work_plot"]

#: Around the two fields: numbers of the scales left, names of the curves right, pitches above.
_LEFT_MM, _RIGHT_MM, _TOP_MM, _BOTTOM_MM = 12.0, 44.0, 15.0, 11.0
#: Between the upper field and the lower, and the lower one's share of the height.
_BETWEEN_MM, _LOWER_SHARE = 9.0, 0.24
_TEXT_MM, _SMALL_MM = 2.9, 2.6
#: Told apart without colour: solid, dashed, dotted, pale; more than these repeat.
_CURVE_STYLES = ("ink-line", "dashed-line", "doubt-ring", "draw-line", "line")
_MARK_MM = 0.75
_RING_MM = 1.9
#: The pitch as found and the pitches of standards stand over the field in so many rows.
_LABEL_ROWS = 3


@dataclass(frozen=True, slots=True)
class _Fields:
    """The two fields over one scale of pitch."""

    across: Axis
    hours: Axis
    past_limit: Axis


def least_work_plot(
    work: LeastWork,
    *,
    standards: Sequence[PitchStandard],
    found_a4_hz: float,
    width_mm: float,
    height_mm: float,
) -> Drawing:
    """Return the plot: above the hours, below the reeds past their limit.

    A dot is a candidate, the ring the best pitch and fifth of all; thin lines are the
    pitch standards, the dashed one is the pitch as found.

    Raises
    ------
    InputError
        If no curve was asked for.
    """
    if not work.curves:
        raise InputError("a plot needs at least one temperament to draw; name one")
    fields = _fields(work, width_mm, height_mm)
    shapes: list[Shape] = [
        *_ground(fields),
        *_pitches(fields, standards, found_a4_hz),
        *(shape for k, curve in enumerate(work.curves) for shape in _curve(fields, curve, k)),
        *_curve_names(fields, work.curves),
        *_candidates(fields, work),
        *_optimum(fields, work),
    ]
    best = work.free_optimum
    return Drawing(
        width_mm,
        height_mm,
        "Work against pitch",
        f"Hours and reeds past their limit for {len(work.curves)} temperaments; least at "
        f"A4 = {best.a4_hz or 0.0:.1f} Hz with fifths of {best.fifth_cents or 0.0:.1f} cents, "
        f"{best.hours:.1f} hours.",
        tuple(shapes),
    )


def _fields(work: LeastWork, width_mm: float, height_mm: float) -> _Fields:
    pitches = [hertz for curve in work.curves for hertz in curve.a4_hz]
    hours = [hour for curve in work.curves for hour in curve.hours]
    hours += [estimate.hours for estimate in work.estimates] + [work.free_optimum.hours]
    past = [count for curve in work.curves for count in curve.reeds_past_limit]
    inner = height_mm - _TOP_MM - _BETWEEN_MM - _BOTTOM_MM
    upper_end = _TOP_MM + (1.0 - _LOWER_SHARE) * inner
    low, high = widened(min(hours), max(hours), least=1.0, margin=0.12)
    return _Fields(
        across=Axis(min(pitches), max(pitches), _LEFT_MM, width_mm - _RIGHT_MM),
        hours=Axis(max(low, 0.0), high, upper_end, _TOP_MM),
        past_limit=Axis(
            0.0, max(4.0, 1.05 * max(past)), height_mm - _BOTTOM_MM, upper_end + _BETWEEN_MM
        ),
    )


def _ground(fields: _Fields) -> Iterable[Shape]:
    """Yield scales and frames of both fields."""
    across = fields.across
    for up, name, most in ((fields.hours, "hours", 7), (fields.past_limit, "reeds past limit", 4)):
        for tick in even_ticks(up.low, up.high, most):
            y_mm = up.place_mm(tick)
            yield Line((across.from_mm, y_mm), (across.to_mm, y_mm), "faint-line")
            decimals = 0 if float(tick).is_integer() else 1
            yield Text(
                (across.from_mm - 1.2, y_mm + 0.3 * _TEXT_MM),
                print_number(tick, decimals=decimals),
                _TEXT_MM,
                "quiet-ink",
                Anchor.END,
            )
        for y_mm in (up.from_mm, up.to_mm):
            yield Line((across.from_mm, y_mm), (across.to_mm, y_mm), "line")
        yield Text((0.0, up.to_mm - 1.6), name, _TEXT_MM, "quiet-ink")
    bottom = fields.past_limit.from_mm
    for tick in even_ticks(across.low, across.high, 9):
        x_mm = across.place_mm(tick)
        yield Line((x_mm, bottom), (x_mm, bottom + 1.2), "line")
        yield Text(
            (x_mm, bottom + 4.6),
            print_number(tick, decimals=0 if float(tick).is_integer() else 1),
            _TEXT_MM,
            "quiet-ink",
            Anchor.MIDDLE,
        )
    yield Text((across.to_mm, bottom + 9.0), "A4, Hz", _TEXT_MM, "quiet-ink", Anchor.END)


def _pitches(
    fields: _Fields, standards: Sequence[PitchStandard], found_a4_hz: float
) -> Iterable[Shape]:
    """Yield the pitch as found and the standards within the scale, with what finds room."""
    wanted = [(found_a4_hz, "as found", "dashed-line")]
    wanted += [(standard.a4_hz, f"{standard.a4_hz:g}", "faint-line") for standard in standards]
    taken: list[Box] = []
    for hertz, name, style in wanted:
        if not fields.across.low <= hertz <= fields.across.high:
            continue
        x_mm = fields.across.place_mm(hertz)
        for up in (fields.hours, fields.past_limit):
            yield Line((x_mm, up.from_mm), (x_mm, up.to_mm), style)
        for row in range(_LABEL_ROWS):
            y_mm = fields.hours.to_mm - 1.2 - 1.25 * _SMALL_MM * row
            text = Text((x_mm, y_mm), name, _SMALL_MM, "quiet-ink", Anchor.MIDDLE)
            box = text_box(replace(text, text=f"{name}  "))
            if not any(box.overlaps(other) for other in taken):
                taken.append(box)
                yield text
                break


def _curve(fields: _Fields, curve: WorkCurve, number: int) -> Iterable[Shape]:
    style = _CURVE_STYLES[number % len(_CURVE_STYLES)]
    for up, values in ((fields.hours, curve.hours), (fields.past_limit, curve.reeds_past_limit)):
        yield Polyline(
            tuple(
                (fields.across.place_mm(hertz), up.place_mm(value))
                for hertz, value in zip(curve.a4_hz, values, strict=True)
            ),
            style,
        )


def _curve_names(fields: _Fields, curves: Sequence[WorkCurve]) -> Iterable[Shape]:
    """Yield the names at the right ends of the curves, moved apart where they are close."""
    step = 1.35 * _SMALL_MM
    x_mm = fields.across.to_mm
    ends = sorted(
        (fields.hours.place_mm(curve.hours[-1]), number) for number, curve in enumerate(curves)
    )
    lowest = fields.hours.from_mm - step * (len(ends) - 1)
    y_mm = float("-inf")
    for place, (end_mm, number) in enumerate(ends):
        y_mm = max(y_mm + step, min(end_mm, lowest + step * place))
        style = _CURVE_STYLES[number % len(_CURVE_STYLES)]
        yield Polyline(((x_mm, end_mm), (x_mm + 2.0, y_mm), (x_mm + 8.0, y_mm)), style)
        name = curves[number].title.partition(",")[0]
        yield Text((x_mm + 9.0, y_mm + 0.3 * _SMALL_MM), name, _SMALL_MM, "ink")


def _candidates(fields: _Fields, work: LeastWork) -> Iterable[Shape]:
    for estimate in work.estimates:
        if estimate.a4_hz is None or not (
            fields.across.low <= estimate.a4_hz <= fields.across.high
        ):
            continue
        x_mm = fields.across.place_mm(estimate.a4_hz)
        yield Circle((x_mm, fields.hours.place_mm(estimate.hours)), _MARK_MM, "press-mark")


def _optimum(fields: _Fields, work: LeastWork) -> Iterable[Shape]:
    """Yield the ring about the best of all, and what it is, in the corner that is free."""
    best = work.free_optimum
    if best.a4_hz is None or best.fifth_cents is None:
        return
    x_mm, y_mm = fields.across.place_mm(best.a4_hz), fields.hours.place_mm(best.hours)
    yield Circle((x_mm, y_mm), _MARK_MM, "press-mark")
    yield Polyline(_ring(x_mm, y_mm), "ink-line")
    said = (
        f"least of all: A4 {best.a4_hz:.1f} Hz, fifths {best.fifth_cents:.1f} cents, "
        f"{best.hours:.1f} h, {best.reeds_to_touch} reeds"
    )
    is_right = x_mm > 0.5 * (fields.across.from_mm + fields.across.to_mm)
    text = Text(
        (x_mm + (-3.0 if is_right else 3.0), y_mm + 1.5 + _SMALL_MM),
        said,
        _SMALL_MM,
        "ink",
        Anchor.END if is_right else Anchor.START,
        Weight.SEMIBOLD,
    )
    yield text


def _ring(x_mm: float, y_mm: float) -> tuple[tuple[float, float], ...]:
    """Return a diamond about a point: a ring that is no curve's mark."""
    return (
        (x_mm - _RING_MM, y_mm),
        (x_mm, y_mm - _RING_MM),
        (x_mm + _RING_MM, y_mm),
        (x_mm, y_mm + _RING_MM),
        (x_mm - _RING_MM, y_mm),
    )
