"""Bellows: how exact against meshes, how fast, what the steps of a template set take.

Run ``python -m benchmarks.bellows``. Exactness is the worst relative error of volume against
a watertight mesh (trimesh) over sides 4 to 12, three choices of slack and six openings, and
of effective area against differences of such meshes. Times are processor time.
"""

import itertools
import math
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import trimesh
from numpy.typing import NDArray

from reedwright.bellows import bellows_templates, design_bellows, folded_surface, ring_of
from reedwright.bellows.fit import fit_bellows
from reedwright.bellows.fitted import MeasuredBellows
from reedwright.bellows.model import Slack, WantedBellows
from reedwright.catalogue.bellows import load_bellows_figures
from reedwright.documents.bellows_picture import bellows_picture
from reedwright.documents.template_dxf import templates_dxf
from reedwright.documents.template_files import templates_pdf, templates_svg
from reedwright.documents.template_packing import SheetSize
from reedwright.documents.template_pages import PatternPage
from reedwright.science.fold import FoldedRing, fold_state

__all__ = ["main", "mesh_volume_mm3", "seconds", "worst_errors"]

FIGURES = load_bellows_figures()


def reference(*, sides: int = 6, folds: int = 6, slack: Slack = Slack.PEAK) -> WantedBellows:
    """Return a bellows of 158 mm across flats, 25 mm deep, opening 45 degrees."""
    return WantedBellows(
        sides=sides,
        folds=folds,
        across_flats_mm=158.0,
        depth_mm=25.0,
        layers=FIGURES.layers,
        allowances=FIGURES.allowances,
        opening_deg=45.0,
        slack=slack,
    )


def mesh_volume_mm3(ring: FoldedRing, angle: float) -> float:
    """Return the volume of the closed skin as a mesh of triangles, which must be watertight."""
    surface = folded_surface(ring, angle)
    triangles: list[NDArray[np.float64]] = []
    for faces in (surface.panels, surface.gussets):
        for row in range(faces.shape[0]):
            for corners in faces[row]:
                quad = corners if row % 2 == 0 else corners[::-1]
                triangles += [quad[[0, 1, 2]], quad[[0, 2, 3]]]
    for polygon in (surface.ends[0][::-1], surface.ends[1]):
        triangles += [polygon[[0, k, k + 1]] for k in range(1, len(polygon) - 1)]
    soup = np.concatenate(triangles)
    mesh = trimesh.Trimesh(soup, np.arange(len(soup)).reshape(-1, 3), process=False)
    mesh.merge_vertices(digits_vertex=9)
    assert mesh.is_watertight
    return float(mesh.volume)


def worst_errors(all_sides: range, openings: int) -> tuple[float, float]:
    """Return the worst relative errors of volume and of effective area."""
    volume_error = area_error = 0.0
    step = 1e-4
    for sides, slack in itertools.product(all_sides, Slack):
        ring = ring_of(reference(sides=sides, slack=slack))
        for angle in np.linspace(ring.closed_angle + step, math.radians(45.0), openings):
            state = fold_state(ring, float(angle))
            volume = mesh_volume_mm3(ring, float(angle))
            volume_error = max(volume_error, abs(volume / (state.volume * 1e9) - 1.0))
            more, less = (mesh_volume_mm3(ring, float(angle) + way * step) for way in (1, -1))
            stretched = (
                2e3 * ring.folds * ring.hinge_width
                * (math.sin(angle + step) - math.sin(angle - step))
            )  # fmt: skip
            slope = (more - less) / stretched
            area_error = max(area_error, abs(slope / (state.effective_area * 1e6) - 1.0))
    return volume_error, area_error


def seconds(work: Callable[[], object], *, times: int = 3) -> float:
    """Return the mean processor time of some work, after doing it once."""
    work()
    start = time.process_time()
    for _ in range(times):
        work()
    return (time.process_time() - start) / times


def main() -> None:
    """Print exactness and times."""
    volume_error, area_error = worst_errors(range(4, 13), 6)
    print(f"volume against meshes: {volume_error:.1e} at worst, relative")
    print(f"effective area against differences of meshes: {area_error:.1e} at worst, relative")
    design = design_bellows(reference())
    templates = bellows_templates(design, FIGURES)
    measured = MeasuredBellows(
        sides=6,
        folds=6,
        card_long_edge_mm=81.7,
        card_short_edge_mm=61.1,
        depth_mm=25.0,
        closed_length_mm=25.0,
        open_length_mm=212.0,
        layers=FIGURES.layers,
        allowances=FIGURES.allowances,
    )
    a3 = SheetSize(297.0, 420.0)
    works: dict[str, Callable[[], object]] = {
        "design": lambda: design_bellows(reference()),
        "fit": lambda: fit_bellows(measured),
        "picture": lambda: bellows_picture(
            design, opening_deg=45.0, width_mm=180.0, most_height_mm=200.0
        ),
        "templates, PDF on A4": lambda: templates_pdf(templates, PatternPage.A4),
        "templates, SVG": lambda: templates_svg(templates),
        "templates, DXF": lambda: templates_dxf(templates),
        "all pieces on A3, PDF": lambda: templates_pdf(templates, PatternPage.A3, a3),
        "all pieces on A3, tiled on A4": lambda: templates_pdf(templates, PatternPage.A4, a3),
    }
    for name, work in works.items():
        print(f"{name:30}{seconds(work):7.3f} s")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "set.pdf"
        path.write_bytes(templates_pdf(templates, PatternPage.A4))
        print(f"{'size of the PDF':30}{path.stat().st_size / 1000:7.1f} kB")


if __name__ == "__main__":
    main()
