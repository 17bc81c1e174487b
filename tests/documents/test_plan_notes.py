"""Care and assumptions of the plans, said once each."""

from dataclasses import replace

from tests.printed import invented

from reedwright.catalogue import load_layout
from reedwright.documents.plan_notes import plan_notes
from reedwright.reedwork.model import Verdict

PLANS = invented.bench_sheet(load_layout("english-treble-48")).plans
FILED = next(plan for plan in PLANS if plan.verdict is Verdict.FILE)


def test_what_concerns_most_reeds_is_said_once() -> None:
    """Without the names of the reeds, after what concerns single ones."""
    cracked = replace(FILED, care=("Look for a crack.", *FILED.care))
    notes = plan_notes([("A4 press", FILED), ("B4 press", FILED), ("C5 draw", cracked)])
    assert [where for where, _ in notes] == ["C5 draw:", "Take care:", "Assumed,"]
    assert notes[0][1] == "Look for a crack."
    assert notes[1][1] == FILED.care[0]


def test_what_the_depths_rest_on_is_told_by_example() -> None:
    """The first reed to file is the example."""
    notes = plan_notes([("A4 press", replace(FILED, care=()))])
    assert notes == (("Assumed,", f"as for A4 press: {FILED.assumptions[0]}"),)


def test_nothing_to_file_has_no_notes() -> None:
    """A reed to leave takes no care and assumes nothing."""
    leave = next(plan for plan in PLANS if plan.verdict is Verdict.LEAVE)
    assert plan_notes([("A4 press", leave)]) == ()
    assert plan_notes([]) == ()
