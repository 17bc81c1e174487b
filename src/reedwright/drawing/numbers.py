"""Numbers as people read them: no digit finer than the doubt, a true minus sign.

The one place where a measured number becomes text; commands, paper and screens
all use it.

The doubt is rounded first and the value to the same place, by the rule of the
Particle Data Group (Review of Particle Physics, introduction, "Rounding"): of
the three leading digits of the doubt, 100 to 354 keep two digits, 355 to 949
keep one, and 950 to 999 round up to 1000 and keep two. Cents never go finer than
0.1, and a doubt is never printed as nothing.
"""

import math
from dataclasses import dataclass

from reedwright.errors import InputError

__all__ = [
    "FINEST_CENTS",
    "MINUS",
    "PrintedValue",
    "print_frequency",
    "print_number",
    "print_offset",
    "print_target_frequency",
    "print_with_doubt",
]

#: The finest step of cents that any page prints.
FINEST_CENTS = 0.1

MINUS = "−"

#: 1 cent as a fraction of the frequency.
_CENT = math.log(2.0) / 1200.0


@dataclass(frozen=True, slots=True)
class PrintedValue:
    """A value and its doubt (one standard deviation) as text, to the same place."""

    value: str
    doubt: str

    def __str__(self) -> str:
        return f"{self.value} ± {self.doubt}"


def print_number(value: float, *, decimals: int, is_offset: bool = False) -> str:
    """Return a number with a true minus sign, to a place.

    Parameters
    ----------
    value : float
        Finite.
    decimals : int
        Digits after the point; negative rounds to tens, hundreds and so on.
    is_offset : bool
        Whether a positive number carries a plus sign. What rounds to nothing has no sign.

    Raises
    ------
    InputError
        If the value is not finite.
    """
    if not math.isfinite(value):
        raise InputError(f"only a finite number can be printed, got {value}; leave it out instead")
    digits = f"{abs(round(value, decimals)):.{max(decimals, 0)}f}"
    if not digits.strip("0."):
        return digits
    return (MINUS if value < 0.0 else "+" if is_offset else "") + digits


def print_with_doubt(
    value: float, doubt: float, *, finest: float = 0.0, is_offset: bool = False
) -> PrintedValue:
    """Return a measured value and its doubt as text, to the place the doubt allows.

    Parameters
    ----------
    value, doubt : float
        In the same unit, whatever it is; the doubt is one standard deviation >= 0.
    finest : float
        The finest step to print, a power of ten; a smaller doubt is printed as this step.
        With a doubt of 0 there must be one.
    is_offset : bool
        Whether a positive value carries a plus sign.

    Raises
    ------
    InputError
        If the doubt is negative, not finite, or 0 without a finest step.
    """
    if not (math.isfinite(doubt) and doubt >= 0.0) or (doubt == 0.0 and finest <= 0.0):
        raise InputError(
            f"a printed value needs a doubt > 0 or a finest step, got a doubt of {doubt} and a "
            f"step of {finest}; give the doubt that belongs to the value"
        )
    shown = max(doubt, finest)
    decimals = _decimals_allowed(shown)
    if finest > 0.0:
        decimals = min(decimals, -math.floor(math.log10(finest) + 0.5))
    return PrintedValue(
        print_number(value, decimals=decimals, is_offset=is_offset),
        print_number(shown, decimals=decimals),
    )


def print_offset(offset_cents: float, doubt_cents: float) -> PrintedValue:
    """Return an offset in cents with its sign, and its doubt, never finer than 0.1 cent."""
    return print_with_doubt(offset_cents, doubt_cents, finest=FINEST_CENTS, is_offset=True)


def print_frequency(frequency_hz: float, doubt_cents: float) -> PrintedValue:
    """Return a measured frequency > 0 and its doubt, both in hertz.

    The doubt is given in cents, as everywhere. No more decimals are printed than
    rounding by 0.1 cent takes, however small the doubt.
    """
    doubt_hz = frequency_hz * _CENT * doubt_cents
    finest = 10.0 ** -_decimals_of_frequency(frequency_hz)
    return print_with_doubt(frequency_hz, doubt_hz, finest=finest)


def print_target_frequency(frequency_hz: float) -> str:
    """Return a chosen frequency > 0 in hertz, rounded by no more than 0.1 cent.

    A target is decided, not measured: it has no doubt, only rounding.
    """
    return print_number(frequency_hz, decimals=_decimals_of_frequency(frequency_hz))


def _decimals_of_frequency(frequency_hz: float) -> int:
    """Return the fewest decimals that round a frequency by no more than 0.1 cent."""
    if not (math.isfinite(frequency_hz) and frequency_hz > 0.0):
        raise InputError(f"a frequency to print is above 0 Hz, got {frequency_hz}")
    allowed_hz = FINEST_CENTS * _CENT * frequency_hz
    return max(0, math.ceil(-math.log10(2.0 * allowed_hz)))


def _decimals_allowed(doubt: float) -> int:
    """Return the decimals that a doubt > 0 allows, by the rule named above."""
    decade = math.floor(math.log10(doubt))
    leading = round(doubt / 10.0 ** (decade - 2))
    # From 950 up the doubt becomes 1000, one decade higher, with two digits: the same place.
    return 1 - decade if leading < 355 else -decade
