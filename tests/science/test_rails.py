"""Clipping told from loudness."""

import numpy as np
import pytest
from numpy.typing import NDArray

from reedwright.science.rails import clipped_fraction

RATE = 44_100.0
TIMES = np.arange(int(RATE)) / RATE


def rounded(sound: NDArray[np.float64], bits: int) -> NDArray[np.float64]:
    """Return a sound as a converter of so many bits would give it."""
    scale = 2.0 ** (bits - 1)
    return np.asarray(np.clip(np.round(scale * sound), -scale, scale - 1.0) / scale)


@pytest.mark.parametrize("rail", [1.0, 0.4, 0.01])
@pytest.mark.parametrize("bits", [None, 16])
def test_the_share_of_a_cut_sine_is_counted(rail: float, bits: int | None) -> None:
    """A sine of twice the rail is beyond it from 30 to 150 degrees of each half turn: 2/3."""
    cut = np.clip(2.0 * rail * np.sin(2 * np.pi * 441.3 * TIMES), -rail, rail)
    if bits is not None:
        cut = rounded(0.999 * cut, bits)
    assert clipped_fraction(cut) == pytest.approx(2 / 3, abs=0.01)


def test_one_rail_is_enough() -> None:
    """Tops cut on one side only count once: a third."""
    sine = np.sin(2 * np.pi * 300.7 * TIMES)
    assert clipped_fraction(np.minimum(sine, 0.5)) == pytest.approx(1 / 3, abs=0.01)


@pytest.mark.parametrize("bits", [None, 24, 16, 12])
def test_a_clean_loud_sine_is_not_clipped(bits: int | None) -> None:
    """At any pitch, also those that divide the sampling rate, and where tops are flat for long."""
    frequencies = [20.0, 41.2, 49.0, 110.0, 281.0, RATE / 100, RATE / 16, RATE / 8, 2093.0]
    for frequency in frequencies:
        sine = 0.9999 * np.sin(2 * np.pi * frequency * TIMES + 0.3)
        assert clipped_fraction(sine if bits is None else rounded(sine, bits)) == 0.0


def test_a_slow_sine_hit_by_the_converter_is_told_by_its_steep_tops() -> None:
    """49 Hz in 16 bits: clean tops are flat for several samples, cut ones enter steeply."""
    sine = np.sin(2 * np.pi * 49.0 * TIMES)
    assert clipped_fraction(rounded(0.999 * sine, 16)) == 0.0
    beyond = 2.0 * np.arccos(0.999 / 1.05) / np.pi
    cut = rounded(np.clip(1.05 * sine, -0.999, 0.999), 16)
    assert clipped_fraction(cut) == pytest.approx(beyond, rel=0.05)


def test_noise_silence_and_single_hits_are_not_clipping() -> None:
    """Noise, silence, a few samples, and one held value are no cut-off tops."""
    rng = np.random.default_rng(0)
    assert clipped_fraction(rounded(0.2 * rng.standard_normal(20_000), 16)) == 0.0
    assert clipped_fraction(np.zeros(1000)) == 0.0
    assert clipped_fraction(np.array([0.1, 1.0, 1.0])) == 0.0
    held = 0.1 * rng.standard_normal(1000)
    held[500:510] = 1.0
    assert clipped_fraction(held) == 0.0
