"""The flat shape of every part, drawn where its own corner is the origin.

x runs along the long edge of a card, along the peak line of a strip, and across the corner
of a gusset. Layers: ``score`` is creased before gluing, ``fold`` folds in play, ``mark`` is
where the edge of another part comes to lie.
"""

import math
from collections.abc import Sequence

from reedwright.bellows.model import BellowsDesign, PeakRuns
from reedwright.drawing.model import Point
from reedwright.drawing.template import Layer, Outline

__all__ = [
    "card_outlines",
    "end_run_outlines",
    "frame_rail_outlines",
    "gusset_outlines",
    "paper_outlines",
    "peak_hinge_outlines",
    "peak_strip_outlines",
    "valley_hinge_outlines",
    "valley_strip_outlines",
]

Outlines = tuple[Outline, ...]


def card_outlines(design: BellowsDesign) -> Outlines:
    """Return the card, peak edge up, with lines where the leather will end."""
    long_mm, short_mm = design.card_long_edge_mm, design.card_short_edge_mm
    depth_mm = design.wanted.depth_mm
    card = _trapezoid(long_mm, short_mm, 0.0, depth_mm, long_mm / 2.0)
    return Outline(Layer.CUT, card), *(
        Outline(Layer.MARK, points) for points in _bare_card(design, under_mm=0.0)
    )


def paper_outlines(design: BellowsDesign) -> Outlines:
    """Return the paper of a card's face; none where the leather leaves no room for it."""
    under_mm = design.wanted.allowances.paper_under_leather_mm
    papers = _bare_card(design, under_mm=under_mm)
    return tuple(Outline(Layer.CUT, _from_corner(points)) for points in papers)


def gusset_outlines(design: BellowsDesign) -> Outlines:
    """Return a whole gusset, standing: from one valley over the peak line to the next.

    Two half gussets mirrored on the peak line. A half is a trapezoid whose sides are the
    ends of two cards; these are flat together in every position, since neighbouring sides
    are mirror images. The glue margin is square to the cards' ends.
    """
    peak, valley = design.gusset_peak_mm / 2.0, design.gusset_valley_mm / 2.0
    half_mm, end_mm = design.gusset_half_height_mm, design.card_end_edge_mm
    # The margin, square to the slanting end, measured along x.
    margin = design.wanted.allowances.gusset_margin_mm * end_mm / half_mm
    middle = max(peak, valley) + margin

    def kite(spare: float) -> tuple[Point, ...]:
        p, v = peak + spare, valley + spare
        return (
            (middle - v, 0.0), (middle + v, 0.0), (middle + p, half_mm),
            (middle + v, 2.0 * half_mm), (middle - v, 2.0 * half_mm), (middle - p, half_mm),
        )  # fmt: skip

    ends = kite(0.0)
    return (
        Outline(Layer.CUT, kite(margin)),
        Outline(Layer.SCORE, (ends[1], ends[2], ends[3]), is_closed=False),
        Outline(Layer.SCORE, (ends[4], ends[5], ends[0]), is_closed=False),
        _line(Layer.FOLD, (middle - peak - margin, half_mm), (middle + peak + margin, half_mm)),
        _line(Layer.FOLD, (middle, 0.0), (middle, 2.0 * half_mm)),
    )


def peak_strip_outlines(design: BellowsDesign) -> Outlines:
    """Return the leather over a peak: a margin on each card, and over the cards' edges.

    Creases lie at the cards' edges; marks across it are the corners of the ring.
    """
    wanted = design.wanted
    margin_mm = wanted.allowances.strip_margin_mm
    over_mm = 2.0 * (wanted.layers.card_mm + wanted.layers.cloth_mm)
    sides = wanted.sides if wanted.peak_runs is PeakRuns.FOLD else 1
    return _strip(
        full_side_mm=wanted.across_flats_mm * math.tan(math.pi / wanted.sides),
        sides=sides,
        overlap_mm=wanted.allowances.strip_overlap_mm,
        width_mm=2.0 * margin_mm + over_mm,
        scores_mm=(margin_mm, margin_mm + over_mm),
        folds_mm=(margin_mm + over_mm / 2.0,),
    )


def valley_strip_outlines(design: BellowsDesign) -> Outlines:
    """Return the leather in a valley."""
    margin_mm = design.wanted.allowances.strip_margin_mm
    middle_mm = margin_mm + design.wanted.layers.strip_mm
    return _strip(
        full_side_mm=_valley_side_mm(design),
        sides=1,
        overlap_mm=design.wanted.allowances.strip_overlap_mm,
        width_mm=2.0 * middle_mm,
        scores_mm=(),
        folds_mm=(middle_mm,),
    )


def end_run_outlines(design: BellowsDesign) -> Outlines:
    """Return the leather from the first card on to the frame: the side on the card is up."""
    allowances = design.wanted.allowances
    fold_mm = allowances.strip_margin_mm + design.wanted.layers.strip_mm
    return _strip(
        full_side_mm=_valley_side_mm(design),
        sides=1,
        overlap_mm=allowances.strip_overlap_mm,
        width_mm=fold_mm + design.wanted.layers.strip_mm + allowances.end_run_on_frame_mm,
        scores_mm=(),
        folds_mm=(fold_mm,),
    )


def peak_hinge_outlines(design: BellowsDesign) -> Outlines:
    """Return the cloth hinge inside a peak."""
    return _hinge(design, design.card_long_edge_mm)


def valley_hinge_outlines(design: BellowsDesign) -> Outlines:
    """Return the cloth hinge of a valley."""
    return _hinge(design, design.card_short_edge_mm)


def frame_rail_outlines(design: BellowsDesign) -> Outlines:
    """Return one rail of a frame in plan, mitred: flush outside with the closed peaks."""
    tan_al = math.tan(math.pi / design.wanted.sides)
    outer_mm = design.wanted.across_flats_mm * tan_al
    wall_mm = design.wanted.allowances.frame_wall_mm
    inner_mm = outer_mm - 2.0 * wall_mm * tan_al
    return (Outline(Layer.CUT, _trapezoid(outer_mm, inner_mm, 0.0, wall_mm, outer_mm / 2.0)),)


def _bare_card(design: BellowsDesign, *, under_mm: float) -> Sequence[tuple[Point, ...]]:
    """Return the face that the leather leaves bare, and so much of it more; or nothing."""
    allowances = design.wanted.allowances
    top_mm = allowances.strip_margin_mm - under_mm
    taper = math.radians(design.card_end_taper_deg)
    aside_mm = (allowances.gusset_margin_mm - under_mm) / math.cos(taper)
    bottom_mm = design.wanted.depth_mm - top_mm

    def width_mm(down_mm: float) -> float:
        return design.card_long_edge_mm - 2.0 * (down_mm * math.tan(taper) + aside_mm)

    top, bottom = width_mm(top_mm), width_mm(bottom_mm)
    if bottom_mm <= top_mm or min(top, bottom) <= 0.0:
        return ()
    return (_trapezoid(top, bottom, top_mm, bottom_mm, design.card_long_edge_mm / 2.0),)


def _strip(
    *,
    full_side_mm: float,
    sides: int,
    overlap_mm: float,
    width_mm: float,
    scores_mm: Sequence[float],
    folds_mm: Sequence[float],
) -> Outlines:
    length_mm = sides * full_side_mm + overlap_mm

    def along(layer: Layer, y_mm: float) -> Outline:
        return _line(layer, (0.0, y_mm), (length_mm, y_mm))

    corners = [overlap_mm / 2.0 + corner * full_side_mm for corner in range(sides + 1)]
    return (
        Outline(Layer.CUT, _rectangle(length_mm, width_mm)),
        *(along(Layer.SCORE, y_mm) for y_mm in scores_mm),
        *(along(Layer.FOLD, y_mm) for y_mm in folds_mm),
        *(_line(Layer.MARK, (x_mm, 0.0), (x_mm, width_mm)) for x_mm in corners),
    )


def _hinge(design: BellowsDesign, length_mm: float) -> Outlines:
    margin_mm = design.wanted.allowances.strip_margin_mm
    return (
        Outline(Layer.CUT, _rectangle(length_mm, 2.0 * margin_mm)),
        _line(Layer.FOLD, (0.0, margin_mm), (length_mm, margin_mm)),
    )


def _valley_side_mm(design: BellowsDesign) -> float:
    across_mm = design.wanted.across_flats_mm - 2.0 * design.wanted.depth_mm
    return across_mm * math.tan(math.pi / design.wanted.sides)


def _line(layer: Layer, start: Point, end: Point) -> Outline:
    return Outline(layer, (start, end), is_closed=False)


def _rectangle(width_mm: float, height_mm: float) -> tuple[Point, ...]:
    return ((0.0, 0.0), (width_mm, 0.0), (width_mm, height_mm), (0.0, height_mm))


def _trapezoid(
    top_mm: float, bottom_mm: float, from_mm: float, to_mm: float, middle_mm: float
) -> tuple[Point, ...]:
    return (
        (middle_mm - top_mm / 2.0, from_mm),
        (middle_mm + top_mm / 2.0, from_mm),
        (middle_mm + bottom_mm / 2.0, to_mm),
        (middle_mm - bottom_mm / 2.0, to_mm),
    )


def _from_corner(points: tuple[Point, ...]) -> tuple[Point, ...]:
    """Return an outline moved so that the box around it starts at the origin."""
    left, top = min(x for x, _ in points), min(y for _, y in points)
    return tuple((x - left, y - top) for x, y in points)
