"""The picture of a bellows and the plot of folds compared: what they show, and true to what."""

import math
from collections import Counter

import pytest
from tests.bellows.wanted import FIGURES, wanted
from tests.printed.reading import MM, covering_words, outside_mm, pages_of, words

from reedwright.bellows import compare_folds, design_bellows, folded_surface, ring_of
from reedwright.bellows.model import Slack
from reedwright.documents.bellows_comparison import comparison_plot
from reedwright.documents.bellows_picture import BELLOWS_VIEW, bellows_faces, bellows_picture
from reedwright.documents.drawn_pages import drawn_pages_pdf, with_margin
from reedwright.documents.svg import svg_of
from reedwright.drawing import Group, Line, Polygon
from reedwright.errors import InputError, ModelError

DESIGN = design_bellows(wanted(opening_deg=45.0))


def drawn(opening_deg: float) -> Group:
    """Return the drawn bellows alone."""
    picture = bellows_picture(DESIGN, opening_deg=opening_deg, width_mm=180.0, most_height_mm=200.0)
    group = picture.shapes[0]
    assert isinstance(group, Group)
    return group


def test_every_card_gusset_and_rail_is_a_face() -> None:
    """72 cards, 72 half gussets, four faces of twelve rails."""
    kinds = Counter(face.outside for face in bellows_faces(DESIGN, opening_deg=30.0))
    assert kinds == {"bellows-card": 72, "bellows-gusset": 72, "bellows-frame": 48}


@pytest.mark.parametrize("opening_deg", [10.0, 45.0])
def test_faces_turn_their_outside_outwards(opening_deg: float) -> None:
    """Seen from far out along the middle of a side, its cards show their outside."""
    faces = bellows_faces(DESIGN, opening_deg=opening_deg)[:72:6]
    for face in faces:
        a, b, c = face.corners_mm[:3]
        u = [q - p for p, q in zip(a, b, strict=True)]
        v = [q - p for p, q in zip(b, c, strict=True)]
        outwards = u[1] * v[2] - u[2] * v[1]
        assert outwards > 0.0


def test_all_lines_are_edges_seen_from_the_view() -> None:
    """The longest line drawn is no longer than the longest edge, at the picture's scale."""
    group = drawn(30.0)
    right, up, _ = BELLOWS_VIEW.axes()
    corners = [
        corner for face in bellows_faces(DESIGN, opening_deg=30.0) for corner in face.corners_mm
    ]
    across = [sum(a * b for a, b in zip(corner, right, strict=True)) for corner in corners]
    upwards = [sum(a * b for a, b in zip(corner, up, strict=True)) for corner in corners]
    points = [p for shape in group.shapes if isinstance(shape, Polygon) for p in shape.points_mm]
    wide = max(x for x, _ in points) - min(x for x, _ in points)
    high = max(y for _, y in points) - min(y for _, y in points)
    # One scale both ways: nothing is stretched.
    assert wide / (max(across) - min(across)) == pytest.approx(
        high / (max(upwards) - min(upwards)), rel=1e-9
    )
    assert any(isinstance(shape, Line) for shape in group.shapes)


def test_picture_keeps_to_its_room_and_says_what_it_shows() -> None:
    """Wide ones by width, high ones by height; opening and length are told."""
    for opening_deg, room in ((DESIGN.closed_tilt_deg, 120.0), (45.0, 200.0)):
        picture = bellows_picture(
            DESIGN, opening_deg=opening_deg, width_mm=150.0, most_height_mm=room
        )
        assert picture.width_mm == 150.0
        assert picture.height_mm <= room + 1e-9
        length = (
            1e3 * math.sin(math.radians(opening_deg)) * 12.0 * ring_of(DESIGN.wanted).hinge_width
        )
        assert f"{length:.1f} mm from frame to frame" in picture.description


def test_more_open_is_longer() -> None:
    """The ends stand as far apart as the bellows is long."""
    for opening_deg in (10.0, 45.0):
        surface = folded_surface(ring_of(DESIGN.wanted), math.radians(opening_deg))
        heights = [
            z for f in bellows_faces(DESIGN, opening_deg=opening_deg) for *_, z in f.corners_mm
        ]
        assert max(heights) - min(heights) == pytest.approx(surface.ends[1, 0, 2] + 24.0)


@pytest.mark.parametrize("slack", Slack)
def test_a_picture_goes_on_paper_and_screen(slack: Slack) -> None:
    """As SVG, and on a page that another library reads, nothing cut off."""
    design = design_bellows(wanted(sides=8, folds=3, slack=slack))
    picture = bellows_picture(design, opening_deg=35.0, width_mm=150.0, most_height_mm=200.0)
    assert svg_of(picture).count("<polygon") > 8 * 2 * 3 * 2
    page = with_margin(picture, 12.0)
    with pages_of(drawn_pages_pdf(picture.title, [page])) as (read,):
        assert read.width / MM == pytest.approx(174.0, abs=0.01)
        assert "Cards at 35.0°" in words(read)
        assert outside_mm(read, 10.0) == []


def test_openings_that_cannot_be_drawn_are_refused() -> None:
    """Less than shut, more than the corners give, no room."""
    with pytest.raises(ModelError, match=r"from 4\.46 degrees, shut"):
        drawn(2.0)
    with pytest.raises(ModelError, match=r"as far as its corners give, 45\.0 degrees, got 50"):
        drawn(50.0)
    with pytest.raises(InputError, match="40 mm wide or more and 32 high, got 30 by 200 mm"):
        bellows_picture(DESIGN, opening_deg=30.0, width_mm=30.0, most_height_mm=200.0)


def bars(group: Group) -> list[float]:
    """Return the lengths of the bars of a panel."""
    return [
        max(x for x, _ in shape.points_mm) - min(x for x, _ in shape.points_mm)
        for shape in group.shapes
        if isinstance(shape, Polygon)
    ]


ROWS = compare_folds(wanted(opening_deg=45.0), (5, 6, 7), FIGURES)


def test_bars_are_as_long_as_their_values() -> None:
    """In every panel, in proportion; hours from low to high."""
    plot = comparison_plot(ROWS, playing="a chord")
    panels = {shape.name: shape for shape in plot.shapes if isinstance(shape, Group)}
    values = {
        "stroke, mm": [row.stroke_mm for row in ROWS],
        "air a stroke, L": [row.air_per_stroke_l for row in ROWS],
        "seconds a stroke": [row.seconds_per_stroke for row in ROWS],
        "closed length, mm": [row.closed_length_mm for row in ROWS],
        "cards": [float(row.cards) for row in ROWS],
        "hours": [row.hours_high - row.hours_low for row in ROWS],
    }
    assert set(panels) == set(values)
    for name, told in values.items():
        lengths = bars(panels[name])
        assert [length / lengths[0] for length in lengths] == pytest.approx(
            [value / told[0] for value in told]
        )


def test_the_plot_reads_well_on_paper() -> None:
    """Every value written, no word over another."""
    page = with_margin(comparison_plot(ROWS, playing="a chord of 3 notes"), 12.0)
    with pages_of(drawn_pages_pdf("folds", [page])) as (read,):
        text = words(read)
        assert covering_words(read) == []
    for row in ROWS:
        assert f"{row.folds} folds" in text
        assert f"{row.air_per_stroke_l:.2f}" in text
    assert "Seconds: a chord of 3 notes." in text


def test_nothing_to_compare_is_refused() -> None:
    """In the table and in the plot."""
    with pytest.raises(InputError, match="needs numbers of folds to compare, got none"):
        comparison_plot((), playing="")
    with pytest.raises(InputError, match="needs numbers of folds, got none; give some, such as"):
        compare_folds(wanted(), (), FIGURES)
