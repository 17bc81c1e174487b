"""The drawing of a reed: zone, cut, sensitivity and history where their numbers are."""

import math
from dataclasses import replace
from xml.etree import ElementTree as ET

import pytest

from reedwright.catalogue.tongues import load_filing_rules, load_metal, load_tongue_scale
from reedwright.documents.reed_drawing import reed_drawing
from reedwright.documents.styles import PAPER_STYLES
from reedwright.documents.svg import svg_of
from reedwright.drawing import Circle, Drawing, Line, Polygon, Polyline, Text
from reedwright.instrument.layout import Direction, Reed
from reedwright.instrument.note import SpelledNote
from reedwright.jobs.reed_picture import ReedPicture
from reedwright.reedwork import default_tongue, examine_tongue
from reedwright.reedwork.model import Zone
from reedwright.reedwork.response import zone_response
from reedwright.reedwork.scrapes import Advice, BenchReading, Scrape, VisitVerdict

REED = Reed("L2.3", Direction.PRESS)
TONGUE = default_tongue(load_tongue_scale(), load_metal("steel"), frequency_hz=587.33)
LENGTH = TONGUE.length_mm
LEFT, RIGHT, SIDE_BASE = 16.0, 178.0, 46.0


def scrape(before: float, after: float, predicted: float | None = 4.0) -> Scrape:
    """Return a scrape at the tip that was foretold with a doubt of 30 %."""
    return Scrape(
        reed=REED,
        frequency_hz=587.33,
        metal="steel",
        zone=Zone.TIP,
        tool="fine-file",
        strokes=17,
        cents_per_um=2.6,
        before=BenchReading(before, 0.1),
        after=BenchReading(after, 0.1),
        predicted_cents=predicted,
        predicted_doubt_cents=None if predicted is None else 0.3 * predicted,
    )


def picture(*scrapes: Scrape, zone: Zone = Zone.TIP) -> ReedPicture:
    """Return a reed of which 2 um came off and 3 are to come off at one end."""
    return ReedPicture(
        reed=REED,
        note=SpelledNote.parse("D5"),
        target_hz=587.33,
        tongue=TONGUE,
        modes=examine_tongue(TONGUE),
        advice=Advice(
            reed=REED,
            verdict=VisitVerdict.FILE,
            zone=zone,
            tool="fine-file",
            strokes=6,
            expected_cents=-2.0,
            doubt_cents=1.0,
            chance_within=0.3,
            chance_past=0.01,
            sentence="8.0 cents flat: 6 strokes of the fine file at the tip.",
        ),
        response=zone_response(TONGUE, zone, rules=load_filing_rules()),
        removed_um=2.0,
        to_remove_um=3.0,
        rate=None,
        scrapes=scrapes,
    )


def of_kind(drawing: Drawing, kind: type, style: str) -> list:  # type: ignore[type-arg]
    """Return the shapes of a kind and style, in order."""
    return [
        shape
        for shape in drawing.shapes
        if isinstance(shape, kind) and getattr(shape, "style", None) == style
    ]


def place(x_mm: float) -> float:
    """Return where a place of the tongue lies across the drawing."""
    return LEFT + (RIGHT - LEFT) * x_mm / LENGTH


@pytest.mark.parametrize("zone", list(Zone))
def test_the_zone_lies_where_the_response_has_it(zone: Zone) -> None:
    """Cut and shaded band stand over the zone, from the tip or from the root."""
    drawn = picture(zone=zone)
    assert drawn.response is not None
    ends = [drawn.response.zone_from_mm, drawn.response.zone_to_mm]
    if zone is Zone.TIP:
        ends = [LENGTH - ends[1], LENGTH - ends[0]]
    for band in of_kind(reed_drawing(drawn), Polygon, "tolerance-band"):
        across = [x for x, _ in band.points_mm]
        assert (min(across), max(across)) == pytest.approx((place(ends[0]), place(ends[1])))


def test_the_cut_is_in_proportion_to_what_came_and_comes_off() -> None:
    """Three micrometres below the surface to two above it, drawn by the same factor."""
    drawing = reed_drawing(picture())
    (band, _) = of_kind(drawing, Polygon, "tolerance-band")
    (before,) = of_kind(drawing, Polyline, "dashed-line")
    tip_x = place(LENGTH)
    heights = sorted({round(y, 6) for x, y in band.points_mm if abs(x - tip_x) < 1e-6})
    surface, below = heights
    above = min(y for x, y in before.points_mm if abs(x - tip_x) < 1e-6)
    assert (below - surface) / (surface - above) == pytest.approx(3.0 / 2.0, rel=1e-4)


def test_thickness_is_drawn_as_large_as_it_says() -> None:
    """The outline's heights at root and tip, over the thickness, give the factor in words."""
    drawing = reed_drawing(picture())
    outline = of_kind(drawing, Polygon, "outline")[0]
    (said,) = [s.text for s in drawing.shapes if isinstance(s, Text) and "drawn" in s.text]
    factor = float(said.split("thickness drawn ")[1].split(" times")[0])
    assert factor >= 10.0
    for station in (TONGUE.stations[0], TONGUE.stations[-1]):
        tops = [y for x, y in outline.points_mm if abs(x - place(station.x_mm)) < 1e-6]
        assert SIDE_BASE - min(tops) == pytest.approx(factor * station.thickness_mm)


def test_the_neutral_point_is_where_the_sensitivity_crosses_zero() -> None:
    """The open mark lies on the zero line, and the curve changes sides there."""
    drawing = reed_drawing(picture())
    neutral = of_kind(drawing, Circle, "draw-mark")[0]
    (curve,) = of_kind(drawing, Polyline, "press-line")
    x, y = neutral.centre_mm
    assert x == pytest.approx(place(examine_tongue(TONGUE).neutral_point_mm))
    nearest = min(curve.points_mm, key=lambda point: abs(point[0] - x))
    assert nearest[1] == pytest.approx(y, abs=0.6)
    assert curve.points_mm[0][1] > y > curve.points_mm[-1][1]


def test_shifts_foretold_and_found_stand_on_one_scale() -> None:
    """Found 6 and 3 where 4 was foretold: filled marks above and below the open ones."""
    drawing = reed_drawing(picture(scrape(-12.0, -6.0), scrape(-6.0, -3.0)))
    found = [mark.centre_mm[1] for mark in of_kind(drawing, Circle, "press-mark")]
    foretold = [mark.centre_mm[1] for mark in of_kind(drawing, Circle, "draw-mark")[1:]]
    per_cent = (found[1] - found[0]) / 3.0
    assert per_cent > 0.0
    assert foretold[0] == foretold[1] == pytest.approx(found[0] + 2.0 * per_cent)
    bars = of_kind(drawing, Line, "draw-line")
    spread = math.sqrt(math.log1p(0.09))
    middle = 4.0 * math.exp(-(spread**2) / 2.0)
    high = found[0] + (6.0 - middle * math.exp(1.96 * spread)) * per_cent
    assert bars[0].to_mm[1] == pytest.approx(high)


def test_what_was_not_foretold_has_no_open_mark() -> None:
    """A scrape logged without a prediction shows what was found alone."""
    drawing = reed_drawing(picture(scrape(-12.0, -6.0, None)))
    assert len(of_kind(drawing, Circle, "press-mark")) == 1
    assert len(of_kind(drawing, Circle, "draw-mark")) == 1  # the neutral point
    assert of_kind(drawing, Line, "draw-line") == []


def test_many_scrapes_are_numbered_and_the_last_are_shown() -> None:
    """Of thirty the last twenty-four stand there, numbered 7 to 30."""
    drawing = reed_drawing(picture(*[scrape(-12.0, -8.0)] * 30))
    assert len(of_kind(drawing, Circle, "press-mark")) == 24
    below = [
        shape.text
        for shape in drawing.shapes
        if isinstance(shape, Text) and shape.at_mm[1] == pytest.approx(180.4)
    ]
    assert below == [str(number) for number in range(7, 31)]


def test_a_reed_never_filed_says_so() -> None:
    """No zone, no cut, no history: the tongue, its sensitivity, and words."""
    bare = replace(picture(), response=None, removed_um=0.0, to_remove_um=0.0)
    drawing = reed_drawing(bare)
    assert of_kind(drawing, Polygon, "tolerance-band") == []
    words = [shape.text for shape in drawing.shapes if isinstance(shape, Text)]
    assert "No scrape logged yet." in words


def test_it_is_a_picture_with_known_styles_and_words() -> None:
    """Every style is one of paper, nothing leaves the sheet, the SVG tells what it shows."""
    drawing = reed_drawing(picture(scrape(-12.0, -6.0)))
    for shape in drawing.shapes:
        assert getattr(shape, "style", "ink") in PAPER_STYLES
        for x, y in getattr(shape, "points_mm", ()):
            assert 0.0 <= x <= drawing.width_mm
            assert 0.0 <= y <= drawing.height_mm
    root = ET.fromstring(svg_of(drawing))  # noqa: S314 - our own text
    assert root[0].text == "Reed L2.3 press, D5"
    assert "1 scrape logged" in (root[1].text or "")
