"""Zones, depths, doubts and stops of a cut."""

import math
from dataclasses import asdict, replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from reedwright.catalogue.tongues import load_filing_rules
from reedwright.reedwork.cut_plan import CutPlan, plan_cut
from reedwright.reedwork.model import FilingRules, Metal, Station, Tongue, Zone
from reedwright.reedwork.tongue import examine_tongue, tongue_as_bar
from reedwright.science.cantilever import thinned
from reedwright.science.cantilever_modes import natural_modes
from reedwright.units import cents_from_ratio

RULES = load_filing_rules()
TONGUE = Tongue(
    metal=Metal("steel", 2.0e11, 7850.0, -0.2, 0.03, "a test"),
    stations=(Station(0.0, 0.34, 2.9), Station(10.0, 0.29, 2.7), Station(25.0, 0.24, 2.4)),
    tip_mass_mg=0.0,
    is_assumed=False,
    thickness_doubt_fraction=0.0,
    length_doubt_fraction=0.0,
)
#: Rules under which nothing but the reading is doubtful.
SURE = replace(RULES, model_doubt_fraction=1e-12)


def plan(offset_cents: float, doubt_cents: float = 0.3, **changes: float) -> CutPlan:
    """Return the cut for the tongue above, with rules changed."""
    cut = plan_cut(
        TONGUE,
        offset_cents=offset_cents,
        doubt_cents=doubt_cents,
        rules=rules_with(changes),
    )
    assert cut is not None
    return cut


def rules_with(changes: dict[str, float]) -> FilingRules:
    """Return the rules with some figures changed."""
    return FilingRules(**{**asdict(SURE), **changes})


def after(tongue: Tongue, cut: CutPlan, depth_um: float) -> float:
    """Return the change of pitch in cents when the tongue is really filed so."""
    bar = tongue_as_bar(tongue)
    near, far = cut.zone_from_mm * 1e-3, cut.zone_to_mm * 1e-3
    ends = (near, far) if cut.zone is Zone.ROOT else (bar.length - far, bar.length - near)
    filed = thinned(bar, start=ends[0], stop=ends[1], depth=depth_um * 1e-6)
    first = natural_modes(bar, count=1).frequencies[0]
    return cents_from_ratio(float(natural_modes(filed, count=1).frequencies[0] / first))


def test_flat_reeds_are_filed_at_the_tip_and_sharp_ones_at_the_root() -> None:
    """The tip third from the end inwards; the root third but for a millimetre at the clamp."""
    assert (plan(-8.0).zone, plan(-8.0).zone_from_mm, plan(-8.0).zone_to_mm) == (Zone.TIP, 0.0, 8.5)
    assert (plan(8.0).zone, plan(8.0).zone_from_mm, plan(8.0).zone_to_mm) == (Zone.ROOT, 1.0, 8.5)


def test_a_zone_never_crosses_the_neutral_point() -> None:
    """Asked for zones of 70 % of the tongue, both stop at the neutral point, to 0.5 mm below."""
    neutral_mm = examine_tongue(TONGUE).neutral_point_mm
    assert neutral_mm - 0.5 < plan(8.0, zone_fraction=0.7).zone_to_mm <= neutral_mm
    from_tip_mm = 25.0 - neutral_mm
    assert from_tip_mm - 0.5 < plan(-8.0, zone_fraction=0.7).zone_to_mm <= from_tip_mm


@settings(max_examples=40, deadline=None)
@given(
    offset=st.floats(-95.0, 95.0),
    shape=st.lists(st.floats(0.6, 1.4), min_size=2, max_size=5),
    length_mm=st.floats(11.0, 60.0),
)
def test_filing_as_planned_brings_any_tongue_home(
    offset: float, shape: list[float], length_mm: float
) -> None:
    """The whole model, filed by the plan, lands on target: to 0.002 cent, or 2 % of small changes.

    And at every stop it stands where the plan said it would.
    """
    assume(abs(offset) > 0.5)
    tongue = replace(
        TONGUE,
        stations=tuple(
            Station(length_mm * place / (len(shape) - 1), 0.3 * relative, 3.0)
            for place, relative in enumerate(shape)
        ),
    )
    cut = plan_cut(tongue, offset_cents=offset, doubt_cents=0.1, rules=SURE)
    assume(cut is not None)
    assert cut is not None
    is_small = cut.depth_um < 0.0101 * 300.0 * max(shape)
    allowed = 0.02 * abs(offset) if is_small else 0.002
    for step in cut.steps:
        change = after(tongue, cut, step.depth_um)
        assert offset + change == pytest.approx(step.expected_offset_cents, abs=allowed)
    assert cut.steps[-1].depth_um == cut.depth_um
    assert cut.steps[-1].expected_offset_cents == pytest.approx(0.0, abs=1e-9)


def test_small_cuts_are_first_order_and_large_ones_are_not() -> None:
    """Below 1 % of the thickness depth is proportional to cents; above, root cuts need less."""
    small, half, large = plan(8.0), plan(4.0), plan(80.0)
    assert small.depth_um == pytest.approx(2.0 * half.depth_um, rel=1e-12)
    assert large.depth_um < 0.97 * 10.0 * small.depth_um
    assert after(TONGUE, large, large.depth_um) == pytest.approx(-80.0, abs=1.1e-3)


def test_mass_and_thinnest_follow_from_the_depth() -> None:
    """The tip cut weighs its volume and leaves the tip thinner by its depth."""
    cut = plan(-40.0)
    middle_mm = 2.7 - 0.3 * (25.0 - 4.25 - 10.0) / 15.0
    assert cut.mass_mg == pytest.approx(7850e-6 * cut.depth_um * 8.5 * middle_mm, rel=1e-6)
    assert cut.thinnest_mm == pytest.approx(0.24 - cut.depth_um * 1e-3)
    assert plan(40.0).thinnest_mm == pytest.approx(0.24)  # the root cut leaves the tip as it was


def test_more_cents_take_more_metal() -> None:
    """Depth grows with the offset, at the tip and at the root."""
    for sign in (-1.0, 1.0):
        depths = [plan(sign * cents).depth_um for cents in (2.0, 5.0, 20.0, 50.0, 90.0)]
        assert depths == sorted(depths)


@pytest.mark.parametrize(
    "changes",
    [
        {"largest_tip_cut_fraction": 0.05},
        {"thinnest_mm": 0.235},
        {"thinnest_mm": 0.30},
        {"zone_fraction": 0.01},
    ],
)
def test_the_limits_refuse(changes: dict[str, float]) -> None:
    """Too deep, too thin, thin already, or no room: no cut. Without the limit there is one."""
    assert plan(-60.0) is not None
    rules = rules_with(changes)
    assert plan_cut(TONGUE, offset_cents=-60.0, doubt_cents=0.3, rules=rules) is None


def test_a_first_order_cut_is_held_to_the_limits_too() -> None:
    """A cut below 1 % that would still pass the thinnest allowed is refused."""
    rules = replace(SURE, thinnest_mm=0.2395)
    assert plan_cut(TONGUE, offset_cents=-4.0, doubt_cents=0.3, rules=rules) is None


def test_no_room_between_clamp_and_zone_is_refused() -> None:
    """A clearance that leaves less than a millimetre leaves nothing to file."""
    rules = replace(SURE, clamp_clearance_mm=8.0)
    assert plan_cut(TONGUE, offset_cents=8.0, doubt_cents=0.3, rules=rules) is None


def test_doubts_add_in_squares() -> None:
    """Reading, thickness and model each move the depth in proportion."""
    doubtful = replace(TONGUE, thickness_doubt_fraction=0.2)
    cut = plan_cut(
        doubtful,
        offset_cents=10.0,
        doubt_cents=1.0,
        rules=replace(RULES, model_doubt_fraction=0.15),
    )
    assert cut is not None
    expected = math.sqrt(0.2**2 + 0.15**2 + 0.1**2)
    assert cut.depth_doubt_um / cut.depth_um == pytest.approx(expected)
    last = cut.steps[-1]
    assert last.expected_doubt_cents == pytest.approx(math.hypot(1.0, math.hypot(0.2, 0.15) * 10.0))


def test_length_doubt_is_carried_by_solving_a_longer_tongue() -> None:
    """A tongue 5 % longer needs a root cut deeper by what the whole model says; assumed, more."""
    doubtful = replace(TONGUE, length_doubt_fraction=0.05)
    cut = plan_cut(doubtful, offset_cents=10.0, doubt_cents=1e-9, rules=SURE)
    longer = replace(
        TONGUE,
        stations=tuple(replace(each, x_mm=each.x_mm * 1.05) for each in TONGUE.stations),
    )
    sure = plan(10.0, 1e-9)
    assert cut is not None
    assert cut.depth_um == sure.depth_um
    response = after(longer, sure, 0.01) / after(TONGUE, sure, 0.01)
    assert cut.depth_doubt_um / cut.depth_um == pytest.approx(abs(1.0 / response - 1.0), rel=1e-2)
    assumed = plan_cut(
        replace(doubtful, is_assumed=True), offset_cents=10.0, doubt_cents=1e-9, rules=SURE
    )
    assert assumed is not None
    # Thicker by 1.05^2 for the same pitch, which asks for a depth as much greater.
    expected = 1.05**2 / response - 1.0
    assert assumed.depth_doubt_um / assumed.depth_um == pytest.approx(expected, rel=1e-2)


def test_stops_are_well_short_when_the_depth_is_sure() -> None:
    """With little doubt: 60 %, then 60 % of the rest, then all of it."""
    steps = plan(-30.0, 0.3).steps
    fractions = [step.depth_um / steps[-1].depth_um for step in steps]
    assert fractions == pytest.approx([0.6, 0.84, 1.0])


def test_the_first_stop_comes_sooner_when_the_depth_is_doubtful() -> None:
    """At 30 % doubt it is 1.5 sigma short of the end; never less than a quarter of the cut."""
    doubtful = replace(RULES, model_doubt_fraction=0.30)
    for doubt, expected in ((0.30, 0.55), (0.60, 0.25)):
        rules = replace(doubtful, model_doubt_fraction=doubt)
        cut = plan_cut(TONGUE, offset_cents=-30.0, doubt_cents=1e-6, rules=rules)
        assert cut is not None
        assert cut.steps[0].depth_um / cut.depth_um == pytest.approx(expected)


def test_no_stop_is_nearer_the_target_than_the_reading_can_tell() -> None:
    """Of a reed 3 cents off read to 1, the stop at 1.5 cents is kept, the one at 0.6 is not."""
    offsets = [step.expected_offset_cents for step in plan(3.0, 1.0).steps]
    assert offsets == pytest.approx([1.5, 0.0], abs=1e-6)
    assert len(plan(3.0, 2.4).steps) == 1
