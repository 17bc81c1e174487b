"""A bellows at any opening, seen from in front of one end, drawn to be looked at."""

import math

from reedwright.bellows import folded_surface, ring_of
from reedwright.bellows.model import BellowsDesign
from reedwright.drawing import Anchor, Drawing, Group, Line, Polygon, Shape, Text, Weight
from reedwright.drawing.numbers import print_number
from reedwright.drawing.solid import Face, SpacePoint, View, faces_seen
from reedwright.errors import InputError, ModelError
from reedwright.science.fold import fold_state

__all__ = ["BELLOWS_VIEW", "bellows_faces", "bellows_picture"]

SHADES = 6
#: The bellows lies across the sheet; one looks a little down on it and into its right end.
BELLOWS_VIEW = View(to_viewer=(0.45, -0.85, 0.55), up=(0.95, 0.32, 0.0), to_light=(0.8, -0.5, 0.6))
_WORDS_MM = 12.0
#: A frame is drawn so deep along the bellows at the most, for the folds are the matter.
_FRAME_SHOWN_MM = 12.0


def bellows_picture(
    design: BellowsDesign,
    *,
    opening_deg: float,
    width_mm: float,
    most_height_mm: float,
    view: View = BELLOWS_VIEW,
) -> Drawing:
    """Return the bellows at an opening, as large as fits, over a line that says what it is.

    Raises
    ------
    ModelError
        If the opening is less than shut, or more than the corners give.
    InputError
        If the picture would have no room.
    """
    if opening_deg > design.opening_limit_deg + 1e-9:
        raise ModelError(
            f"a bellows opens as far as its corners give, {design.opening_limit_deg:.1f} degrees, "
            f"got {opening_deg:g}; draw it less open, or design it for more"
        )
    room_mm = most_height_mm - _WORDS_MM
    if not (width_mm >= 40.0 and room_mm >= 20.0):
        raise InputError(
            f"a picture is 40 mm wide or more and {20.0 + _WORDS_MM:g} high, got {width_mm:g} by "
            f"{most_height_mm:g} mm; 180 by 200 fits a page"
        )
    state = fold_state(ring_of(design.wanted), math.radians(opening_deg))
    shapes = faces_seen(bellows_faces(design, opening_deg=opening_deg), view, shades=SHADES)
    points = [point for shape in shapes for point in _points(shape)]
    left, right = min(x for x, _ in points), max(x for x, _ in points)
    top, bottom = min(y for _, y in points), max(y for _, y in points)
    scale = min((width_mm - 0.6) / (right - left), (room_mm - 0.6) / (bottom - top))
    aside_mm = (width_mm - scale * (right - left)) / 2.0
    corner = (aside_mm - scale * left, 0.3 - scale * top)
    placed = tuple(_scaled(shape, scale, corner) for shape in shapes)
    height_mm = scale * (bottom - top) + 0.6
    opening = print_number(opening_deg, decimals=1)
    length = print_number(1e3 * state.length, decimals=1)
    words = f"Cards at {opening}°, {length} mm from frame to frame"
    size = f"{design.wanted.sides} sides, {design.wanted.folds} folds"
    return Drawing(
        width_mm,
        height_mm + _WORDS_MM,
        f"Bellows, {size}",
        f"{words}. Drawn to be looked at, not to measure.",
        (
            Group("bellows", words, placed),
            Text(
                (width_mm / 2.0, height_mm + 5.0), words, 3.2, "ink", Anchor.MIDDLE, Weight.SEMIBOLD
            ),
            Text(
                (width_mm / 2.0, height_mm + 9.5),
                "drawn to be looked at, not to measure",
                2.6,
                "quiet-ink",
                Anchor.MIDDLE,
            ),
        ),
    )


def bellows_faces(design: BellowsDesign, *, opening_deg: float) -> list[Face]:
    """Return the skin of a bellows and its two frames as faces in space, seen from outside."""
    surface = folded_surface(ring_of(design.wanted), math.radians(opening_deg))
    faces = []
    for cards, kind in ((surface.panels, "bellows-card"), (surface.gussets, "bellows-gusset")):
        for row in range(cards.shape[0]):
            for corners in cards[row]:
                points: list[SpacePoint] = [(float(x), float(y), float(z)) for x, y, z in corners]
                # The peak edge comes second: above its valley in even rows, below in odd ones.
                ordered = points if row % 2 == 0 else points[::-1]
                faces.append(Face(tuple(ordered), kind, "bellows-inside", "bellows-edge"))
    length_mm = float(surface.ends[1, 0, 2])
    depth_mm = min(design.wanted.allowances.frame_depth_mm, _FRAME_SHOWN_MM)
    for near, far in ((-depth_mm, 0.0), (length_mm, length_mm + depth_mm)):
        faces += _frame(design, near, far)
    return faces


def _frame(design: BellowsDesign, low_mm: float, high_mm: float) -> list[Face]:
    """Return the faces of a frame between two heights."""
    wanted = design.wanted
    outer = wanted.across_flats_mm / 2.0
    # The first cards hang in its inner edge: its wall reaches to the valleys at least.
    inner = min(outer - wanted.allowances.frame_wall_mm, outer - wanted.depth_mm)
    al = math.pi / wanted.sides

    def corner(apothem: float, number: int, z: float) -> SpacePoint:
        radius, bearing = apothem / math.cos(al), (2 * number + 1) * al
        return radius * math.cos(bearing), radius * math.sin(bearing), z

    faces = []
    for number in range(wanted.sides):
        outside_low, outside_high = (
            [corner(outer, number + step, z) for step in (0, 1)] for z in (low_mm, high_mm)
        )
        inside_low, inside_high = (
            [corner(inner, number + step, z) for step in (0, 1)] for z in (low_mm, high_mm)
        )
        loops = (
            (*outside_low, *outside_high[::-1]),
            (*inside_low[::-1], *inside_high),
            (*outside_high, *inside_high[::-1]),
            (*outside_low[::-1], *inside_low),
        )
        faces += [Face(loop, "bellows-frame", "bellows-frame", "bellows-edge") for loop in loops]
    return faces


def _points(shape: Shape) -> tuple[tuple[float, float], ...]:
    return shape.points_mm if isinstance(shape, Polygon) else ()


def _scaled(shape: Shape, scale: float, moved: tuple[float, float]) -> Shape:
    def at(point: tuple[float, float]) -> tuple[float, float]:
        return scale * point[0] + moved[0], scale * point[1] + moved[1]

    match shape:
        case Polygon():
            return Polygon(tuple(at(point) for point in shape.points_mm), shape.style)
        case Line():
            return Line(at(shape.from_mm), at(shape.to_mm), shape.style)
        case _:
            raise AssertionError("faces are drawn as polygons and lines")
