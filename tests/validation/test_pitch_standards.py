"""Historic pitches in cents from 440 Hz.

Source: the cents printed in the project's notes (docs/sources.md),
recomputed there from the frequencies; the frequencies' own sources stand in
``catalogue/tunings.toml``.
"""

import pytest

from reedwright.catalogue.tunings import read_tunings
from reedwright.units import cents_from_ratio

PRINTED_CENTS = {
    "a440": 0.0,
    "diapason-normal": -19.79,
    "new-philharmonic": -3.94,
    "old-military": 48.11,
    "old-philharmonic": 48.50,
    "a456": 61.84,
    "a442": 7.85,
    "a415": -101.27,
}


@pytest.mark.parametrize("name", PRINTED_CENTS)
def test_cents_from_440(name: str) -> None:
    """Each pitch lies where the table has it, to the last printed digit."""
    standard = read_tunings().pitch_standard(name)
    assert cents_from_ratio(standard.a4_hz / 440.0) == pytest.approx(
        PRINTED_CENTS[name], abs=0.0051
    )
    assert standard.evidence
