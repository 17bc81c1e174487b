"""From reading and target to where, and how much, metal comes off a tongue.

``examine_tongue`` says what a tongue does by itself; ``plan_filing`` and
``plan_many`` say what to do with reeds against their targets; ``default_tongue``
is the tongue assumed where none was measured; ``temperature_shift_cents`` and
``frequency_at_temperature`` bring a reading to another temperature. Derivations,
limits and sources: docs/theory/tongue.md.

Work that learns: ``begin_bench``, ``record_reading``, ``next_visit`` and
``record_visit`` bring reeds to pitch visit by visit; ``learn_offsets`` tells how the
closed instrument reads against the bench; ``order_work`` puts the work in order:
docs/theory/learning.md.
"""

from reedwright.reedwork.bench_offset import learn_offsets
from reedwright.reedwork.filing import plan_filing, plan_many
from reedwright.reedwork.response import bench_reed
from reedwright.reedwork.scale import default_tongue
from reedwright.reedwork.temperature import frequency_at_temperature, temperature_shift_cents
from reedwright.reedwork.tongue import calibrated, examine_tongue
from reedwright.reedwork.visit import begin_bench, next_visit, record_reading, record_visit
from reedwright.reedwork.work_order import order_work

__all__ = [
    "begin_bench",
    "bench_reed",
    "calibrated",
    "default_tongue",
    "examine_tongue",
    "frequency_at_temperature",
    "learn_offsets",
    "next_visit",
    "order_work",
    "plan_filing",
    "plan_many",
    "record_reading",
    "record_visit",
    "temperature_shift_cents",
]
