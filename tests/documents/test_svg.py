"""Drawings as SVG: millimetres, words for those who cannot see, nothing from outside."""

from xml.etree import ElementTree as ET

import pytest

from reedwright.documents.styles import PAPER_STYLES, Style, contrast_ratio, style_of
from reedwright.documents.svg import svg_of
from reedwright.drawing import (
    Anchor,
    Circle,
    Drawing,
    Group,
    Hatch,
    Line,
    Polygon,
    Polyline,
    Sector,
    Shape,
    Text,
    Weight,
)
from reedwright.errors import NotFound

SVG = "{http://www.w3.org/2000/svg}"


def parsed(*shapes: Shape, id_prefix: str = "") -> ET.Element:
    """Return the SVG of a drawing of 100 by 50 mm, read back."""
    drawing = Drawing(100.0, 50.0, "Title & more", "What <it> shows", shapes)
    return ET.fromstring(svg_of(drawing, id_prefix=id_prefix))  # noqa: S314 -- our own text


def test_one_unit_is_one_millimetre() -> None:
    """Width and height are in millimetres and the view box has the same numbers."""
    root = parsed()
    assert root.attrib["width"] == "100mm"
    assert root.attrib["height"] == "50mm"
    assert root.attrib["viewBox"] == "0 0 100 50"


def test_the_picture_says_what_it_is() -> None:
    """Title and description are there, escaped, and tied to the picture."""
    root = parsed(id_prefix="left-")
    assert root.attrib["role"] == "img"
    assert root.attrib["aria-labelledby"] == "left-title left-desc"
    title, description = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None
    assert description is not None
    assert (title.text, title.attrib["id"]) == ("Title & more", "left-title")
    assert description.text == "What <it> shows"


def test_nothing_is_loaded_from_elsewhere() -> None:
    """No link, script, image or style sheet, and no address but the namespace."""
    shapes: list[Shape] = [
        Text((1.0, 1.0), "x", 3.0, "ink"),
        Hatch(Circle((5.0, 5.0), 2.0, "unheard"), 45.0, 1.0, "unheard-hatch"),
    ]
    text = svg_of(Drawing(10.0, 10.0, "t", "d", tuple(shapes)))
    assert text.count("http") == 1
    assert not any(word in text for word in ("href", "<script", "<image", "<style", "url("))


def test_shapes_lie_where_they_are_drawn() -> None:
    """Coordinates arrive unchanged, to a tenth of a micrometre."""
    root = parsed(
        Line((1.0, 2.0), (3.00004, 4.5), "line"),
        Polyline(((0.0, 0.0), (1.0, 1.0), (2.0, 0.0)), "line"),
        Polygon(((0.0, 0.0), (1.0, 1.0), (-2.0, 0.00001)), "outline"),
        Circle((5.0, 6.0), 7.0, "outline"),
    )
    line, polyline, polygon, circle = root[2:]
    assert [line.attrib[name] for name in ("x1", "y1", "x2", "y2")] == ["1", "2", "3", "4.5"]
    assert polyline.attrib["points"] == "0,0 1,1 2,0"
    assert polyline.attrib["fill"] == "none"
    assert polygon.attrib["points"] == "0,0 1,1 -2,0"
    assert [circle.attrib[name] for name in ("cx", "cy", "r")] == ["5", "6", "7"]


def test_a_half_disc_runs_clockwise_on_its_own_side() -> None:
    """The press half goes from below round the left to above; a rim alone stays open."""
    half = Sector((10.0, 10.0), 4.0, 90.0, 270.0, "in-tune")
    rim = Sector((10.0, 10.0), 4.0, 270.0, 90.0, "work-rim", is_arc_only=True)
    slice_of_more = Sector((10.0, 10.0), 4.0, 0.0, 270.0, "in-tune")
    first, second, third = parsed(half, rim, slice_of_more)[2:]
    assert first.attrib["d"] == "M10 14 A4 4 0 0 1 10 6 L10 10 Z"
    assert second.attrib["d"] == "M10 6 A4 4 0 0 1 10 14"
    assert second.attrib["fill"] == "none"
    assert third.attrib["d"] == "M14 10 A4 4 0 1 1 10 6 L10 10 Z"


def test_text_keeps_its_letters_weight_and_turn() -> None:
    """Sharps, flats and the true minus pass; markup in a name stays text."""
    (text,) = parsed(
        Text((3.0, 4.0), "E♭5 <b> −2", 2.9, "ink", Anchor.MIDDLE, Weight.SEMIBOLD, 30.0)
    )[2:]
    assert text.text == "E♭5 <b> −2"
    assert text.attrib["font-weight"] == "600"
    assert text.attrib["text-anchor"] == "middle"
    assert text.attrib["transform"] == "rotate(30 3 4)"


def test_a_group_is_found_by_its_name_and_moved_whole() -> None:
    """The web page will tie buttons to keys by this name."""
    (group,) = parsed(Group("L2.3", "D5 & so on", (Circle((0, 0), 1, "rim"),), (5.0, 6.0)))[2:]
    assert group.attrib == {"data-name": "L2.3", "transform": "translate(5 6)"}
    assert [child.tag for child in group] == [f"{SVG}title", f"{SVG}circle"]


def test_an_unknown_style_is_refused_by_name() -> None:
    """A shape is never drawn in a guessed look."""
    with pytest.raises(NotFound, match="no style is called 'gold'"):
        parsed(Circle((0.0, 0.0), 1.0, "gold"))


@pytest.mark.parametrize(
    "shade", [f"{way}-{step}" for way in ("flat", "sharp") for step in (1, 2, 3, 4)] + ["in-tune"]
)
def test_numbers_can_be_read_on_every_shade(shade: str) -> None:
    """Contrast of at least 4.5 : 1 between a shade and the ink used on it (WCAG 2.2, 1.4.3)."""
    ink = "white-ink" if shade.endswith("4") else "ink"
    fill, text = style_of(shade, PAPER_STYLES).fill, style_of(ink, PAPER_STYLES).fill
    assert fill is not None
    assert text is not None
    assert contrast_ratio(fill, text) >= 4.5


@pytest.mark.parametrize("ink", ["ink", "quiet-ink"])
def test_words_can_be_read_on_paper(ink: str) -> None:
    """The same on white, quiet words too."""
    fill = style_of(ink, PAPER_STYLES).fill
    assert fill is not None
    assert contrast_ratio(fill, "#ffffff") >= 4.5


def test_contrast_is_that_of_the_guidelines() -> None:
    """Black on white is 21 : 1; #777777 on white is the guidelines' known near miss, 4.48."""
    assert contrast_ratio("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast_ratio("#ffffff", "#777777") == pytest.approx(4.48, abs=0.005)


def test_other_tables_of_styles_can_be_used() -> None:
    """A screen draws the same drawing in its own look."""
    drawing = Drawing(1.0, 1.0, "t", "d", (Circle((0.0, 0.0), 1.0, "mine"),))
    assert 'fill="#123456"' in svg_of(drawing, styles={"mine": Style(fill="#123456")})
