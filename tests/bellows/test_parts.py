"""Parts and their templates: counts, shapes, layers, materials."""

import math
from dataclasses import fields, replace

import pytest
from tests.bellows.wanted import FIGURES, wanted

from reedwright.bellows import bellows_templates, design_bellows
from reedwright.bellows.model import BellowsDesign, Counts, PeakRuns, Slack
from reedwright.bellows.outlines import (
    card_outlines,
    end_run_outlines,
    frame_rail_outlines,
    gusset_outlines,
    paper_outlines,
    peak_strip_outlines,
)
from reedwright.bellows.summary import summary_lines
from reedwright.drawing.template import Layer, Outline, Template, area_mm2

SIX = design_bellows(wanted())


def template(design: BellowsDesign, word: str) -> Template:
    """Return the template whose title holds a word."""
    found = bellows_templates(design, FIGURES).templates
    return next(template for template in found if word in template.title)


def offsets_mm(inner: Outline, outer: Outline) -> list[float]:
    """Return how far each side of a trapezoid lies inside the same side of another, square."""
    found = []
    for side in range(4):
        (x1, y1), (x2, y2) = outer.points_mm[side], outer.points_mm[(side + 1) % 4]
        x, y = inner.points_mm[side]
        length = math.dist((x1, y1), (x2, y2))
        found.append(abs((x2 - x1) * (y - y1) - (y2 - y1) * (x - x1)) / length)
    return found


def test_counts_of_six_sides_and_folds() -> None:
    """Two cards and two hinges a side and fold, and one hinge more at the frames."""
    assert SIX.counts == Counts(
        cards=72, gussets=36, peak_strips=36, valley_strips=30, frame_strips=12,
        peak_hinges=36, valley_hinges=42, frame_rails=12, frames=2, papers=72,
    )  # fmt: skip


def test_runs_round_the_folds_are_one_a_fold_and_as_long_as_the_ring() -> None:
    """Six sides and the overlap; a mark at every corner."""
    design = design_bellows(wanted(peak_runs=PeakRuns.FOLD))
    assert design.counts.peak_strips == 6
    side_mm = 158.0 * math.tan(math.pi / 6)
    strip = template(design, "peak strip")
    assert strip.count == 6
    assert strip.width_mm == pytest.approx(6 * side_mm + 12.0)
    marks = [o for o in peak_strip_outlines(design) if o.layer is Layer.MARK]
    assert [mark.points_mm[0][0] for mark in marks] == pytest.approx(
        [6.0 + side * side_mm for side in range(7)]
    )
    single = [o for o in peak_strip_outlines(SIX) if o.layer is Layer.MARK]
    assert len(single) == 2


def test_a_single_fold_has_no_valley_strips_and_no_template_for_them() -> None:
    """Nothing is listed that is not needed."""
    design = design_bellows(wanted(folds=1))
    assert design.counts.valley_strips == 0
    titles = [template.title for template in bellows_templates(design, FIGURES).templates]
    assert not any("valley strip" in title for title in titles)
    assert not any(part.part == "valley_strip" for part in design.parts)


def test_the_lines_on_a_card_are_the_margins_of_its_leather() -> None:
    """6 mm from every edge, square to it; the paper reaches 1 mm further."""
    card, mark = card_outlines(SIX)
    assert offsets_mm(mark, card) == pytest.approx([6.0] * 4)
    (paper,) = paper_outlines(SIX)
    left, top = (5.0 * math.tan(math.radians(SIX.card_end_taper_deg)), 5.0)
    left += 5.0 / math.cos(math.radians(SIX.card_end_taper_deg))
    moved = Outline(Layer.CUT, tuple((x + left, y + top) for x, y in paper.points_mm))
    assert offsets_mm(moved, card) == pytest.approx([5.0] * 4)


@pytest.mark.parametrize("slack", Slack)
def test_a_gusset_is_glued_by_its_margin_square_to_each_card_end(slack: Slack) -> None:
    """Crease and edge are parallel, 6 mm apart, on all four sides; halves are mirror images."""
    design = design_bellows(wanted(slack=slack))
    edge, right, left, *_ = gusset_outlines(design)
    corners = {"right": (1, 2, 3), "left": (4, 5, 0)}
    for crease, places in ((right, corners["right"]), (left, corners["left"])):
        outer = [edge.points_mm[place] for place in places]
        for (x, y), (x1, y1), (x2, y2) in (
            (crease.points_mm[0], outer[0], outer[1]),
            (crease.points_mm[1], outer[0], outer[1]),
            (crease.points_mm[1], outer[1], outer[2]),
            (crease.points_mm[2], outer[1], outer[2]),
        ):
            square = abs((x2 - x1) * (y - y1) - (y2 - y1) * (x - x1)) / math.dist(
                (x1, y1), (x2, y2)
            )
            assert square == pytest.approx(6.0)
    wide = right.points_mm[1][0] - left.points_mm[1][0]
    assert wide == pytest.approx(design.gusset_peak_mm)
    assert right.points_mm[0][0] - left.points_mm[2][0] == pytest.approx(design.gusset_valley_mm)


def test_a_strip_over_a_peak_has_room_for_both_cards_between_its_creases() -> None:
    """Card and cloth twice; a margin outside each crease."""
    scores = [o for o in peak_strip_outlines(SIX) if o.layer is Layer.SCORE]
    levels = [score.points_mm[0][1] for score in scores]
    assert levels == pytest.approx([6.0, 8.4])
    assert template(SIX, "peak strip").height_mm == pytest.approx(14.4)


def test_an_end_run_reaches_on_to_the_frame_as_far_as_asked() -> None:
    """Wider by as much; its fold stays where the card is."""
    wide = design_bellows(wanted(end_run_on_frame_mm=27.0))
    assert template(wide, "end run").height_mm == pytest.approx(12.8 + 21.0)
    folds = [o.points_mm[0][1] for o in end_run_outlines(wide) if o.layer is Layer.FOLD]
    assert folds == pytest.approx([6.4])


def test_frame_rails_close_to_a_ring_flush_with_the_peaks() -> None:
    """Mitred at half the corner: six of them, outside 158 mm across flats."""
    (rail,) = frame_rail_outlines(SIX)
    outer = rail.points_mm[1][0] - rail.points_mm[0][0]
    assert outer / math.tan(math.pi / 6) == pytest.approx(158.0)
    inner = rail.points_mm[2][0] - rail.points_mm[3][0]
    assert inner / math.tan(math.pi / 6) == pytest.approx(158.0 - 2 * 6.0)


def test_templates_are_numbered_in_order_with_material_and_grain() -> None:
    """Thickness from the design, not from the catalogue; grain only where it matters."""
    design = design_bellows(wanted(card_mm=0.8))
    found = bellows_templates(design, FIGURES)
    assert [t.number for t in found.templates] == [f"B{n}" for n in range(1, 10)]
    card = found.templates[0]
    assert card.material == "bellows card, 0.8 mm"
    assert (card.grain_degrees, card.grain) == (0.0, "grain along the long edge")
    assert template(design, "gusset").grain_degrees is None
    assert template(design, "frame rail").material == "frame wood, 20 mm deep"
    assert "158 mm across flats, 25 mm deep, opens to 35°" in found.facts


def test_parts_and_templates_tell_the_same() -> None:
    """Counts, sizes and areas of every part."""
    for part, pattern in zip(SIX.parts, bellows_templates(SIX, FIGURES).templates, strict=True):
        assert part.count == pattern.count
        assert (part.length_mm, part.width_mm) == (pattern.width_mm, pattern.height_mm)
        assert part.area_all_cm2 == pytest.approx(part.count * area_mm2(pattern.edge) / 100.0)
    counted = {field.name: getattr(SIX.counts, field.name) for field in fields(Counts)}
    assert {part.count for part in SIX.parts} <= set(counted.values())


def test_the_summary_tells_card_gusset_air_and_whether_it_folds() -> None:
    """In numbers of the design, to 0.01 mm."""
    lines = dict(summary_lines(SIX))
    assert lines["card"].startswith(
        "84.92 mm at the peak, 61.31 at the valley, 25.00 deep; ends 64.72°"
    )
    assert lines["length"] == "23.4 mm closed, 172.6 open, stroke 149.2"
    assert lines["folds"].startswith("yes: cards keep 0.40 mm apart")
    broken = replace(SIX, folding=replace(SIX.folding, reasons=("it tears",)))
    assert dict(summary_lines(broken))["folds"] == "no: see below"
