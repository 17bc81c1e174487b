"""From pitch standard and temperament to a target for every reed.

Conventions: cents re equal temperament; ``offset_cents`` > 0 is sharp. A note is
never respelled: the spelling decides the pitch.
"""

from reedwright.tuning.as_found import as_found
from reedwright.tuning.families import Family
from reedwright.tuning.found import (
    AsFound,
    FamilyProbability,
    HeardReed,
    Misfit,
    TuningProbability,
    heard_reeds,
)
from reedwright.tuning.found_wording import remarks_of, verdict_of
from reedwright.tuning.matching import NotePitch, note_pitches
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
    "AsFound",
    "Family",
    "FamilyProbability",
    "HeardReed",
    "Kind",
    "Misfit",
    "NotePitch",
    "OverallPitch",
    "PitchStandard",
    "Scheme",
    "Temperament",
    "Tolerance",
    "TuningProbability",
    "as_found",
    "circulating",
    "findings_of",
    "from_ratios",
    "from_table",
    "heard_reeds",
    "note_pitches",
    "overall_pitch",
    "reed_offsets",
    "regular",
    "remarks_of",
    "shown_table",
    "target_frequency_hz",
    "targets_of",
    "tolerances_cents",
    "verdict_of",
    "with_own_notes",
]
