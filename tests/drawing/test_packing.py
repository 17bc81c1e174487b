"""Equal parts on sheets, against shapely: inside the sheet, no nearer than the gap."""

import math

import pytest
from shapely import STRtree
from shapely.geometry import Polygon, box
from tests.bellows.wanted import FIGURES, wanted
from tests.drawing.shapes_for_templates import disc, part, rectangle, trapezoid

from reedwright.bellows import bellows_templates, design_bellows
from reedwright.bellows.model import Slack
from reedwright.drawing.packing import PackedSheets, pack_equal, row_step_mm
from reedwright.drawing.sheets import placed_outlines
from reedwright.drawing.template import Layer, Outline, Round, Template
from reedwright.errors import InputError


def packed(
    template: Template, *, wide: float = 297.0, high: float = 420.0, gap: float = 2.0
) -> PackedSheets:
    """Return a template on A3 sheets with an edge of 7 mm, grain along the longer side."""
    return pack_equal(
        template, width_mm=wide, height_mm=high, edge_mm=7.0, gap_mm=gap,
        grain_along_width=wide > high,
    )  # fmt: skip


def polygons(sheets: PackedSheets) -> list[Polygon]:
    """Return the pieces of a full sheet."""
    found = []
    for placed in sheets.pieces:
        edge = placed_outlines(placed)[0]
        if isinstance(edge, Round):
            # Chords would lie inside: a square round it is nearer to its neighbours.
            x, y, r = *edge.centre_mm, edge.radius_mm
            found.append(box(x - r, y - r, x + r, y + r))
        else:
            found.append(Polygon(edge.points_mm))
    return found


def least_gap_mm(pieces: list[Polygon]) -> float:
    """Return the least distance between any two pieces."""
    tree, least = STRtree(pieces), math.inf
    for number, piece in enumerate(pieces):
        near = tree.query(piece.buffer(10.0))
        least = min([least, *(piece.distance(pieces[other]) for other in near if other != number)])
    return least


DESIGNS = [
    bellows_templates(design_bellows(wanted(sides=sides, folds=folds, slack=slack)), FIGURES)
    for sides, folds, slack in ((6, 6, Slack.PEAK), (4, 5, Slack.VALLEY))
]
SHAPES = [template for design in DESIGNS for template in design.templates] + [
    trapezoid(40.0, 0.5, 30.0, count=20),
    disc(6.5, count=50),
    part(Outline(Layer.CUT, ((0.0, 0.0), (30.0, 0.0), (50.0, 20.0), (0.0, 20.0))), count=9),
    part(Outline(Layer.CUT, ((0.0, 0.0), (30.0, 0.0), (50.0, 20.0), (20.0, 20.0))), count=9),
]


@pytest.mark.parametrize("template", SHAPES, ids=lambda t: f"{t.number}-{t.width_mm:.0f}")
@pytest.mark.parametrize("gap", [2.0, 0.0])
def test_pieces_lie_inside_and_apart(template: Template, gap: float) -> None:
    """Inside the edges, no nearer than the gap (to 1e-6 mm), and every piece has a place."""
    sheets = packed(template, gap=gap)
    pieces = polygons(sheets)
    room = box(7.0, 7.0, 290.0, 413.0).buffer(1e-6)
    assert all(room.contains(piece) for piece in pieces)
    assert least_gap_mm(pieces) >= gap - 1e-6
    overlap = sum(piece.area for piece in pieces) - sum_of_union(pieces)
    assert overlap == pytest.approx(0.0, abs=1e-6 * len(pieces))
    total = sum(len(sheets.on_sheet(number)) for number in range(1, sheets.sheets + 1))
    assert total == template.count


def sum_of_union(pieces: list[Polygon]) -> float:
    """Return the area that pieces cover together, row by row to keep it quick."""
    tree, covered = STRtree(pieces), 0.0
    for number, piece in enumerate(pieces):
        doubled = sum(
            piece.intersection(pieces[other]).area for other in tree.query(piece) if other > number
        )
        covered += piece.area - doubled
    return covered


@pytest.mark.parametrize(
    ("sides", "folds", "wide", "high", "each", "sheets", "use"),
    [
        (6, 6, 297.0, 420.0, 50, 2, 0.53),
        (8, 7, 297.0, 420.0, 75, 2, 0.59),
        (6, 6, 210.0, 297.0, 21, 4, 0.53),
        (8, 7, 210.0, 297.0, 35, 4, 0.59),
    ],
)
def test_cards_on_a3_and_a4(
    sides: int, folds: int, wide: float, high: float, each: int, sheets: int, use: float
) -> None:
    """As worked out before the program was written: rows of alternating trapezoids."""
    design = design_bellows(wanted(sides=sides, folds=folds))
    card = bellows_templates(design, FIGURES).templates[0]
    free = Template(
        number=card.number, title=card.title, material=card.material, count=card.count,
        outlines=card.outlines,
    )  # fmt: skip
    found = packed(free, wide=wide, high=high)
    assert len(found.pieces) == each
    assert found.sheets == sheets
    assert found.utilisation == pytest.approx(use, abs=0.005)


def test_the_step_of_trapezoids_is_the_mean_edge_and_the_gap_along_it() -> None:
    """(L + l) / 2 + gap / cos(taper)."""
    taper = math.atan(12.0 / 25.0)
    step = row_step_mm(trapezoid(85.0, 61.0, 25.0), 2.0)
    assert step == pytest.approx(73.0 + 2.0 / math.cos(taper), abs=1e-8)


def test_grain_lies_along_the_sheet() -> None:
    """A part with a grain is turned only as the grain allows, a part without as is better."""
    along = packed(rectangle(280.0, 40.0, count=10, grain=0.0), wide=420.0, high=297.0)
    assert {placed.turned_degrees % 180.0 for placed in along.pieces} == {0.0}
    upright = packed(rectangle(280.0, 40.0, count=10, grain=0.0))
    assert {placed.turned_degrees % 180.0 for placed in upright.pieces} == {90.0}
    with pytest.raises(InputError, match="with its grain along the sheet's; take a larger sheet"):
        packed(rectangle(280.0, 300.0, grain=90.0), wide=300.0, high=310.0)


def test_a_part_larger_than_the_sheet_is_refused() -> None:
    """With both sizes."""
    with pytest.raises(InputError, match=r"part of 500\.0 by 5\.0 mm does not fit 297 by 420 mm"):
        packed(rectangle(500.0, 5.0))
