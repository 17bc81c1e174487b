"""Sensitivity of the pitch to metal: first order against the whole model, and the neutral point."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reedwright.errors import ModelError
from reedwright.science.cantilever import (
    Cantilever,
    cantilever_from_stations,
    subdivided,
    thinned,
)
from reedwright.science.cantilever_modes import natural_modes
from reedwright.science.cantilever_sensitivity import (
    cut_sensitivity,
    mass_sensitivity,
    neutral_point,
    thickness_sensitivity,
)
from reedwright.units import CENTS_PER_NATURAL_LOG, cents_from_ratio


def bar(*relative_thickness: float, tip_mass: float = 0.0) -> Cantilever:
    """Return a bar 30 mm long with a root 0.3 mm thick and stations at equal distances."""
    thickness = 0.0003 * np.array(relative_thickness)
    return cantilever_from_stations(
        x=np.linspace(0.0, 0.030, thickness.size),
        thickness=thickness,
        width=np.linspace(0.0035, 0.0028, thickness.size),
        youngs_modulus=2.0e11,
        density=7850.0,
        tip_mass=tip_mass,
    )


def uniform() -> Cantilever:
    return cantilever_from_stations(
        x=[0.0, 0.030],
        thickness=[0.0003, 0.0003],
        width=[0.003, 0.003],
        youngs_modulus=2.0e11,
        density=7850.0,
    )


def change_cents(cantilever: Cantilever, start: float, stop: float, depth: float) -> float:
    """Return what the whole model says of a cut, both times on the same elements."""
    before = natural_modes(subdivided(cantilever, [start, stop]), count=1).frequencies[0]
    after = natural_modes(thinned(cantilever, start=start, stop=stop, depth=depth), count=1)
    return cents_from_ratio(after.frequencies[0] / before)


@pytest.mark.parametrize(
    ("start", "stop", "of_model", "first_order"),
    [
        (0.0, 0.1, (-0.9037, -9.160, -48.69, -105.37), -0.9023),
        (0.1, 0.2, (-0.6567, -6.664, -35.62, -77.69), -0.6556),
        (0.3, 0.4, (-0.2771, -2.821, -15.28, -33.95), -0.2766),
        (0.5, 0.6, (-0.0290, -0.306, -1.918, -4.967), -0.0289),
        (0.8, 0.9, (0.2171, 2.173, 10.91, 21.94), 0.2170),
        (0.9, 1.0, (0.3008, 3.012, 15.16, 30.58), 0.3007),
    ],
)
def test_cuts_in_a_uniform_bar(
    start: float, stop: float, of_model: tuple[float, ...], first_order: float
) -> None:
    """Cents for 0.1, 1, 5 and 10 % off a tenth of the length.

    The numbers were computed before this model existed, with cubic elements, four
    figures kept; they hold here to the last of them.
    """
    for fraction, expected in zip((0.001, 0.01, 0.05, 0.10), of_model, strict=True):
        change = change_cents(uniform(), start * 0.030, stop * 0.030, fraction * 0.0003)
        assert change == pytest.approx(expected, rel=2e-4, abs=6e-5 if fraction < 0.01 else 6e-4)
    modes = natural_modes(uniform(), count=1)
    integral = cut_sensitivity(modes, start=start * 0.030, stop=stop * 0.030)
    first = -0.001 * 0.0003 * integral * CENTS_PER_NATURAL_LOG
    assert first == pytest.approx(first_order, abs=6e-5)


thicknesses = st.lists(st.floats(min_value=0.5, max_value=1.6), min_size=2, max_size=6)


@settings(max_examples=40, deadline=None)
@given(thicknesses, st.floats(0.0, 0.9), st.floats(0.02, 0.5), st.floats(0.0, 5e-6))
def test_a_small_cut_does_what_the_sensitivity_says(
    relative: list[float], start: float, part: float, tip_mass: float
) -> None:
    """On any profile a nanometre off any zone moves the whole model as the integral of S."""
    cantilever = bar(*relative, tip_mass=tip_mass)
    zone = (0.030 * start, 0.030 * min(start + part, 1.0))
    integral = cut_sensitivity(natural_modes(cantilever, count=1), start=zone[0], stop=zone[1])
    expected = -1e-9 * integral * CENTS_PER_NATURAL_LOG
    scale = 1e-9 / 0.0003 * CENTS_PER_NATURAL_LOG
    assert change_cents(cantilever, *zone, 1e-9) == pytest.approx(
        expected, rel=1e-3, abs=1e-4 * scale
    )


@settings(max_examples=40, deadline=None)
@given(thicknesses, st.floats(0.0, 2e-5))
def test_outside_the_neutral_point_filing_sharpens_and_at_the_root_it_flattens(
    relative: list[float], tip_mass: float
) -> None:
    """Beyond the neutral point deeper cuts raise the pitch more; at the root they lower it more."""
    cantilever = bar(*relative, tip_mass=tip_mass)
    neutral = 0.030 * neutral_point(natural_modes(cantilever, count=1))
    at_tip = [change_cents(cantilever, neutral, 0.030, depth) for depth in (1e-6, 2e-6, 4e-6)]
    assert 0.0 < at_tip[0] < at_tip[1] < at_tip[2]
    at_root = [change_cents(cantilever, 0.0, 0.0015, depth) for depth in (1e-6, 2e-6, 4e-6)]
    assert 0.0 > at_root[0] > at_root[1] > at_root[2]


@settings(max_examples=40, deadline=None)
@given(thicknesses, st.floats(0.0, 2e-5))
def test_sensitivity_changes_sign_at_the_neutral_point(
    relative: list[float], tip_mass: float
) -> None:
    """S is positive just inside it, negative just outside, and negative on to the tip."""
    modes = natural_modes(bar(*relative, tip_mass=tip_mass), count=1)
    neutral = 0.030 * neutral_point(modes)
    outside = np.linspace(neutral + 1e-6, 0.030, 200)
    assert thickness_sensitivity(modes, neutral - 1e-6) > 0.0
    assert np.all(thickness_sensitivity(modes, outside) < 0.0)


@pytest.mark.parametrize(
    ("relative", "expected"),
    [
        # Computed before this model existed, with cubic elements; width uniform there.
        ((1.0, 1.0), 0.5794),
        ((1.0, 0.6), 0.6141),
        ((1.0, 0.4), 0.6362),
        ((0.6, 1.0), 0.5387),
    ],
)
def test_neutral_points_of_plain_tapers(relative: tuple[float, float], expected: float) -> None:
    """It moves outwards as the tip thins; four figures of an earlier computation hold."""
    cantilever = cantilever_from_stations(
        x=[0.0, 0.030],
        thickness=0.0003 * np.array(relative),
        width=[0.003, 0.003],
        youngs_modulus=2.0e11,
        density=7850.0,
    )
    assert neutral_point(natural_modes(cantilever, count=1)) == pytest.approx(expected, abs=6e-5)


@pytest.mark.parametrize("mass_ratio", [1.0e2, 1.0e4, 1.0e8])
def test_a_great_tip_mass_drives_the_neutral_point_to_the_tip(mass_ratio: float) -> None:
    """With a mass mu times the bar it nears 1 - 1/(3 sqrt mu), and is found however near.

    The shape is then that of a force at the tip, y'' = 3 (1 - x), so that
    3 y''^2 / int y''^2 = y^2 / mu gives 9 (1 - x)^2 = 1 / mu.
    """
    heavy = uniform().with_tip_mass(mass_ratio * uniform().mass)
    gap = 1.0 - neutral_point(natural_modes(heavy, count=1))
    assert gap * 3.0 * np.sqrt(mass_ratio) == pytest.approx(1.0, rel=1.0 / np.sqrt(mass_ratio))


def test_a_step_in_thickness_can_be_the_neutral_point() -> None:
    """Where the thickness steps up towards the tip, S may jump down through zero: that is it."""
    stepped = thinned(uniform(), start=0.0, stop=0.030 * 0.5, depth=0.00012)
    modes = natural_modes(stepped, count=1)
    inside, outside = thickness_sensitivity(modes, [0.030 * 0.5 - 1e-9, 0.030 * 0.5 + 1e-9])
    assert inside > 0.1 * abs(outside)
    assert outside < 0.0
    assert neutral_point(modes) == pytest.approx(0.5, abs=1e-12)


def test_the_width_may_end_in_a_point() -> None:
    """A tongue drawn to a point in width has its neutral point where metal of any width has."""
    pointed = cantilever_from_stations(
        x=[0.0, 0.030],
        thickness=[0.0003, 0.0003],
        width=[0.003, 0.0],
        youngs_modulus=2.0e11,
        density=7850.0,
    )
    modes = natural_modes(pointed, count=1)
    neutral = 0.030 * neutral_point(modes)
    assert thickness_sensitivity(modes, 0.030) == 0.0
    assert change_cents(pointed, neutral, 0.0299, 1e-7) > 0.0
    assert change_cents(pointed, neutral - 0.002, neutral, 1e-7) < 0.0


def test_mass_sensitivity_agrees_with_the_whole_model() -> None:
    """A microgram at the tip of a bellied tongue lowers the pitch as predicted."""
    cantilever = bar(1.0, 0.7, 0.6, 0.8, 1.0)
    before = natural_modes(cantilever, count=1)
    after = natural_modes(cantilever.with_tip_mass(1e-9), count=1)
    expected = float(mass_sensitivity(before, 0.030)) * 1e-9
    assert np.log(after.frequencies[0] / before.frequencies[0]) == pytest.approx(expected, rel=1e-4)


def test_a_zone_outside_the_bar_is_refused() -> None:
    """The integral is taken inside the bar only."""
    with pytest.raises(ModelError, match="choose a zone inside"):
        cut_sensitivity(natural_modes(uniform(), count=1), start=0.02, stop=0.031)
