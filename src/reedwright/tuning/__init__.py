"""From pitch standard and temperament to a target for every reed.

Conventions: cents re equal temperament; ``offset_cents`` > 0 is sharp. A note is
never respelled: the spelling decides the pitch.
"""

from reedwright.tuning.model import (
    Kind,
    OverallPitch,
    PitchStandard,
    Scheme,
    Temperament,
    Tolerance,
)
from reedwright.tuning.overall import findings_of, overall_pitch
from reedwright.tuning.targets import (
    reed_offsets,
    target_frequency_hz,
    targets_of,
    tolerances_cents,
)
from reedwright.tuning.temperaments import (
    circulating,
    from_ratios,
    from_table,
    regular,
    shown_table,
    with_own_notes,
)

__all__ = [
    "Kind",
    "OverallPitch",
    "PitchStandard",
    "Scheme",
    "Temperament",
    "Tolerance",
    "circulating",
    "findings_of",
    "from_ratios",
    "from_table",
    "overall_pitch",
    "reed_offsets",
    "regular",
    "shown_table",
    "target_frequency_hz",
    "targets_of",
    "tolerances_cents",
    "with_own_notes",
]
