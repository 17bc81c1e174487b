"""What moving a reed costs, against the filing plans themselves."""

from dataclasses import replace

import numpy as np
import pytest
from tests.jobs.invented import RULES, SCALE, STEEL, TREBLE, TUNINGS

from reedwright.instrument.layout import Direction, Reed
from reedwright.instrument.target import ReedOffset, Target
from reedwright.jobs.filing_costs import HeardPitch, filing_costs
from reedwright.reedwork import default_tongue, plan_filing
from reedwright.reedwork.model import FilingPlan, FilingRules, Tongue, Verdict
from reedwright.tuning import Scheme, target_frequency_hz
from reedwright.units import ratio_from_cents

EQUAL = Scheme(440.0, TUNINGS.temperament("equal"))
SOME = TREBLE.reeds()[::11]
#: Two of neighbouring notes, which need few plans.
NEAR = (Reed("L2.1", Direction.PRESS), Reed("L1.1", Direction.PRESS))


def heard(reeds: tuple[Reed, ...]) -> list[HeardPitch]:
    """Return reeds that sound equal temperament."""
    return [
        HeardPitch(reed, TREBLE.note(reed), target_frequency_hz(TREBLE.note(reed), EQUAL))
        for reed in reeds
    ]


def plan(
    pitch: HeardPitch, move_cents: float, *, tongue: Tongue | None = None,
    rules: FilingRules = RULES,
) -> FilingPlan:  # fmt: skip
    """Return the filing plan of a reed that must move."""
    target_hz = pitch.frequency_hz * ratio_from_cents(move_cents)
    side = TREBLE.key(pitch.reed.key).side
    target = Target(pitch.reed.key, side, pitch.reed.direction, pitch.note, target_hz)
    return plan_filing(
        ReedOffset(target, pitch.frequency_hz, -move_cents, 0.1, None, False, None),
        tongue=tongue or default_tongue(SCALE, STEEL, frequency_hz=target_hz),
        tolerance_cents=1.0,
        rules=rules,
    )


def test_metal_agrees_with_the_plans() -> None:
    """Within a tenth for each reed and 3 % for all, up and down, near and far."""
    reeds = heard(SOME)
    costs = filing_costs(reeds, metal=STEEL, scale=SCALE, rules=RULES, tongues={})
    for move_cents in (-80.0, -20.0, -4.0, 5.0, 33.0):
        read_off = costs.filed_mg(np.full((1, len(reeds)), move_cents))[0]
        planned = np.array([plan(pitch, move_cents).mass_mg for pitch in reeds], dtype=float)
        assert read_off == pytest.approx(planned, rel=0.1)
        assert read_off.sum() == pytest.approx(planned.sum(), rel=0.03)


def test_no_move_takes_no_metal() -> None:
    """Nothing to do costs nothing."""
    costs = filing_costs(heard(NEAR), metal=STEEL, scale=SCALE, rules=RULES, tongues={})
    assert np.all(costs.filed_mg(np.zeros((3, len(NEAR)))) == 0.0)


def test_filing_ends_where_the_plans_end() -> None:
    """With stricter rules a reed may be lowered as far as its plan says FILE, and no further."""
    strict = replace(RULES, largest_root_cut_fraction=0.02)
    reeds = heard(SOME[:1])
    costs = filing_costs(reeds, metal=STEEL, scale=SCALE, rules=strict, tongues={})
    limit = float(costs.lowest_cents[0])
    assert -60.0 < limit < -10.0
    assert plan(reeds[0], limit + 2.0, rules=strict).verdict is Verdict.FILE
    assert plan(reeds[0], limit - 2.0, rules=strict).verdict is not Verdict.FILE
    past = costs.is_past_limit(np.array([[limit - 2.0], [limit + 2.0]]))
    assert past.tolist() == [[True], [False]]
    assert costs.filed_mg(np.array([[limit - 2.0]]))[0, 0] == 0.0


def test_a_measured_tongue_counts_by_its_own_dimensions() -> None:
    """A tongue measured half as wide again takes half as much metal again, and only it."""
    reeds = heard(NEAR)
    usual = default_tongue(SCALE, STEEL, frequency_hz=reeds[0].frequency_hz)
    wide = replace(
        usual,
        stations=tuple(replace(s, width_mm=1.5 * s.width_mm) for s in usual.stations),
        is_assumed=False,
    )
    moves = np.array([[-20.0, -20.0]])
    plain = filing_costs(reeds, metal=STEEL, scale=SCALE, rules=RULES, tongues={})
    measured = filing_costs(
        reeds, metal=STEEL, scale=SCALE, rules=RULES, tongues={reeds[0].reed: wide}
    )
    ratio = measured.filed_mg(moves)[0] / plain.filed_mg(moves)[0]
    assert ratio[0] == pytest.approx(1.5, rel=0.1)
    assert ratio[1] == pytest.approx(1.0, rel=0.1)
    only = filing_costs(
        reeds[:1], metal=STEEL, scale=SCALE, rules=RULES, tongues={reeds[0].reed: wide}
    )
    expected = plan(reeds[0], -20.0, tongue=wide).mass_mg
    assert only.filed_mg(moves[:, :1])[0, 0] == pytest.approx(expected, rel=0.02)
