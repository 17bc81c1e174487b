"""Bellows against meshes: trimesh (Dawson-Haggerty and others), which knows triangles only.

The skin of a bellows in space, cards and gussets triangulated and closed by its two ends,
must be watertight and hold the volume that the formulas say; effective areas must be the
differences of mesh volumes by length. The flat cards must be the cards in space.
"""

import itertools
import math

import numpy as np
import pytest
import trimesh
from numpy.typing import NDArray
from tests.bellows.wanted import wanted

from reedwright.bellows import design_bellows, folded_surface, ring_of
from reedwright.bellows.model import Slack, WantedBellows
from reedwright.bellows.outlines import card_outlines, gusset_outlines
from reedwright.bellows.surface import card_bodies
from reedwright.science.fold import FoldedRing, fold_state

#: Every number of sides that is built, with folds that differ, all choices of slack.
SWEEP = [
    wanted(sides=sides, folds=folds, slack=slack, opening_deg=opening_deg)
    for (sides, folds), slack, opening_deg in itertools.product(
        [(4, 4), (5, 10), (6, 6), (7, 1), (8, 7), (10, 3), (12, 5)], Slack, (35.0, 60.0)
    )
]


def name(bellows: WantedBellows) -> str:
    """Return what a case is called."""
    return f"{bellows.sides}x{bellows.folds}-{bellows.slack}-{bellows.opening_deg:g}"


def openings(ring: FoldedRing, opening_deg: float) -> NDArray[np.float64]:
    """Return angles from shut to open."""
    return np.linspace(ring.closed_angle, math.radians(opening_deg), 4)


def mesh_of(ring: FoldedRing, angle: float) -> trimesh.Trimesh:
    """Return the closed skin as a mesh of triangles."""
    surface = folded_surface(ring, angle)
    triangles = []
    for faces in (surface.panels, surface.gussets):
        for row in range(faces.shape[0]):
            for corners in faces[row]:
                quad = corners if row % 2 == 0 else corners[::-1]
                triangles += [quad[[0, 1, 2]], quad[[0, 2, 3]]]
    for end, order in ((surface.ends[0], -1), (surface.ends[1], 1)):
        polygon = end[::order]
        triangles += [polygon[[0, k, k + 1]] for k in range(1, len(polygon) - 1)]
    soup = np.concatenate(triangles)
    mesh = trimesh.Trimesh(soup, np.arange(len(soup)).reshape(-1, 3), process=False, validate=False)
    mesh.merge_vertices(digits_vertex=9)
    return mesh


@pytest.mark.parametrize("bellows", SWEEP, ids=name)
def test_volume_is_that_of_the_watertight_mesh(bellows: WantedBellows) -> None:
    """To 1e-12 at every opening; the mesh is closed and turned outwards."""
    ring = ring_of(bellows)
    for angle in openings(ring, bellows.opening_deg):
        mesh = mesh_of(ring, float(angle))
        assert mesh.is_watertight
        assert mesh.is_winding_consistent
        volume = fold_state(ring, float(angle)).volume * 1e9
        assert mesh.volume == pytest.approx(volume, rel=1e-12)


@pytest.mark.parametrize("bellows", SWEEP[::5], ids=name)
def test_effective_area_is_the_difference_of_mesh_volumes(bellows: WantedBellows) -> None:
    """By central differences of meshes, to 1e-7: their own error."""
    ring = ring_of(bellows)
    for angle in openings(ring, bellows.opening_deg)[1:]:
        step = 1e-4
        more, less = (mesh_of(ring, float(angle) + sign * step) for sign in (1, -1))
        length = 2e3 * ring.folds * ring.hinge_width
        stretched = length * (math.sin(angle + step) - math.sin(angle - step))
        slope_mm2 = (more.volume - less.volume) / stretched
        area_mm2 = fold_state(ring, float(angle)).effective_area * 1e6
        assert slope_mm2 == pytest.approx(area_mm2, rel=1e-7)


def edges(points: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the four edges and two diagonals of quadrilaterals, (..., 4, d) to (..., 6)."""
    pairs = [(0, 1), (1, 2), (2, 3), (3, 0), (0, 2), (1, 3)]
    return np.stack(
        [np.linalg.norm(points[..., a, :] - points[..., b, :], axis=-1) for a, b in pairs], -1
    )


@pytest.mark.parametrize("bellows", SWEEP[::3], ids=name)
def test_the_flat_card_is_every_card_in_space(bellows: WantedBellows) -> None:
    """Both faces of every body have the template's edges and diagonals, to 1e-9 mm."""
    design, ring = design_bellows(bellows), ring_of(bellows)
    peak_left, peak_right, valley_right, valley_left = card_outlines(design)[0].points_mm
    flat = edges(np.array([valley_left, valley_right, peak_right, peak_left]))
    for angle in openings(ring, bellows.opening_deg):
        bodies = card_bodies(ring, float(angle), card_mm=bellows.layers.card_mm)
        for face in (bodies[:, :, :4], bodies[:, :, 4:]):
            assert np.abs(edges(face) - flat).max() < 1e-9


@pytest.mark.parametrize("bellows", SWEEP[::3], ids=name)
def test_both_hinges_of_a_body_lie_on_the_ring(bellows: WantedBellows) -> None:
    """The valley edge of the outer face, and the peak edge half a closed pitch inside it."""
    ring = ring_of(bellows)
    for angle in openings(ring, bellows.opening_deg):
        panels = folded_surface(ring, float(angle)).panels
        bodies = card_bodies(ring, float(angle), card_mm=bellows.layers.card_mm)
        inwards = (bodies[:, :, 4:] - bodies[:, :, :4]) / bellows.layers.card_mm
        assert np.linalg.norm(inwards, axis=-1) == pytest.approx(1.0, abs=1e-12)
        hinge = bodies[:, :, 2:4] + bellows.layers.half_pitch_mm * inwards[:, :, 2:4]
        assert np.abs(hinge - panels[:, :, 2:]).max() < 1e-9
        assert np.abs(bodies[:, :, :2] - panels[:, :, :2]).max() < 1e-9


@pytest.mark.parametrize("bellows", SWEEP[::3], ids=name)
def test_gaps_and_gap_angles_are_those_in_space(bellows: WantedBellows) -> None:
    """Widths at peak and valley, and the angle between the ends of neighbouring panels."""
    ring = ring_of(bellows)
    for angle in openings(ring, bellows.opening_deg):
        state = fold_state(ring, float(angle))
        gussets = folded_surface(ring, float(angle)).gussets
        valley = np.linalg.norm(gussets[:, :, 0] - gussets[:, :, 1], axis=-1)
        peak = np.linalg.norm(gussets[:, :, 2] - gussets[:, :, 3], axis=-1)
        assert valley == pytest.approx(1e3 * abs(state.valley_gap), abs=1e-9)
        assert peak == pytest.approx(1e3 * abs(state.peak_gap), abs=1e-9)
        one, other = gussets[:, :, 3] - gussets[:, :, 0], gussets[:, :, 2] - gussets[:, :, 1]
        cosine = (
            (one * other).sum(-1) / np.linalg.norm(one, axis=-1) / np.linalg.norm(other, axis=-1)
        )
        # From the cosine an angle near 0 is known to 1e-7 only.
        assert np.arccos(np.clip(cosine, -1, 1)) == pytest.approx(abs(state.gap_angle), abs=1e-7)


@pytest.mark.parametrize(
    ("slack", "is_open"), [(Slack.PEAK, False), (Slack.VALLEY, True)], ids=["closed", "open"]
)
def test_a_taut_gusset_is_its_flat_pattern(slack: Slack, is_open: bool) -> None:
    """Where it is stretched between four card ends, its pattern lies on them.

    To t^2 / 2 h, t half the closed pitch: by so much are the ends of the panels, hinge to
    hinge, longer than those of the cards. 0.2 um for the thinnest card, 76 um usually.
    """
    thin = wanted(slack=slack, card_mm=0.1, cloth_mm=0.0, strip_mm=0.0, gusset_mm=0.0)
    for bellows, half_pitch_mm in ((thin, 0.1), (wanted(slack=slack), 1.95)):
        design, ring = design_bellows(bellows), ring_of(bellows)
        angle = math.radians(35.0) if is_open else ring.closed_angle
        gusset = folded_surface(ring, angle).gussets[0, 0]
        right, left = gusset_outlines(design)[1:3]
        flat = np.array(
            [left.points_mm[2], right.points_mm[0], right.points_mm[1], left.points_mm[1]]
        )
        # Diagonals of a thicker one follow the ends; 1.2 leaves room for their slant.
        error_mm = np.abs(edges(gusset[None]) - edges(flat[None])).max()
        assert error_mm < 1.2 * half_pitch_mm**2 / 50.0


def test_the_gusset_has_the_ends_of_the_cards() -> None:
    """Its creases are as long as the card's end, to 1e-12."""
    design = design_bellows(wanted())
    card = card_outlines(design)[0].points_mm
    crease = gusset_outlines(design)[1].points_mm
    assert math.dist(crease[0], crease[1]) == pytest.approx(math.dist(card[1], card[2]), rel=1e-12)
    assert math.dist(crease[1], crease[2]) == pytest.approx(math.dist(card[1], card[2]), rel=1e-12)
