"""The one crossing between the bench's units (mm, um, mg, cents) and SI.

Below this crossing (``science``) a bare number is SI. Above it a name wears its
unit. ``offset_cents`` > 0 means sharp.
"""

import math

__all__ = [
    "CENTS_PER_NATURAL_LOG",
    "cents_from_ratio",
    "metres_from_mm",
    "metres_from_um",
    "milligrams_from_kg",
    "mm_from_metres",
    "ratio_from_cents",
    "um_from_metres",
]

#: 1200 / ln 2: cents per unit of natural logarithm of a frequency ratio.
CENTS_PER_NATURAL_LOG = 1200.0 / math.log(2.0)


def cents_from_ratio(ratio: float) -> float:
    """Return the interval of a frequency ratio > 0, in cents."""
    return CENTS_PER_NATURAL_LOG * math.log(ratio)


def ratio_from_cents(interval_cents: float) -> float:
    """Return the frequency ratio of an interval in cents."""
    return math.exp(interval_cents / CENTS_PER_NATURAL_LOG)


def metres_from_mm(length_mm: float) -> float:
    """Return metres from millimetres."""
    return length_mm * 1e-3


def mm_from_metres(length: float) -> float:
    """Return millimetres from metres."""
    return length * 1e3


def metres_from_um(length_um: float) -> float:
    """Return metres from micrometres."""
    return length_um * 1e-6


def um_from_metres(length: float) -> float:
    """Return micrometres from metres."""
    return length * 1e6


def milligrams_from_kg(mass: float) -> float:
    """Return milligrams from kilograms."""
    return mass * 1e6
