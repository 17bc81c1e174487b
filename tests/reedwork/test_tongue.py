"""A tongue as a bar: what is reported of it, and how it is made to sound as heard."""

from dataclasses import replace

import numpy as np
import pytest

from reedwright.errors import ModelError
from reedwright.reedwork.model import Metal, Station, Tongue
from reedwright.reedwork.tongue import calibrated, examine_tongue, stretched, tongue_as_bar
from reedwright.science.cantilever import subdivided, thinned
from reedwright.science.cantilever_modes import natural_modes
from reedwright.units import cents_from_ratio

STEEL = Metal("steel", 2.0e11, 7850.0, -0.2, 0.03, "a test")
TONGUE = Tongue(
    metal=STEEL,
    stations=(
        Station(0.0, 0.34, 2.9),
        Station(8.0, 0.30, 2.8),
        Station(17.0, 0.27, 2.6),
        Station(25.0, 0.25, 2.4),
    ),
    tip_mass_mg=0.0,
    is_assumed=False,
    thickness_doubt_fraction=0.03,
    length_doubt_fraction=0.01,
)


def first_hz(tongue: Tongue) -> float:
    return examine_tongue(tongue).frequencies_hz[0]


def test_a_level_tongue_sounds_as_the_textbook_says() -> None:
    """F = 0.16154 h / L^2 sqrt(E / rho), the millimetres turned into metres on the way."""
    level = replace(TONGUE, stations=(Station(0.0, 0.25, 3.0), Station(30.0, 0.25, 3.0)))
    modes = examine_tongue(level)
    expected = 0.161539 * 0.00025 / 0.030**2 * np.sqrt(2.0e11 / 7850.0)
    assert modes.frequencies_hz[0] == pytest.approx(expected, rel=1e-5)
    assert modes.neutral_point_fraction == pytest.approx(0.57938, abs=1e-5)
    assert modes.neutral_point_mm == pytest.approx(0.57938 * 30.0, abs=3e-4)
    assert modes.mass_mg == pytest.approx(7850.0 * 0.25 * 3.0 * 30.0 * 1e-3)
    assert len(modes.frequencies_hz) == 5


@pytest.mark.parametrize("middle_mm", [2.5, 12.5, 22.5])
def test_sensitivity_is_that_of_a_micrometre_over_a_millimetre(middle_mm: float) -> None:
    """Thinning a millimetre of the tongue by 0.01 um moves its pitch as reported there."""
    modes = examine_tongue(TONGUE)
    reported = np.interp(middle_mm, modes.positions_mm, modes.cents_per_um_mm)
    start, stop = (middle_mm - 0.5) * 1e-3, (middle_mm + 0.5) * 1e-3
    whole = subdivided(tongue_as_bar(TONGUE), [start, stop])
    cut = thinned(whole, start=start, stop=stop, depth=1e-8)
    before, after = (natural_modes(bar, count=1).frequencies[0] for bar in (whole, cut))
    assert cents_from_ratio(after / before) / 0.01 == pytest.approx(reported, rel=2e-3, abs=2e-4)


def test_a_little_solder_does_what_is_reported() -> None:
    """A microgram at the tip lowers the pitch by ``cents_per_tip_mg`` thousandths."""
    loaded = replace(TONGUE, tip_mass_mg=0.001)
    change = cents_from_ratio(first_hz(loaded) / first_hz(TONGUE))
    assert change == pytest.approx(0.001 * examine_tongue(TONGUE).cents_per_tip_mg, rel=1e-3)
    assert change < 0.0


@pytest.mark.parametrize("tip_mass_mg", [0.0, 4.0])
def test_a_measured_tongue_is_made_stiffer_or_softer(tip_mass_mg: float) -> None:
    """It then sounds as heard, its dimensions as measured; the move is what it was off."""
    measured = replace(TONGUE, tip_mass_mg=tip_mass_mg)
    own_hz = first_hz(measured)
    moved, moved_cents = calibrated(measured, frequency_hz=own_hz * 1.02)
    assert first_hz(moved) == pytest.approx(own_hz * 1.02, rel=1e-12)
    assert moved.stations == measured.stations
    assert moved_cents == pytest.approx(cents_from_ratio(1.02))
    assert moved.metal.youngs_modulus_pa == pytest.approx(2.0e11 * 1.02**2)


def test_an_assumed_tongue_is_made_thicker_or_thinner() -> None:
    """It then sounds as heard, of the metal it was, every thickness scaled alike."""
    assumed = replace(TONGUE, is_assumed=True)
    own_hz = first_hz(assumed)
    moved, _ = calibrated(assumed, frequency_hz=own_hz * 0.9)
    assert first_hz(moved) == pytest.approx(own_hz * 0.9, rel=1e-12)
    assert moved.metal == STEEL
    ratios = [
        new.thickness_mm / old.thickness_mm
        for new, old in zip(moved.stations, assumed.stations, strict=True)
    ]
    assert ratios == pytest.approx([0.9] * 4)


def test_an_assumed_tongue_with_solder_still_sounds_as_heard() -> None:
    """With a tip mass thickness does not scale the pitch; the modulus is used and does."""
    assumed = replace(TONGUE, is_assumed=True, tip_mass_mg=4.0)
    moved, _ = calibrated(assumed, frequency_hz=300.0)
    assert first_hz(moved) == pytest.approx(300.0, rel=1e-12)


def test_a_longer_assumed_tongue_keeps_its_pitch() -> None:
    """Assumed longer it is assumed thicker, by the square; a measured one only longer."""
    assumed = replace(TONGUE, is_assumed=True)
    assert first_hz(stretched(assumed, factor=1.1)) == pytest.approx(first_hz(assumed), rel=1e-12)
    assert stretched(assumed, factor=1.1).length_mm == pytest.approx(27.5)
    longer = stretched(TONGUE, factor=1.1)
    assert longer.stations[0].thickness_mm == 0.34
    assert first_hz(longer) == pytest.approx(first_hz(TONGUE) / 1.21, rel=1e-12)


@pytest.mark.parametrize("frequency_hz", [0.0, -440.0, float("nan"), float("inf")])
def test_an_impossible_pitch_is_refused(frequency_hz: float) -> None:
    """A pitch heard is a number above zero."""
    with pytest.raises(ModelError, match="above zero"):
        calibrated(TONGUE, frequency_hz=frequency_hz)


def test_a_tongue_that_is_no_bar_is_refused_in_millimetres() -> None:
    """The message speaks of the millimetres that were typed."""
    backwards = replace(TONGUE, stations=(Station(0.0, 0.3, 3.0), Station(-5.0, 0.3, 3.0)))
    with pytest.raises(ModelError, match="got -5 mm after 0 mm"):
        tongue_as_bar(backwards)
