"""Frequencies of a bar: how they scale, and that the way of solving them is sound."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reedwright.errors import ModelError
from reedwright.science.cantilever import Cantilever, cantilever_from_stations, subdivided
from reedwright.science.cantilever_modes import natural_modes
from reedwright.units import cents_from_ratio

PROFILE = {
    "x": np.array([0.0, 0.004, 0.011, 0.019, 0.027]),
    "thickness": np.array([0.00042, 0.00037, 0.00025, 0.00024, 0.00031]),
    "width": np.array([0.0032, 0.0031, 0.0030, 0.0027, 0.0025]),
}


def bar(
    *,
    length: float = 1.0,
    thickness: float = 1.0,
    width: float = 1.0,
    modulus: float = 1.0,
    density: float = 1.0,
    tip_mass: float = 0.0,
) -> Cantilever:
    """Return the bar above with its dimensions times the factors given."""
    return cantilever_from_stations(
        x=PROFILE["x"] * length,
        thickness=PROFILE["thickness"] * thickness,
        width=PROFILE["width"] * width,
        youngs_modulus=2.0e11 * modulus,
        density=7850.0 * density,
        tip_mass=tip_mass,
    )


factors = st.floats(min_value=0.5, max_value=2.0)


@settings(max_examples=50, deadline=None)
@given(length=factors, thickness=factors, width=factors, modulus=factors, density=factors)
def test_scaling(
    length: float, thickness: float, width: float, modulus: float, density: float
) -> None:
    """Frequency goes as h / L^2 sqrt(E / rho), and the width cancels, to 1e-9 cent."""
    changed = bar(length=length, thickness=thickness, width=width, modulus=modulus, density=density)
    expected = thickness / length**2 * np.sqrt(modulus / density)
    ratios = natural_modes(changed).frequencies / natural_modes(bar()).frequencies
    assert max(abs(cents_from_ratio(ratio / expected)) for ratio in ratios) < 1e-8


@settings(max_examples=30, deadline=None)
@given(st.lists(st.floats(min_value=1e-6, max_value=0.0269), min_size=1, max_size=6))
def test_more_stations_on_the_same_lines_change_nothing(extra: list[float]) -> None:
    """Wherever extra stations lie, five frequencies stay within 1e-4 cent, however close."""
    ratios = natural_modes(subdivided(bar(), extra)).frequencies / natural_modes(bar()).frequencies
    assert max(abs(cents_from_ratio(ratio)) for ratio in ratios) < 1e-4


def test_stations_a_hair_apart_cost_nothing() -> None:
    """Two stations 1e-9 mm apart leave the first frequency as it is, to 1e-8 cent."""
    close = subdivided(bar(), [0.015, 0.015 + 1e-12])
    ratio = natural_modes(close).frequencies[0] / natural_modes(bar()).frequencies[0]
    assert abs(cents_from_ratio(ratio)) < 1e-8


@pytest.mark.parametrize("ratio", [0.1, 0.02, 0.003, 1e-6])
def test_steep_tapers_are_settled(ratio: float) -> None:
    """A bar thinning to almost nothing keeps five frequencies within 2e-4 cent on finer cuts."""
    steep = cantilever_from_stations(
        x=[0.0, 0.02],
        thickness=[0.0004, 0.0004 * ratio],
        width=[0.003, 0.003],
        youngs_modulus=2.0e11,
        density=7850.0,
    )
    finer = subdivided(steep, 0.02 * (1.0 - np.geomspace(1e-4, 1.0, 30)))
    ratios = natural_modes(finer).frequencies / natural_modes(steep).frequencies
    assert max(abs(cents_from_ratio(each)) for each in ratios) < 2e-4


def test_a_tip_that_is_almost_a_point_sounds_like_one() -> None:
    """There is no jump between a very thin tip and none."""
    frequencies = [
        natural_modes(
            cantilever_from_stations(
                x=[0.0, 0.02],
                thickness=[0.0004, tip],
                width=[0.003, 0.003],
                youngs_modulus=2.0e11,
                density=7850.0,
            )
        ).frequencies
        for tip in (0.0, 1e-12)
    ]
    np.testing.assert_allclose(frequencies[0], frequencies[1], rtol=1e-8)


def test_shape_is_still_at_the_clamp_and_one_at_the_tip() -> None:
    """Every mode shape starts flat at zero and ends at one; mode k crosses zero k times."""
    modes = natural_modes(bar())
    at = np.linspace(0.0, 0.027, 2001)
    for mode in range(5):
        shape = modes.shape(at, mode=mode)
        assert shape[0] == 0.0
        assert shape[-1] == pytest.approx(1.0)
        assert abs(shape[1]) < 1e-3
        assert np.count_nonzero(np.diff(np.sign(shape[1:]))) == mode


def test_shapes_are_smooth_across_elements() -> None:
    """Deflection and slope run on from one element to the next."""
    modes = natural_modes(bar())
    inner = modes.elements.edges[1:-1]
    below, here, above = (modes.shape(inner + step, mode=2) for step in (-1e-8, 0.0, 1e-8))
    np.testing.assert_allclose(above - here, here - below, atol=1e-9)


def test_modes_do_not_move_one_another() -> None:
    """Two modes are orthogonal with respect to mass, the tip's included."""
    loaded = bar(tip_mass=3e-6)
    modes = natural_modes(loaded)
    at = np.linspace(0.0, 0.027, 20001)
    per_length = (
        7850.0
        * np.interp(at, PROFILE["x"], PROFILE["thickness"])
        * np.interp(at, PROFILE["x"], PROFILE["width"])
    )
    shapes = [modes.shape(at, mode=mode) for mode in range(5)]
    products = np.array(
        [[np.trapezoid(per_length * a * b, at) + 3e-6 for b in shapes] for a in shapes]
    )
    sizes = np.sqrt(np.diag(products))
    np.testing.assert_allclose(products / np.outer(sizes, sizes), np.eye(5), atol=1e-6)


@pytest.mark.parametrize("count", [0, 11])
def test_too_few_or_too_many_modes_are_refused(count: int) -> None:
    """One to ten modes can be asked for."""
    with pytest.raises(ModelError, match=f"got {count}"):
        natural_modes(bar(), count=count)


def test_fewer_modes_are_the_same_ones() -> None:
    """Asking for one mode gives the first of five."""
    one, five = natural_modes(bar(), count=1), natural_modes(bar(), count=5)
    assert one.frequencies.shape == (1,)
    assert one.frequencies[0] == pytest.approx(five.frequencies[0], rel=1e-13)


def test_a_place_beyond_the_tip_is_refused() -> None:
    """The shape is asked for on the bar only."""
    with pytest.raises(ModelError, match="between 0 and 27 mm"):
        natural_modes(bar()).shape([0.028])
