"""What the filing plans of an end ask to mind and take for granted, each thing said once."""

from collections.abc import Sequence

from reedwright.documents.doubts import as_sentence
from reedwright.reedwork.model import FilingPlan, Verdict

__all__ = ["plan_notes"]


def plan_notes(plans: Sequence[tuple[str, FilingPlan]]) -> tuple[tuple[str, str], ...]:
    """Return (where, what) for the foot of a sheet; ``plans`` come with their reed in words.

    What is to be minded with most of the reeds is said without naming them. What the
    depths rest on differs in its figures from reed to reed: the first one to file is
    told as an example.
    """
    minded = [(reed, plan) for reed, plan in plans if plan.care]
    sentences = dict.fromkeys(sentence for _, plan in minded for sentence in plan.care)
    notes: list[tuple[str, str]] = []
    for sentence in sentences:
        reeds = [reed for reed, plan in minded if sentence in plan.care]
        is_for_most = 2 * len(reeds) > len(minded) and len(reeds) > 1
        where = "Take care:" if is_for_most else f"{', '.join(reeds)}:"
        notes.append((where, as_sentence(sentence)))
    for reed, plan in plans:
        if plan.verdict is Verdict.FILE and plan.assumptions:
            notes.append(("Assumed,", f"as for {reed}: {as_sentence(plan.assumptions[0])}"))
            break
    # What concerns single reeds first: it is what the hand must not miss.
    return tuple(sorted(notes, key=lambda note: note[0] in ("Take care:", "Assumed,")))
