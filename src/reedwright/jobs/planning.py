"""From an assessment to a filing plan for every reed."""

from collections.abc import Mapping

from reedwright.instrument.layout import Reed
from reedwright.jobs.assessing import Assessment
from reedwright.reedwork import default_tongue, plan_filing
from reedwright.reedwork.model import FilingPlan, FilingRules, Metal, Tongue, TongueScale
from reedwright.tuning import tolerances_cents

__all__ = ["plan_reeds"]


def plan_reeds(
    assessment: Assessment,
    *,
    metal: Metal,
    scale: TongueScale,
    rules: FilingRules,
    tongues: Mapping[Reed, Tongue],
) -> tuple[FilingPlan, ...]:
    """Return the plan of every reed, in the order of the targets.

    ``tongues`` are those that were measured; the others are assumed from the scale,
    at the pitch of their target.
    """
    limits = tolerances_cents(assessment.targets, assessment.tolerance)
    plans = []
    for offset, limit_cents in zip(assessment.offsets, limits, strict=True):
        target = offset.target
        tongue = tongues.get(Reed(target.key, target.direction))
        if tongue is None:
            tongue = default_tongue(scale, metal, frequency_hz=target.frequency_hz)
        plans.append(plan_filing(offset, tongue=tongue, tolerance_cents=limit_cents, rules=rules))
    return tuple(plans)
