"""Hidden faces: what lies on top of the drawing is what a ray from the viewer meets first."""

import math
import random
from collections.abc import Sequence

import pytest

from reedwright.drawing import Line, Polygon, Shape
from reedwright.drawing.solid import Face, SpacePoint, View, faces_seen
from reedwright.errors import InputError

VIEW = View(to_viewer=(0.4, -0.8, 0.5), up=(0.0, 0.0, 1.0), to_light=(0.3, -0.2, 1.0))


def dot(first: Sequence[float], second: Sequence[float]) -> float:
    """Return the scalar product."""
    return sum(a * b for a, b in zip(first, second, strict=True))


def face(name: str, *corners: SpacePoint) -> Face:
    """Return a face whose pieces can be told by their style."""
    return Face(corners, f"{name}.out", f"{name}.in", "edge")


def holds(polygon: Polygon, point: tuple[float, float], margin: float) -> bool | None:
    """Whether a convex polygon holds a point; None where it is nearer an edge than the margin."""
    sides = []
    points = polygon.points_mm
    for (x1, y1), (x2, y2) in zip(points, points[1:] + points[:1], strict=True):
        length = math.dist((x1, y1), (x2, y2))
        if length > 1e-9:
            sides.append(((x2 - x1) * (point[1] - y1) - (y2 - y1) * (point[0] - x1)) / length)
    if min(map(abs, sides)) < margin:
        return None
    return all(side > 0.0 for side in sides) or all(side < 0.0 for side in sides)


def first_met(faces: list[Face], point: tuple[float, float], margin: float) -> str | None:
    """Return the face nearest to the viewer along a line of sight, "?" where it is too close."""
    right, up, towards = VIEW.axes()
    best, found = -math.inf, None
    for one in faces:
        flat = Polygon(
            tuple((dot(corner, right), -dot(corner, up)) for corner in one.corners_mm), ""
        )
        inside = holds(flat, point, margin)
        if inside is None:
            return "?"
        if inside:
            a, b, c = one.corners_mm[:3]
            u = tuple(q - p for p, q in zip(a, b, strict=True))
            v = tuple(q - p for p, q in zip(a, c, strict=True))
            normal = (
                u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0],
            )  # fmt: skip
            # The line of sight: point[0] right - point[1] up + depth towards.
            base = tuple(point[0] * r - point[1] * w for r, w in zip(right, up, strict=True))
            depth = dot(normal, tuple(p - q for p, q in zip(a, base, strict=True))) / dot(
                normal, towards
            )
            if abs(depth - best) < 1e-6:
                return "?"
            if depth > best:
                best, found = depth, one.outside.split(".")[0]
    return found


def on_top(shapes: tuple[Shape, ...], point: tuple[float, float], margin: float) -> str | None:
    """Return the face whose piece is drawn last over a point."""
    found: str | None = None
    for shape in shapes:
        if isinstance(shape, Polygon):
            inside = holds(shape, point, margin)
            if inside is None:
                return "?"
            if inside:
                found = shape.style.split(".")[0]
    return found


def crossing_faces() -> list[Face]:
    """Return triangles in a heap, many of them through one another."""
    chance = random.Random(4)  # noqa: S311 - a heap, not a secret
    return [
        face(
            f"f{number}",
            *[
                (chance.uniform(-1, 1), chance.uniform(-1, 1), chance.uniform(-1, 1))
                for _ in range(3)
            ],
        )
        for number in range(25)
    ]


def cyclic_bars() -> list[Face]:
    """Return three bars each of which lies over the next: no order of whole faces is right."""
    bars = []
    for number in range(3):
        turn = 2.0 * math.pi * number / 3.0
        cos, sin = math.cos(turn), math.sin(turn)
        corners = [(-1.0, 0.35, 0.3), (1.0, 0.35, -0.3), (1.0, 0.55, -0.3), (-1.0, 0.55, 0.3)]
        bars.append(
            face(f"b{number}", *[(x * cos - y * sin, x * sin + y * cos, z) for x, y, z in corners])
        )
    return bars


@pytest.mark.parametrize("faces", [crossing_faces(), cyclic_bars()], ids=["heap", "cycle"])
def test_the_topmost_piece_is_the_first_face_a_ray_meets(faces: list[Face]) -> None:
    """At two thousand places, but those within a hair of an edge."""
    shapes = faces_seen(faces, VIEW, shades=4)
    chance = random.Random(5)  # noqa: S311 - places, not a secret
    compared = hits = 0
    for _ in range(2000):
        point = (chance.uniform(-1.2, 1.2), chance.uniform(-1.2, 1.2))
        truth, drawn = first_met(faces, point, 1e-4), on_top(shapes, point, 1e-4)
        if "?" in {truth, drawn}:
            continue
        assert drawn == truth
        compared += 1
        hits += truth is not None
    assert compared > 1500
    assert hits > 100


def test_the_sides_and_shades_of_a_cube() -> None:
    """Three faces from outside over three from inside; the one towards the light is lightest."""
    square = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)]
    faces = [
        face("top", *[(x, y, 1.0) for x, y in square]),
        face("bottom", *[(x, y, 0.0) for x, y in square[::-1]]),
        face("front", *[(x, 0.0, z) for x, z in square]),
        face("back", *[(x, 1.0, z) for x, z in square[::-1]]),
        face("left", *[(0.0, y, z) for y, z in square[::-1]]),
        face("right", *[(1.0, y, z) for y, z in square]),
    ]
    shapes = faces_seen(faces, VIEW, shades=6)
    drawn = [shape.style for shape in shapes if isinstance(shape, Polygon)]
    assert {style.split("-")[0] for style in drawn[:3]} == {"bottom.in", "back.in", "left.in"}
    assert {style.split("-")[0] for style in drawn[3:]} == {"top.out", "front.out", "right.out"}
    shade = {style.split(".")[0]: int(style.rsplit("-", 1)[1]) for style in drawn}
    assert shade["top"] > shade["right"] >= shade["front"]
    assert len([shape for shape in shapes if isinstance(shape, Line)]) == 24


def test_the_lines_of_a_cut_are_not_drawn() -> None:
    """Two crossing squares keep four edges each, in whole or in parts; no line where they meet."""
    flat = face("flat", (-1.0, -1.0, 0.0), (1.0, -1.0, 0.0), (1.0, 1.0, 0.0), (-1.0, 1.0, 0.0))
    wall = face("wall", (0.0, -1.0, -1.0), (0.0, 1.0, -1.0), (0.0, 1.0, 1.0), (0.0, -1.0, 1.0))
    shapes = faces_seen([flat, wall], VIEW, shades=2)
    right, up, _ = VIEW.axes()

    def flat_length(one: Face) -> float:
        points = [(dot(corner, right), -dot(corner, up)) for corner in one.corners_mm]
        return sum(math.dist(a, b) for a, b in zip(points, points[1:] + points[:1], strict=True))

    drawn = sum(math.dist(s.from_mm, s.to_mm) for s in shapes if isinstance(s, Line))
    assert drawn == pytest.approx(flat_length(flat) + flat_length(wall), rel=1e-9)


def test_lengths_across_the_line_of_sight_are_true() -> None:
    """A square facing the viewer keeps its side, upright and the right way round."""
    view = View(to_viewer=(0.0, 0.0, 1.0), up=(0.0, 1.0, 0.0), to_light=(0.0, 0.0, 1.0))
    (shape, *_) = faces_seen(
        [face("a", (0.0, 0.0, 5.0), (2.0, 0.0, 5.0), (2.0, 3.0, 5.0))], view, shades=1
    )
    assert isinstance(shape, Polygon)
    assert shape.points_mm == ((0.0, 0.0), (2.0, 0.0), (2.0, -3.0))
    assert shape.style == "a.out-1"


def test_a_face_seen_edge_on_is_left_out() -> None:
    """It has nothing to show."""
    view = View(to_viewer=(0.0, 0.0, 1.0), up=(0.0, 1.0, 0.0), to_light=(0.0, 0.0, 1.0))
    edge_on = face("a", (0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (1.0, 0.0, 1.0))
    assert faces_seen([edge_on], view, shades=1) == ()


def test_views_that_are_none_are_refused() -> None:
    """Up along the line of sight, or no direction at all."""
    with pytest.raises(InputError, match="up must not lie along the line of sight"):
        View((0.0, 0.0, 1.0), (0.0, 0.0, 2.0), (1.0, 0.0, 0.0)).axes()
    with pytest.raises(InputError, match="a direction has a length above 0"):
        View((0.0, 0.0, 0.0), (0.0, 0.0, 2.0), (1.0, 0.0, 0.0)).axes()
