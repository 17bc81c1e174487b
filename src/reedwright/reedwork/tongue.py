"""A tongue as the model of a bar sees it: its modes, its calibration to a pitch heard."""

from dataclasses import replace

import numpy as np

from reedwright.errors import ModelError
from reedwright.reedwork.model import Tongue, TongueModes
from reedwright.science.cantilever import Cantilever, cantilever_from_stations
from reedwright.science.cantilever_modes import natural_modes
from reedwright.science.cantilever_sensitivity import (
    mass_sensitivity,
    neutral_point,
    thickness_sensitivity,
)
from reedwright.units import (
    CENTS_PER_NATURAL_LOG,
    cents_from_ratio,
    metres_from_mm,
    metres_from_um,
    milligrams_from_kg,
    mm_from_metres,
)

__all__ = ["calibrated", "examine_tongue", "stretched", "tongue_as_bar"]

#: Modes whose frequencies are reported.
MODES = 5

#: Places along the tongue where the sensitivity is reported.
POSITIONS = 101


def tongue_as_bar(tongue: Tongue) -> Cantilever:
    """Return the tongue as a clamped bar, in SI units.

    Raises
    ------
    ModelError
        If the stations do not describe a bar (``science.cantilever``).
    """
    return cantilever_from_stations(
        x=[metres_from_mm(station.x_mm) for station in tongue.stations],
        thickness=[metres_from_mm(station.thickness_mm) for station in tongue.stations],
        width=[metres_from_mm(station.width_mm) for station in tongue.stations],
        youngs_modulus=tongue.metal.youngs_modulus_pa,
        density=tongue.metal.density_kg_m3,
        tip_mass=tongue.tip_mass_mg / milligrams_from_kg(1.0),
    )


def examine_tongue(tongue: Tongue) -> TongueModes:
    """Return what a tongue does by itself: frequencies, neutral point, where filing tells.

    The frequencies are those of Euler-Bernoulli theory with a rigid clamp; a real
    reed's clamp gives and it sounds in air, so expect its pitch some tens of cents
    off. Where to file is told much more truly than the pitch.

    Raises
    ------
    ModelError
        If the stations do not describe a bar.
    """
    bar = tongue_as_bar(tongue)
    modes = natural_modes(bar, count=MODES)
    fraction = neutral_point(modes)
    at = np.linspace(0.0, bar.length, POSITIONS)
    rise_per_metre_off = -thickness_sensitivity(modes, at) * CENTS_PER_NATURAL_LOG
    fall_per_kg = float(mass_sensitivity(modes, bar.length)) * CENTS_PER_NATURAL_LOG
    return TongueModes(
        frequencies_hz=tuple(float(frequency) for frequency in modes.frequencies),
        neutral_point_fraction=fraction,
        neutral_point_mm=mm_from_metres(fraction * bar.length),
        mass_mg=milligrams_from_kg(bar.mass),
        positions_mm=tuple(float(x) for x in mm_from_metres(1.0) * at),
        cents_per_um_mm=tuple(
            float(rise) for rise in rise_per_metre_off * metres_from_um(1.0) * metres_from_mm(1.0)
        ),
        cents_per_tip_mg=fall_per_kg / milligrams_from_kg(1.0),
    )


def calibrated(tongue: Tongue, *, frequency_hz: float) -> tuple[Tongue, float]:
    """Return the tongue made to sound at the pitch heard, and by how many cents it was moved.

    Of a measured tongue the modulus is scaled: dimensions were seen, and the
    modulus takes up what the model leaves out (metal, the give of the clamp, air).
    Of an assumed tongue the thickness is scaled: at a given length it is the least
    known, and the pitch tells it. Both are exact, f going as sqrt(E) and, without a
    tip mass, as h; an assumed tongue with a tip mass has its modulus scaled.

    Raises
    ------
    ModelError
        If the stations do not describe a bar, or ``frequency_hz`` is not above zero.
    """
    if not (np.isfinite(frequency_hz) and frequency_hz > 0.0):
        raise ModelError(f"a pitch heard must be above zero, got {frequency_hz:g} Hz; correct it")
    own_hz = float(natural_modes(tongue_as_bar(tongue), count=1).frequencies[0])
    ratio = frequency_hz / own_hz
    if tongue.is_assumed and tongue.tip_mass_mg == 0.0:
        moved = _thickened(tongue, ratio)
    else:
        modulus_pa = tongue.metal.youngs_modulus_pa * ratio**2
        moved = replace(tongue, metal=replace(tongue.metal, youngs_modulus_pa=modulus_pa))
    return moved, cents_from_ratio(ratio)


def stretched(tongue: Tongue, *, factor: float) -> Tongue:
    """Return the tongue that might be there instead: longer by a factor, at the same pitch.

    An assumed tongue grows thicker with it (f goes as h / L^2); of a measured one the
    thickness was seen and stays, the modulus is left to the next calibration.
    """
    longer = replace(
        tongue,
        stations=tuple(replace(station, x_mm=station.x_mm * factor) for station in tongue.stations),
    )
    return _thickened(longer, factor**2) if tongue.is_assumed else longer


def _thickened(tongue: Tongue, factor: float) -> Tongue:
    return replace(
        tongue,
        stations=tuple(
            replace(station, thickness_mm=station.thickness_mm * factor)
            for station in tongue.stations
        ),
    )
