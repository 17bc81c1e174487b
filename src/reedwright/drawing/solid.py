"""Flat faces in space seen from far away, hidden parts covered: shapes in painter's order.

The order comes from a binary tree of planes (Fuchs, Kedem and Naylor, "On visible surface
generation by a priori tree structures", Computer Graphics 14, 1980): each plane is that of
a face, faces that reach through it are cut, and from any side what lies beyond the plane
is drawn before what lies on the viewer's side. Right for any faces, convex each, that may
touch and cross. Edges that a cut made are not drawn.

Conventions: millimetres in space, x, y, z right-handed; parallel projection without
foreshortening by distance.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from reedwright.drawing.model import Line, Point, Polygon, Shape
from reedwright.errors import InputError

__all__ = ["Face", "SpacePoint", "View", "faces_seen"]

SpacePoint = tuple[float, float, float]

#: Two points nearer than this to a plane lie in it, millimetres.
_THIN_MM = 1e-7
#: How many faces are tried for the next plane of the tree; the one that cuts fewest is taken.
_TRIED = 6


@dataclass(frozen=True, slots=True)
class Face:
    """A flat convex face, its corners in order; ``outside`` and ``inside`` are style names.

    It is seen from outside where its corners run anticlockwise. A style ends in ``-`` and
    the face's shade from 1 (dark) to ``shades`` (light) is added.
    """

    corners_mm: tuple[SpacePoint, ...]
    outside: str
    inside: str
    edge: str


@dataclass(frozen=True, slots=True)
class View:
    """From where it is seen: the direction to the viewer, and which way is up."""

    to_viewer: SpacePoint
    up: SpacePoint
    to_light: SpacePoint

    def axes(self) -> tuple[SpacePoint, SpacePoint, SpacePoint]:
        """Return unit vectors to the right, upwards and to the viewer.

        Raises
        ------
        InputError
            If up lies along the line of sight.
        """
        towards = _unit(self.to_viewer)
        right = _cross(self.up, towards)
        if math.hypot(*right) < 1e-9:
            raise InputError(
                "up must not lie along the line of sight, "
                f"got {self.up} and {self.to_viewer}; turn one of them"
            )
        right = _unit(right)
        return right, _cross(towards, right), towards


@dataclass(frozen=True, slots=True)
class _Piece:
    """A face or a part of one; ``is_edge`` says which sides are the face's own."""

    corners: tuple[SpacePoint, ...]
    is_edge: tuple[bool, ...]
    face: Face


@dataclass(frozen=True, slots=True)
class _Node:
    normal: SpacePoint
    here: list[_Piece]
    behind: "_Node | None"
    before: "_Node | None"


def faces_seen(faces: Sequence[Face], view: View, *, shades: int) -> tuple[Shape, ...]:
    """Return faces and their edges as flat shapes, the farthest first.

    Lengths across the line of sight are true; x runs to the right and y downwards from
    where the origin of space is seen.
    """
    right, up, towards = view.axes()
    light = _unit(view.to_light)
    pieces = [_Piece(face.corners_mm, (True,) * len(face.corners_mm), face) for face in faces]
    shapes: list[Shape] = []

    def flat(point: SpacePoint) -> Point:
        return _dot(point, right), -_dot(point, up)

    for piece in _far_to_near(_tree(pieces), towards):
        normal = _normal(piece.face.corners_mm)
        facing = _dot(normal, towards)
        if abs(facing) < 1e-9:
            continue
        # Lit from the side that is seen.
        bright = _dot(normal, light) * (1.0 if facing > 0.0 else -1.0)
        shade = 1 + min(shades - 1, int((bright + 1.0) / 2.0 * shades))
        kind = piece.face.outside if facing > 0.0 else piece.face.inside
        corners = tuple(flat(corner) for corner in piece.corners)
        shapes.append(Polygon(corners, f"{kind}-{shade}"))
        ends = zip(corners, corners[1:] + corners[:1], piece.is_edge, strict=True)
        shapes += [Line(first, second, piece.face.edge) for first, second, own in ends if own]
    return tuple(shapes)


def _tree(pieces: list[_Piece]) -> _Node | None:
    """Return the tree of some pieces; deep, but no deeper than there are pieces."""
    if not pieces:
        return None
    best = min(pieces[:: max(1, len(pieces) // _TRIED)], key=lambda p: _cuts(p, pieces))
    normal = _normal(best.face.corners_mm)
    offset = _dot(normal, best.face.corners_mm[0])
    here: list[_Piece] = []
    behind: list[_Piece] = []
    before: list[_Piece] = []
    for piece in pieces:
        sides = [_dot(normal, corner) - offset for corner in piece.corners]
        is_before = max(sides) > _THIN_MM
        is_behind = min(sides) < -_THIN_MM
        if is_before and is_behind:
            before.append(_cut(piece, sides))
            behind.append(_cut(piece, [-side for side in sides]))
        elif is_before:
            before.append(piece)
        elif is_behind:
            behind.append(piece)
        else:
            here.append(piece)
    return _Node(normal, here, _tree(behind), _tree(before))


def _cuts(plane: _Piece, pieces: Sequence[_Piece]) -> int:
    """Return how many pieces the plane of one would cut."""
    normal = _normal(plane.face.corners_mm)
    offset = _dot(normal, plane.face.corners_mm[0])
    cuts = 0
    for piece in pieces:
        sides = [_dot(normal, corner) - offset for corner in piece.corners]
        cuts += max(sides) > _THIN_MM and min(sides) < -_THIN_MM
    return cuts


def _cut(piece: _Piece, sides: Sequence[float]) -> _Piece:
    """Return the part of a piece where the sides are not negative."""
    corners: list[SpacePoint] = []
    is_edge: list[bool] = []
    count = len(sides)
    for this in range(count):
        following = (this + 1) % count
        near, far = sides[this], sides[following]
        if near >= -_THIN_MM:
            corners.append(piece.corners[this])
            # Where the line leaves in this corner, the next side is the cut.
            is_edge.append(piece.is_edge[this] and not (near <= _THIN_MM and far < -_THIN_MM))
        if (near > _THIN_MM and far < -_THIN_MM) or (near < -_THIN_MM and far > _THIN_MM):
            share = near / (near - far)
            start, end = piece.corners[this], piece.corners[following]
            crossing = (
                start[0] + share * (end[0] - start[0]),
                start[1] + share * (end[1] - start[1]),
                start[2] + share * (end[2] - start[2]),
            )
            corners.append(crossing)
            is_edge.append(piece.is_edge[this] and near < 0.0)
    return _Piece(tuple(corners), tuple(is_edge), piece.face)


def _far_to_near(node: _Node | None, towards: SpacePoint) -> Iterator[_Piece]:
    if node is None:
        return
    faces_us = _dot(node.normal, towards) > 0.0
    yield from _far_to_near(node.behind if faces_us else node.before, towards)
    yield from node.here
    yield from _far_to_near(node.before if faces_us else node.behind, towards)


def _normal(corners: Sequence[SpacePoint]) -> SpacePoint:
    """Return the unit normal of a flat polygon (Newell's sum: no three corners are special)."""
    x = y = z = 0.0
    for number, (x1, y1, z1) in enumerate(corners):
        x2, y2, z2 = corners[(number + 1) % len(corners)]
        x += (y1 - y2) * (z1 + z2)
        y += (z1 - z2) * (x1 + x2)
        z += (x1 - x2) * (y1 + y2)
    return _unit((x, y, z))


def _dot(first: SpacePoint, second: SpacePoint) -> float:
    return first[0] * second[0] + first[1] * second[1] + first[2] * second[2]


def _cross(first: SpacePoint, second: SpacePoint) -> SpacePoint:
    return (
        first[1] * second[2] - first[2] * second[1],
        first[2] * second[0] - first[0] * second[2],
        first[0] * second[1] - first[1] * second[0],
    )


def _unit(vector: SpacePoint) -> SpacePoint:
    length = math.hypot(*vector)
    if length == 0.0:
        raise InputError("a direction has a length above 0, got (0, 0, 0); give another")
    return vector[0] / length, vector[1] / length, vector[2] / length
