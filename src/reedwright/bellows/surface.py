"""Where every card and gusset of a bellows stands in space, in millimetres.

Axes: z along the bellows from one frame valley (0) to the other, x through the middle of
side 0; sides are counted towards y. Level 0 is the frame valley, odd levels are peaks.
A panel is the flat piece from hinge to hinge; its card is a little shorter and as thick as
card is (``science.fold`` says how they lie).
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from reedwright.science.fold import FoldedRing, fold_state

__all__ = ["Surface", "card_bodies", "folded_surface"]

#: Corners of faces, one face a row: (faces, corners, 3).
Faces = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Surface:
    """The skin of a bellows at one opening, closed but for its two ends.

    ``panels`` has the shape (2 folds, sides, 4, 3): valley edge, then peak edge, each from
    its left to its right end as seen from outside with z upwards, so that the four run round
    the panel (the peak edge backwards). ``gussets`` has the same shape: the flat pieces that
    close the corner between each side and the next. ``ends`` are the polygons of the two
    frame valleys, (2, 2 sides, 3).
    """

    panels: NDArray[np.float64]
    gussets: NDArray[np.float64]
    ends: NDArray[np.float64]


def folded_surface(ring: FoldedRing, angle: float) -> Surface:
    """Return the panels and gussets of a bellows at an angle (radians), in millimetres."""
    state = fold_state(ring, angle)
    levels = 2 * ring.folds + 1
    heights = 1e3 * state.length * np.arange(levels) / (levels - 1)
    apothems = 1e3 * np.array([state.valley_apothem, state.peak_apothem])
    halves = 0.5e3 * np.array([ring.short_edge, ring.long_edge])
    # (levels, sides, left and right end, 3)
    corners = np.empty((levels, ring.sides, 2, 3))
    outwards, along = _directions(ring.sides)
    for level in range(levels):
        kind = level % 2
        for end, sign in enumerate((-1.0, 1.0)):
            corners[level, :, end, :2] = apothems[kind] * outwards + sign * halves[kind] * along
        corners[level, :, :, 2] = heights[level]
    panels = np.empty((levels - 1, ring.sides, 4, 3))
    gussets = np.empty_like(panels)
    beside = np.roll(corners, -1, axis=1)
    for row in range(levels - 1):
        valley, peak = (row, row + 1) if row % 2 == 0 else (row + 1, row)
        panels[row, :, 0], panels[row, :, 1] = corners[valley, :, 0], corners[valley, :, 1]
        panels[row, :, 2], panels[row, :, 3] = corners[peak, :, 1], corners[peak, :, 0]
        gussets[row, :, 0], gussets[row, :, 1] = corners[valley, :, 1], beside[valley, :, 0]
        gussets[row, :, 2], gussets[row, :, 3] = beside[peak, :, 0], corners[peak, :, 1]
    ends = corners[[0, -1]].reshape(2, 2 * ring.sides, 3)
    return Surface(panels, gussets, ends)


def card_bodies(ring: FoldedRing, angle: float, *, card_mm: float) -> NDArray[np.float64]:
    """Return the eight corners of the body of every card, (2 folds, sides, 8, 3).

    The first four are the outer face, the valley edge from left to right and then the peak
    edge from right to left; the other four are the inner face in the same order. The outer
    face lies in the valley hinge, as where strip and gusset are thin beside the card.
    """
    state = fold_state(ring, angle)
    tilt = angle - ring.closed_angle
    depth = 1e3 * ring.card_depth
    valley, half_pitch = 1e3 * state.valley_apothem, 0.5e3 * state.length / ring.folds
    # In the plane through the middle of a side: distance from the axis, height above the valley.
    outer = np.array([[valley, 0.0], [valley + depth * math.cos(tilt), depth * math.sin(tilt)]])
    inner = outer + card_mm * np.array([-math.sin(tilt), math.cos(tilt)])
    halves = 0.5e3 * np.array([ring.short_edge, ring.long_edge])
    outwards, along = _directions(ring.sides)
    bodies = np.empty((2 * ring.folds, ring.sides, 8, 3))
    for row in range(2 * ring.folds):
        # Cards stand alternately above and below their valley.
        floor, sign = (row * half_pitch, 1.0) if row % 2 == 0 else ((row + 1) * half_pitch, -1.0)
        for number, (face, edge, side) in enumerate(
            (face, edge, side)
            for face in (outer, inner)
            for edge, side in ((0, -1.0), (0, 1.0), (1, 1.0), (1, -1.0))
        ):
            bodies[row, :, number, :2] = face[edge, 0] * outwards + side * halves[edge] * along
            bodies[row, :, number, 2] = floor + sign * face[edge, 1]
    return bodies


def _directions(sides: int) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return for each side the direction outwards and that along it, (sides, 2)."""
    bearings = 2.0 * math.pi * np.arange(sides) / sides
    outwards = np.stack([np.cos(bearings), np.sin(bearings)], axis=1)
    along = np.stack([-np.sin(bearings), np.cos(bearings)], axis=1)
    return outwards, along
