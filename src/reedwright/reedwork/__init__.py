"""From reading and target to where, and how much, metal comes off a tongue.

``examine_tongue`` says what a tongue does by itself; ``plan_filing`` and
``plan_many`` say what to do with reeds against their targets; ``default_tongue``
is the tongue assumed where none was measured; ``temperature_shift_cents`` and
``frequency_at_temperature`` bring a reading to another temperature. Derivations,
limits and sources: docs/theory/tongue.md.
"""

from reedwright.reedwork.filing import plan_filing, plan_many
from reedwright.reedwork.scale import default_tongue
from reedwright.reedwork.temperature import frequency_at_temperature, temperature_shift_cents
from reedwright.reedwork.tongue import calibrated, examine_tongue

__all__ = [
    "calibrated",
    "default_tongue",
    "examine_tongue",
    "frequency_at_temperature",
    "plan_filing",
    "plan_many",
    "temperature_shift_cents",
]
