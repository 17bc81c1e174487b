"""The falling bench: pressure m g / A, and how long a take lasts."""

import math

import pytest

from reedwright.errors import ModelError
from reedwright.reedwork.falling_bench import FallingBench, flow_ml_s, pressure_pa, take_s

#: A disc of 160 mm with 400 g on it, falling 120 mm.
BENCH = FallingBench(falling_mass_kg=0.4, area_cm2=math.pi * 8.0**2, travel_mm=120.0)


def test_pressure_and_volume_of_a_disc() -> None:
    """195.1 Pa and 2413 ml, worked by hand: 0.4 x 9.80665 / 0.020106, and 201.06 x 12."""
    assert pressure_pa(BENCH) == pytest.approx(195.10, abs=0.01)
    assert BENCH.volume_ml == pytest.approx(2412.7, abs=0.1)


def test_a_fall_of_twenty_seconds_lets_a_reed_sound_as_long() -> None:
    """120.6 ml/s of leaks and reed together; a take at that flow lasts the 20 s again."""
    flow = flow_ml_s(BENCH, fall_s=20.0)
    assert flow == pytest.approx(120.64, abs=0.01)
    assert take_s(BENCH, flow_ml_s=flow) == pytest.approx(20.0)


@pytest.mark.parametrize("field", ["falling_mass_kg", "area_cm2", "travel_mm"])
def test_a_bench_without_size_is_refused(field: str) -> None:
    """Each measure must be above zero, and the refusal names it."""
    sizes = {"falling_mass_kg": 0.4, "area_cm2": 200.0, "travel_mm": 120.0, field: 0.0}
    with pytest.raises(ModelError, match=f"{field} of a bench must be above zero, got 0"):
        FallingBench(**sizes)


def test_a_fall_in_no_time_is_refused() -> None:
    """No time and no flow give no take."""
    with pytest.raises(ModelError, match="got 0 s"):
        flow_ml_s(BENCH, fall_s=0.0)
    with pytest.raises(ModelError, match="got -1 ml/s"):
        take_s(BENCH, flow_ml_s=-1.0)
