"""The tongue assumed for a pitch when nobody has measured one."""

import math
from itertools import pairwise

import numpy as np

from reedwright.errors import ModelError
from reedwright.reedwork.model import Metal, Station, Tongue, TongueScale, TongueScaleRow
from reedwright.reedwork.tongue import calibrated

__all__ = ["default_tongue"]

#: How far beyond its ends a scale is carried on, as a ratio of frequencies (an octave).
FURTHEST_RATIO = 2.0

#: The length is this much more doubtful beyond the ends of the scale.
DOUBT_BEYOND = 2.0

#: The tongue is first drawn so thick at its root, then made to sound at its pitch.
FIRST_THICKNESS_MM = 0.3


def default_tongue(scale: TongueScale, metal: Metal, *, frequency_hz: float) -> Tongue:
    """Return the tongue a scale expects at a pitch, thick enough to sound there.

    Between two rows everything is interpolated in the logarithm of the frequency:
    the logarithm of the length, and the widths and the shape of the thickness as
    they are. Up to an octave beyond the ends the length is carried on along the
    last pair of rows, the rest held, and the doubt of the length doubled.

    Raises
    ------
    ModelError
        If the pitch lies more than an octave beyond the scale.
    """
    rows = scale.rows
    lowest_hz, highest_hz = rows[0].frequency_hz, rows[-1].frequency_hz
    if not lowest_hz / FURTHEST_RATIO <= frequency_hz <= highest_hz * FURTHEST_RATIO:
        raise ModelError(
            f"the scale {scale.scale} holds for {lowest_hz / FURTHEST_RATIO:.0f} to "
            f"{highest_hz * FURTHEST_RATIO:.0f} Hz, got {frequency_hz:g} Hz; measure the tongue"
        )
    below, above = _neighbours(rows, frequency_hz)
    part = math.log(frequency_hz / below.frequency_hz) / math.log(
        above.frequency_hz / below.frequency_hz
    )
    held = min(max(part, 0.0), 1.0)

    def between(low: float, high: float) -> float:
        return low + (high - low) * held

    length_mm = below.length_mm * (above.length_mm / below.length_mm) ** part
    shape = [
        between(a, b) for a, b in zip(below.thickness_shape, above.thickness_shape, strict=True)
    ]
    root_mm = between(below.root_width_mm, above.root_width_mm)
    tip_mm = between(below.tip_width_mm, above.tip_width_mm)
    along = np.linspace(0.0, 1.0, len(shape))
    drawn = Tongue(
        metal=metal,
        stations=tuple(
            Station(
                x_mm=float(place * length_mm),
                thickness_mm=FIRST_THICKNESS_MM * relative,
                width_mm=float(root_mm + (tip_mm - root_mm) * place),
            )
            for place, relative in zip(along, shape, strict=True)
        ),
        tip_mass_mg=0.0,
        is_assumed=True,
        thickness_doubt_fraction=scale.thickness_doubt_fraction,
        length_doubt_fraction=between(below.length_doubt_fraction, above.length_doubt_fraction)
        * (1.0 if held == part else DOUBT_BEYOND),
    )
    return calibrated(drawn, frequency_hz=frequency_hz)[0]


def _neighbours(
    rows: tuple[TongueScaleRow, ...], frequency_hz: float
) -> tuple[TongueScaleRow, TongueScaleRow]:
    """Return the two rows a pitch lies between, or the outermost two."""
    pairs = list(pairwise(rows))
    for below, above in pairs:
        if frequency_hz <= above.frequency_hz:
            return below, above
    return pairs[-1]
