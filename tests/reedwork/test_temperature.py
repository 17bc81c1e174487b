"""Temperature: warm reeds read flat, by their metal's coefficient."""

import math
from dataclasses import replace

import pytest

from reedwright.catalogue.tongues import load_metal, load_metals
from reedwright.errors import InputError
from reedwright.reedwork.temperature import frequency_at_temperature, temperature_shift_cents
from reedwright.units import cents_from_ratio


def test_ten_kelvin_warmer_reads_two_to_three_cents_flat() -> None:
    """Steel 2.0, brass 3.3 cents: the sizes the trade reckons with (derived, no source)."""
    steel, _ = temperature_shift_cents(load_metal("steel"), from_celsius=15.0, to_celsius=25.0)
    brass, _ = temperature_shift_cents(load_metal("brass"), from_celsius=15.0, to_celsius=25.0)
    assert (steel, brass) == pytest.approx((-2.0, -3.3))


def test_a_steel_fork_of_old_lies_within_the_doubt() -> None:
    """Koenig's fork: -1.12e-4 per kelvin (Ann. Phys. 9 (1880) 394, from memory), -0.194 cent."""
    steel = load_metal("steel")
    koenig = -1.12e-4 * 1200.0 / math.log(2.0)
    assert steel.temperature_coefficient_cents_per_k is not None
    assert steel.temperature_coefficient_doubt_cents_per_k is not None
    difference = abs(steel.temperature_coefficient_cents_per_k - koenig)
    assert difference < steel.temperature_coefficient_doubt_cents_per_k


def test_derived_coefficients_lie_within_two_sigma() -> None:
    """(e + a) / 2 of the ranges recalled for steel and brass, in cents per kelvin."""
    ranges = {"steel": ((-2.8e-4, -2.4e-4), 11.5e-6), "brass": ((-4.4e-4, -3.6e-4), 19.5e-6)}
    for name, (moduli, expansion) in ranges.items():
        metal = load_metal(name)
        assert metal.temperature_coefficient_cents_per_k is not None
        assert metal.temperature_coefficient_doubt_cents_per_k is not None
        for modulus in moduli:
            derived = (modulus + expansion) / 2.0 * 1200.0 / math.log(2.0)
            difference = abs(derived - metal.temperature_coefficient_cents_per_k)
            assert difference < 2.0 * metal.temperature_coefficient_doubt_cents_per_k


def test_there_and_back_is_where_it_was() -> None:
    """A reading taken to another temperature and back is the same; the doubt never shrinks."""
    brass = load_metal("brass")
    warm = frequency_at_temperature(440.0, metal=brass, from_celsius=12.0, to_celsius=27.0)
    back = frequency_at_temperature(warm, metal=brass, from_celsius=27.0, to_celsius=12.0)
    assert back == pytest.approx(440.0, rel=1e-14)
    assert cents_from_ratio(warm / 440.0) == pytest.approx(-0.33 * 15.0)
    _, doubt = temperature_shift_cents(brass, from_celsius=27.0, to_celsius=12.0)
    assert doubt == pytest.approx(0.03 * 15.0)


def test_every_shipped_metal_has_a_coefficient_and_falls_with_warmth() -> None:
    """None is left without a figure and its doubt."""
    for metal in load_metals():
        shift, doubt = temperature_shift_cents(metal, from_celsius=20.0, to_celsius=21.0)
        assert -0.5 < shift < 0.0
        assert 0.0 < doubt < abs(shift)


def test_a_metal_without_a_coefficient_is_refused() -> None:
    """Nothing is guessed for a metal nobody has described."""
    unknown = replace(
        load_metal("steel"),
        metal="gold",
        temperature_coefficient_cents_per_k=None,
        temperature_coefficient_doubt_cents_per_k=None,
    )
    with pytest.raises(InputError, match="gold has none"):
        temperature_shift_cents(unknown, from_celsius=20.0, to_celsius=25.0)


def test_a_temperature_in_fahrenheit_is_refused() -> None:
    """68 is not a room in degrees Celsius."""
    with pytest.raises(InputError, match="got 68; check the unit"):
        temperature_shift_cents(load_metal("steel"), from_celsius=68.0, to_celsius=20.0)
