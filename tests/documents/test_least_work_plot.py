"""The plot of the least work: curves, candidates and the best of all where their numbers are."""

import pytest

from reedwright.catalogue.tunings import read_tunings
from reedwright.documents.least_work_plot import least_work_plot
from reedwright.documents.styles import PAPER_STYLES
from reedwright.documents.svg import svg_of
from reedwright.drawing import Circle, Drawing, Line, Polyline, Text
from reedwright.errors import InputError
from reedwright.jobs.least_work import Goal, LeastWork, WorkCurve
from reedwright.jobs.work_estimate import WorkEstimate, WorkTimes

STANDARDS = read_tunings().pitch_standards


def estimate(title: str, a4_hz: float, hours: float, fifth_cents: float = 700.0) -> WorkEstimate:
    """Return an estimate of so many hours."""
    return WorkEstimate(title, a4_hz, "equal", fifth_cents, 60, 36, 20.0, hours, (), -30.0)


PITCHES = tuple(434.0 + step for step in range(24))
CURVES = (
    WorkCurve("equal", PITCHES, tuple(8.0 + 0.5 * abs(hz - 452.0) for hz in PITCHES), (3,) * 24),
    WorkCurve(
        "fifth-comma meantone, exact",
        PITCHES,
        tuple(7.0 + 0.6 * abs(hz - 451.0) for hz in PITCHES),
        tuple(max(0, 8 - step) for step in range(24)),
    ),
)
WORK = LeastWork(
    goal=Goal.HOURS,
    estimates=(estimate("a", 452.5, 8.25), estimate("b", 440.0, 14.0)),
    free_optimum=estimate("the least of all", 451.0, 6.8, 697.9),
    curves=CURVES,
    reeds=96,
    not_counted=(),
    times=WorkTimes(),
)


def drawn(work: LeastWork = WORK) -> Drawing:
    """Return the plot at 180 by 115 mm."""
    return least_work_plot(
        work, standards=STANDARDS, found_a4_hz=452.8, width_mm=180.0, height_mm=115.0
    )


def texts(drawing: Drawing) -> list[Text]:
    """Return the texts."""
    return [shape for shape in drawing.shapes if isinstance(shape, Text)]


def test_marks_stand_where_their_numbers_are() -> None:
    """Candidates and optimum lie on straight scales of pitch and hours, told by the ticks."""
    drawing = drawn()
    marks = [shape.centre_mm for shape in drawing.shapes if isinstance(shape, Circle)]
    assert len(marks) == 3
    pitches, hours = (452.5, 440.0, 451.0), (8.25, 14.0, 6.8)
    per_hz = (marks[0][0] - marks[1][0]) / (452.5 - 440.0)
    per_hour = (marks[0][1] - marks[1][1]) / (8.25 - 14.0)
    assert per_hz > 0.0 > per_hour
    for (x_mm, y_mm), hz, hour in zip(marks, pitches, hours, strict=True):
        assert x_mm == pytest.approx(marks[0][0] + per_hz * (hz - 452.5))
        assert y_mm == pytest.approx(marks[0][1] + per_hour * (hour - 8.25))
    tick = next(t for t in texts(drawing) if t.text == "440" and t.at_mm[1] > 60.0)
    assert tick.at_mm[0] == pytest.approx(marks[1][0])


def test_each_curve_is_drawn_in_both_fields_and_named() -> None:
    """Two curves: hours above, reeds past their limit below, a name for each."""
    drawing = drawn()
    curves = [s for s in drawing.shapes if isinstance(s, Polyline) and len(s.points_mm) == 24]
    assert len(curves) == 4
    assert len({curve.style for curve in curves}) == 2
    words = [text.text for text in texts(drawing)]
    assert {"equal", "fifth-comma meantone", "hours", "reeds past limit", "as found"} <= set(words)
    assert any(word.startswith("least of all: A4 451.0 Hz") for word in words)


def test_nothing_leaves_the_paper_and_every_style_exists() -> None:
    """All points lie on the sheet, and the SVG can be written."""
    drawing = drawn()
    for shape in drawing.shapes:
        points = (
            shape.points_mm if isinstance(shape, Polyline)
            else (shape.from_mm, shape.to_mm) if isinstance(shape, Line)
            else (shape.centre_mm,) if isinstance(shape, Circle)
            else (shape.at_mm,) if isinstance(shape, Text)
            else ()
        )  # fmt: skip
        assert points
        for x_mm, y_mm in points:
            assert 0.0 <= x_mm <= 180.0
            assert 0.0 <= y_mm <= 115.0
    assert "Work against pitch" in svg_of(drawing, styles=PAPER_STYLES)


def test_no_curve_is_refused() -> None:
    """Without a temperament to draw there is no plot."""
    empty = LeastWork(Goal.HOURS, WORK.estimates, WORK.free_optimum, (), 96, (), WorkTimes())
    with pytest.raises(InputError, match="at least one temperament"):
        drawn(empty)
