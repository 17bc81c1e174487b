"""What warmth does to the pitch of a tongue, and a reading brought to another temperature.

``d ln f / dT = (e + a) / 2`` with e the relative change of Young's modulus per
kelvin and a the linear expansion: f goes as sqrt(E L / m) for a body that grows
in all directions alike. Source: derived in docs/theory/tongue.md; the size of the
coefficients, editable in the catalogue's metals, stands there with its evidence.
Limits: a few tens of kelvin around room temperature, tongue and air alike warm.
"""

from reedwright.errors import InputError
from reedwright.reedwork.model import Metal
from reedwright.units import ratio_from_cents

__all__ = ["frequency_at_temperature", "temperature_shift_cents"]

#: The span within which one coefficient will do, degrees Celsius.
COLDEST_CELSIUS, WARMEST_CELSIUS = -10.0, 50.0


def temperature_shift_cents(
    metal: Metal, *, from_celsius: float, to_celsius: float
) -> tuple[float, float]:
    """Return how a reed's pitch moves between two temperatures, and the doubt of that, in cents.

    Parameters
    ----------
    metal : Metal
        Its coefficient must be known.
    from_celsius, to_celsius : float
        -10 to 50.

    Returns
    -------
    tuple of float
        The shift (negative when it gets warmer) and its one-sigma doubt.

    Raises
    ------
    InputError
        If the coefficient is not known or a temperature lies outside the span.
    """
    coefficient = metal.temperature_coefficient_cents_per_k
    doubt = metal.temperature_coefficient_doubt_cents_per_k
    if coefficient is None or doubt is None:
        raise InputError(
            f"a pitch is corrected with its metal's temperature coefficient, {metal.metal} has "
            "none; add it with its doubt to the metals file"
        )
    for celsius in (from_celsius, to_celsius):
        if not COLDEST_CELSIUS <= celsius <= WARMEST_CELSIUS:
            raise InputError(
                f"a temperature lies between {COLDEST_CELSIUS:g} and {WARMEST_CELSIUS:g} degrees "
                f"Celsius here, got {celsius:g}; check the unit"
            )
    warmer = to_celsius - from_celsius
    return coefficient * warmer, doubt * abs(warmer)


def frequency_at_temperature(
    frequency_hz: float, *, metal: Metal, from_celsius: float, to_celsius: float
) -> float:
    """Return what a reed heard at one temperature would sound at another.

    Raises
    ------
    InputError
        As ``temperature_shift_cents``.
    """
    shift_cents, _ = temperature_shift_cents(
        metal, from_celsius=from_celsius, to_celsius=to_celsius
    )
    return frequency_hz * ratio_from_cents(shift_cents)
