"""Depths and masses that move a bar by so many cents, against solving the whole model anew."""

import pytest

from reedwright.reedwork.cut import Cut, tip_mass_for_change
from reedwright.science.cantilever import Cantilever, cantilever_from_stations, thinned
from reedwright.science.cantilever_modes import natural_modes
from reedwright.units import cents_from_ratio

LENGTH = 0.025


def bar(tip_mass: float = 0.0, tip_thickness: float = 0.00024) -> Cantilever:
    return cantilever_from_stations(
        x=[0.0, 0.010, LENGTH],
        thickness=[0.00034, 0.00029, tip_thickness],
        width=[0.0029, 0.0027, 0.0024],
        youngs_modulus=2.0e11,
        density=7850.0,
        tip_mass=tip_mass,
    )


def first(cantilever: Cantilever) -> float:
    return float(natural_modes(cantilever, count=1).frequencies[0])


def cut(start: float, stop: float) -> Cut:
    return Cut(bar(), natural_modes(bar(), count=1), start, stop)


TIP, ROOT = (0.017, LENGTH), (0.001, 0.008)


@pytest.mark.parametrize(("zone", "cents"), [(TIP, 60.0), (TIP, 5.0), (ROOT, -60.0), (ROOT, -5.0)])
def test_the_depth_found_gives_the_change_asked_for(
    zone: tuple[float, float], cents: float
) -> None:
    """Thinning a bar by the depth moves its pitch by the cents, to 0.001."""
    depth = cut(*zone).depth_for(cents, deepest=5e-5)
    assert depth is not None
    after = thinned(bar(), start=zone[0], stop=zone[1], depth=depth)
    assert cents_from_ratio(first(after) / first(bar())) == pytest.approx(cents, abs=1e-3)


def test_first_order_falls_short_near_the_root() -> None:
    """The slope alone asks for a deeper cut than is right: flattening grows with depth."""
    depth = cut(*ROOT).depth_for(-60.0, deepest=5e-5)
    assert depth is not None
    first_order = -60.0 / cut(*ROOT).slope_cents()
    assert 1.02 < first_order / depth < 1.10


def test_a_change_beyond_the_deepest_cut_is_not_found() -> None:
    """None comes back, not the deepest cut."""
    assert cut(*TIP).depth_for(60.0, deepest=5e-6) is None
    assert cut(*ROOT).depth_for(-60.0, deepest=5e-6) is None
    assert cut(*TIP).depth_for(4000.0, deepest=5e-6) is None


def test_a_change_just_within_the_deepest_cut_is_found() -> None:
    """The limit itself may be used, even where first order would pass it."""
    exact = cut(*ROOT).depth_for(-60.0, deepest=5e-5)
    assert exact is not None
    assert cut(*ROOT).depth_for(-60.0, deepest=exact * 1.0001) == pytest.approx(exact, rel=1e-4)


def test_the_mass_of_a_cut_is_its_volume() -> None:
    """Width at the middle of a straight-sided zone times length, depth and density."""
    zone = cut(0.012, 0.022)
    middle = 0.0027 + (0.0024 - 0.0027) * (0.017 - 0.010) / 0.015
    assert zone.mass(1e-6) == pytest.approx(7850.0 * 1e-6 * 0.010 * middle, rel=1e-9)


def test_thinnest_is_within_the_zone() -> None:
    """At the root the thinnest place of the zone is its outer end, not the tip."""
    assert cut(*ROOT).thinnest == pytest.approx(0.00034 - 0.00005 * 0.8)
    assert cut(*TIP).thinnest == pytest.approx(0.00024)


@pytest.mark.parametrize("cents", [-250.0, -100.0, -3.0])
def test_the_tip_mass_found_lowers_the_pitch_as_asked(cents: float) -> None:
    """Solved by the whole model, to 0.001 cent."""
    mass = tip_mass_for_change(bar(), natural_modes(bar(), count=1), change_cents=cents)
    assert mass is not None
    assert cents_from_ratio(first(bar(mass)) / first(bar())) == pytest.approx(cents, abs=1e-3)


def test_a_tip_mass_is_made_lighter_to_raise_the_pitch() -> None:
    """What is given back is all of the mass that should then be there."""
    heavy = bar(5e-6)
    mass = tip_mass_for_change(heavy, natural_modes(heavy, count=1), change_cents=20.0)
    assert mass is not None
    assert 0.0 < mass < 5e-6
    assert cents_from_ratio(first(bar(mass)) / first(heavy)) == pytest.approx(20.0, abs=1e-3)


def test_no_mass_raises_the_pitch_of_a_bare_tongue() -> None:
    """Nor does taking all of a weight off, if the reed was flatter than it made it."""
    bare = bar()
    assert tip_mass_for_change(bare, natural_modes(bare, count=1), change_cents=5.0) is None
    light = bar(1e-7)
    assert tip_mass_for_change(light, natural_modes(light, count=1), change_cents=50.0) is None


def test_a_pointed_tip_carries_no_weight() -> None:
    """There is nothing to solder to."""
    pointed = bar(tip_thickness=0.0)
    modes = natural_modes(pointed, count=1)
    assert tip_mass_for_change(pointed, modes, change_cents=-20.0) is None
