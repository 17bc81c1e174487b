"""The bar itself: what it holds, how it is divided and thinned, what it refuses."""

from typing import Any

import numpy as np
import pytest

from reedwright.errors import ModelError
from reedwright.science.cantilever import (
    Cantilever,
    cantilever_from_stations,
    subdivided,
    thinned,
)

STATIONS: dict[str, Any] = {
    "x": [0.0, 0.010, 0.025],
    "thickness": [0.0004, 0.0003, 0.0002],
    "width": [0.003, 0.003, 0.002],
    "youngs_modulus": 2.0e11,
    "density": 7850.0,
    "tip_mass": 0.0,
}


def bar(**changes: object) -> Cantilever:
    return cantilever_from_stations(**(STATIONS | changes))


def test_mass_is_density_times_volume() -> None:
    """Each piece is a truncated pyramid; a fine sum over slices weighs the same."""
    at = np.linspace(0.0, 0.025, 250001)
    h = np.interp(at, STATIONS["x"], STATIONS["thickness"])
    b = np.interp(at, STATIONS["x"], STATIONS["width"])
    assert bar().mass == pytest.approx(7850.0 * np.trapezoid(h * b, at), rel=1e-9)


def test_dividing_changes_nothing_but_the_edges() -> None:
    """New edges appear, sections stay on the same lines, and the mass is the same."""
    divided = subdivided(bar(), [0.005, 0.010, 0.020])
    np.testing.assert_array_equal(divided.edges, [0.0, 0.005, 0.010, 0.020, 0.025])
    np.testing.assert_allclose(divided.thickness[0], [0.0004, 0.00035])
    np.testing.assert_allclose(divided.thickness[3, 0], 0.0002 + 0.0001 / 3.0)
    assert divided.mass == pytest.approx(bar().mass, rel=1e-14)


def test_a_cut_takes_its_depth_off_its_zone_only() -> None:
    """The profile steps by the depth at both ends of the zone and nowhere else."""
    cut = thinned(bar(), start=0.015, stop=0.025, depth=5e-6)
    np.testing.assert_allclose(cut.edges, [0.0, 0.010, 0.015, 0.025])
    np.testing.assert_array_equal(cut.thickness[:2], subdivided(bar(), [0.015]).thickness[:2])
    assert cut.thickness[2, 1] == pytest.approx(0.0002 - 5e-6)
    assert cut.thinnest == pytest.approx(0.000195)
    assert bar().thinnest == 0.0002


def test_other_metal_and_mass_leave_the_shape_alone() -> None:
    """The changed bar is a new one; the old keeps its values."""
    old = bar()
    assert old.with_modulus(1.0e11).youngs_modulus == 1.0e11
    assert old.with_tip_mass(1e-6).tip_mass == 1e-6
    assert (old.youngs_modulus, old.tip_mass) == (2.0e11, 0.0)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"x": [0.002, 0.010, 0.025]}, r"at the clamp, x = 0, got 2 mm"),
        ({"x": [0.0, 0.010, 0.010]}, r"from root to tip.*got 10 mm after 10 mm"),
        ({"x": [0.0, 0.010, 0.008]}, r"got 8 mm after 10 mm"),
        ({"x": [0.0, np.nan, 0.025]}, r"finite"),
        ({"thickness": [0.0004, 0.0, 0.0002]}, r"thickness.*got 0 mm at 10 mm from the root"),
        ({"thickness": [0.0004, 0.0003, -0.0001]}, r"got -0\.1 mm at 25 mm"),
        ({"thickness": [0.0, 0.0003, 0.0002]}, r"got 0 mm at 0 mm"),
        ({"thickness": [0.0004, np.inf, 0.0002]}, r"thickness must be above zero"),
        ({"width": [0.003, 0.003, -0.002]}, r"width must be above zero"),
        ({"width": [0.003, 0.003]}, r"3 positions, 3 thicknesses and 2 widths"),
        ({"x": [0.0], "thickness": [0.001], "width": [0.01]}, r"at least two stations"),
        ({"youngs_modulus": 0.0}, r"Young's modulus must be above zero"),
        ({"density": -1.0}, r"density must be above zero"),
        ({"density": np.nan}, r"density must be above zero"),
        ({"tip_mass": -1e-6}, r"must not be negative, got -1 mg"),
        ({"thickness": [0.0004, 0.0003, 0.0], "tip_mass": 1e-6}, r"cannot carry a mass, got 1 mg"),
        ({"thickness": [0.003, 0.0003, 0.0002]}, r"<= 0\.1, got 0\.120"),
    ],
)
def test_what_is_no_bar_is_refused(changes: dict[str, object], message: str) -> None:
    """Each impossible profile is refused with the rule and the value that broke it."""
    with pytest.raises(ModelError, match=message):
        bar(**changes)


@pytest.mark.parametrize("section", ["thickness", "width"])
def test_a_section_may_end_at_zero_at_the_tip(section: str) -> None:
    """A wedge, or a tongue drawn to a point, is a bar."""
    ends = list(STATIONS[section])
    ends[-1] = 0.0
    assert bar(**{section: ends}).is_pointed is (section == "thickness")


@pytest.mark.parametrize(("start", "stop"), [(0.02, 0.01), (-0.001, 0.01), (0.02, 0.026)])
def test_a_cut_outside_the_bar_is_refused(start: float, stop: float) -> None:
    """A zone must run outwards and lie inside the bar."""
    with pytest.raises(ModelError, match="between 0 and the length 25 mm"):
        thinned(bar(), start=start, stop=stop, depth=1e-6)


def test_a_cut_through_the_bar_is_refused() -> None:
    """More than there is cannot be taken off."""
    with pytest.raises(ModelError, match="must leave metal"):
        thinned(bar(), start=0.015, stop=0.025, depth=0.0002)


def test_a_pointed_bar_can_be_thinned_at_its_root() -> None:
    """Only the zone must keep metal; a point elsewhere is no hindrance."""
    pointed = bar(thickness=[0.0004, 0.0003, 0.0])
    cut = thinned(pointed, start=0.001, stop=0.008, depth=5e-6)
    assert cut.mass < pointed.mass
    with pytest.raises(ModelError, match="must leave metal"):
        thinned(pointed, start=0.015, stop=0.025, depth=1e-9)


def test_dividing_outside_the_bar_is_refused() -> None:
    """An edge beyond the tip belongs to no piece."""
    with pytest.raises(ModelError, match="divided between 0 and its length 25 mm"):
        subdivided(bar(), [0.026])
