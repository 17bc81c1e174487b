"""The graph of both directions and the histogram: marks stand where the numbers are."""

from dataclasses import replace

import pytest
from tests.printed import invented

from reedwright.catalogue import load_layout
from reedwright.documents.offset_graph import offset_graph
from reedwright.documents.offset_histogram import offset_histogram
from reedwright.documents.report import report_drawings
from reedwright.documents.styles import PAPER_STYLES
from reedwright.drawing import Circle, Drawing, Group, Line, Polygon, Shape, Text
from reedwright.instrument.layout import Direction
from reedwright.instrument.target import ReedOffset
from reedwright.tuning.model import OverallPitch

TREBLE = load_layout("english-treble-48")
OFFSETS = invented.invented_offsets(TREBLE, silent=TREBLE.reeds()[7:9])


def graph(offsets: tuple[ReedOffset, ...], overall: OverallPitch | None = None) -> Drawing:
    """Return a graph of 180 by 100 mm."""
    return offset_graph(
        offsets,
        tolerance_cents=2.0,
        overall=overall,
        target_a4_hz=440.0,
        width_mm=180.0,
        height_mm=100.0,
    )


def scale(drawing: Drawing) -> tuple[float, float]:
    """Return where 0 cents lies and how many millimetres a cent takes, from the scale's texts."""
    ticks = {
        float(shape.text.replace("−", "-")): shape.at_mm[1]
        for shape in drawing.shapes
        if isinstance(shape, Text) and shape.style == "quiet-ink" and shape.text[-1].isdigit()
        and shape.text[0] in "+−0" and "±" not in shape.text
    }  # fmt: skip
    low, high = min(ticks), max(ticks)
    per_cent = (ticks[low] - ticks[high]) / (high - low)
    # The texts stand a third of their size below their line.
    return ticks[0.0] - 0.3 * 2.9, per_cent


def marks(drawing: Drawing, style: str) -> list[Shape]:
    """Return the marks of one direction, without the legend's."""
    return [
        shape
        for shape in drawing.shapes
        if isinstance(shape, (Circle, Polygon)) and shape.style == style and middle(shape)[1] > 8.0
    ]


def middle(shape: Shape) -> tuple[float, float]:
    """Return the middle of a mark."""
    if isinstance(shape, Circle):
        return shape.centre_mm
    assert isinstance(shape, Polygon)
    xs, ys = zip(*shape.points_mm, strict=True)
    return (min(xs) + max(xs)) / 2.0, (min(ys) + max(ys)) / 2.0


def test_every_heard_reed_has_a_mark_at_its_offset() -> None:
    """Heights read back through the printed scale are the offsets, direction by direction."""
    drawing = graph(OFFSETS)
    zero, per_cent = scale(drawing)
    for direction, style in ((Direction.PRESS, "press-mark"), (Direction.DRAW, "draw-mark")):
        read = sorted((zero - middle(mark)[1]) / per_cent for mark in marks(drawing, style))
        given = sorted(
            offset.offset_cents
            for offset in OFFSETS
            if offset.target.direction is direction and offset.offset_cents is not None
        )
        assert read == pytest.approx(given, abs=0.02)


def test_marks_rise_with_pitch_and_press_stands_left_of_draw() -> None:
    """From left to right the notes rise; of a key, press and draw stand side by side."""
    drawing = graph(OFFSETS)
    press = sorted(middle(mark)[0] for mark in marks(drawing, "press-mark"))
    semitones = sorted(
        offset.target.note.semitone
        for offset in OFFSETS
        if offset.target.direction is Direction.PRESS and offset.offset_cents is not None
    )
    per_semitone = (press[-1] - press[0]) / (semitones[-1] - semitones[0])
    assert press == pytest.approx([press[0] + (s - semitones[0]) * per_semitone for s in semitones])
    draw = sorted(middle(mark)[0] for mark in marks(drawing, "draw-mark"))
    assert draw[0] - press[0] == pytest.approx(0.4 * per_semitone)


def test_bars_are_one_standard_deviation() -> None:
    """Their length through the scale is twice the doubt."""
    offset = replace(OFFSETS[0], doubt_cents=1.5)
    drawing = graph((offset,))
    _, per_cent = scale(drawing)
    bars = [
        shape.to_mm[1] - shape.from_mm[1]
        for shape in drawing.shapes
        if isinstance(shape, Line) and shape.style == "press-line" and shape.from_mm[1] > 8.0
    ]
    assert bars == pytest.approx([-2 * 1.5 * per_cent], rel=1e-3)


def test_silent_reeds_are_crossed_below() -> None:
    """Two reeds not heard: two crosses of two strokes under the field, and a word for them."""
    drawing = graph(OFFSETS)
    strokes = [
        shape
        for shape in drawing.shapes
        if isinstance(shape, Line) and shape.style.endswith("-line") and shape.from_mm[1] > 88.5
        and shape.style in ("press-line", "draw-line")
    ]  # fmt: skip
    assert len(strokes) == 4
    assert "silent" in [shape.text for shape in drawing.shapes if isinstance(shape, Text)]


@pytest.mark.parametrize("a4_hz", [452.5, 440.1, 439.5, 430.0])
def test_the_whole_instrument_has_its_line_and_doubt(a4_hz: float) -> None:
    """The dashed line lies at its cents; its words never cover the word target."""
    drawing = graph(OFFSETS, OverallPitch(a4_hz, 0.4, 3.0, 90))
    zero, per_cent = scale(drawing)
    (line,) = (s for s in drawing.shapes if isinstance(s, Line) and s.style == "dashed-line")
    cents = {452.5: 48.5, 440.1: 0.393, 439.5: -1.968, 430.0: -39.8}[a4_hz]
    assert (zero - line.from_mm[1]) / per_cent == pytest.approx(cents, abs=0.06)
    texts = [shape for shape in drawing.shapes if isinstance(shape, Text)]
    target = next(text for text in texts if text.text == "target")
    words = next(text for text in texts if text.text == "whole instrument")
    below = next(text for text in texts if "± 0.4" in text.text)
    assert not words.at_mm[1] - 2.2 < target.at_mm[1] < words.at_mm[1] + 2.2
    assert not below.at_mm[1] - 2.2 < target.at_mm[1] < below.at_mm[1] + 2.2


@pytest.mark.parametrize("offsets", [(), OFFSETS[:1], OFFSETS[7:8]])
def test_a_graph_of_nearly_nothing_is_still_a_graph(offsets: tuple[ReedOffset, ...]) -> None:
    """No reed, one reed, one silent reed."""
    drawing = graph(offsets)
    heard = [offset for offset in offsets if offset.offset_cents is not None]
    assert len(marks(drawing, "press-mark")) + len(marks(drawing, "draw-mark")) == len(heard)


def test_the_histogram_counts_every_heard_reed_once() -> None:
    """The areas of the bars are the counts; no reed is lost at an edge."""
    on_edges = tuple(
        replace(offset, offset_cents=float(place % 9 - 4)) for place, offset in enumerate(OFFSETS)
    )
    for offsets in (on_edges, OFFSETS):
        drawing = offset_histogram(offsets, width_mm=84.0, height_mm=52.0)
        up = {
            float(shape.text): shape.at_mm[1]
            for shape in drawing.shapes
            if isinstance(shape, Text) and shape.text.isdigit() and shape.at_mm[0] < 8.0
        }
        per_reed = (up[0.0] - max(up.items())[1]) / max(up)
        bars = [
            shape
            for shape in drawing.shapes
            if isinstance(shape, Polygon) and shape.points_mm[0][1] > 5.0
        ]
        heights = [bar.points_mm[2][1] - bar.points_mm[0][1] for bar in bars]
        heard = [offset for offset in offsets if offset.offset_cents is not None]
        assert sum(heights) / per_reed == pytest.approx(len(heard))


def test_a_histogram_of_far_and_wide_offsets_has_wider_bars() -> None:
    """An instrument half a semitone off still has few bars."""
    far = tuple(
        replace(offset, offset_cents=offset.offset_cents * 6.0)
        for offset in OFFSETS
        if offset.offset_cents is not None
    )
    drawing = offset_histogram(far, width_mm=84.0, height_mm=52.0)
    texts = [shape.text for shape in drawing.shapes if isinstance(shape, Text)]
    assert "bars of 10 cents" in texts


def test_the_report_gives_its_pictures_by_name() -> None:
    """For the SVG files; every shape in a known style."""
    drawings = report_drawings(invented.report(TREBLE))
    assert sorted(drawings) == ["graph", "histogram", "map"]
    for drawing in drawings.values():
        for shape in drawing.shapes:
            assert isinstance(shape, Group) or shape.style in PAPER_STYLES
