"""What the plan says of a reed: each verdict, when it is given, and that its numbers are true."""

from dataclasses import replace

import pytest

from reedwright.catalogue.tongues import load_filing_rules, load_metal, load_tongue_scale
from reedwright.errors import ModelError
from reedwright.instrument.layout import Direction, Reed, Side
from reedwright.instrument.note import SpelledNote
from reedwright.instrument.target import ReedOffset, Target
from reedwright.reedwork import default_tongue, plan_filing, plan_many, wording
from reedwright.reedwork.model import FilingPlan, Metal, Station, Tongue, Verdict, Zone
from reedwright.reedwork.tongue import calibrated, tongue_as_bar
from reedwright.science.cantilever import thinned
from reedwright.science.cantilever_modes import natural_modes
from reedwright.units import cents_from_ratio, ratio_from_cents

RULES, SCALE, STEEL = load_filing_rules(), load_tongue_scale(), load_metal("steel")
TARGET_HZ = 440.0
MEASURED = Tongue(
    metal=Metal("brass", 105e9, 8500.0, -0.33, 0.03, "a test"),
    stations=(Station(0.0, 0.48, 2.9), Station(10.0, 0.42, 2.7), Station(24.0, 0.36, 2.4)),
    tip_mass_mg=0.0,
    is_assumed=False,
    thickness_doubt_fraction=0.03,
    length_doubt_fraction=0.01,
)


def reed(
    offset_cents: float | None,
    doubt_cents: float = 0.4,
    *,
    key: str = "L1.1",
    direction: Direction = Direction.PRESS,
    target_hz: float = TARGET_HZ,
    doubt: str | None = None,
) -> ReedOffset:
    heard_hz = None if offset_cents is None else target_hz * ratio_from_cents(offset_cents)
    return ReedOffset(
        target=Target(key, Side.LEFT, direction, SpelledNote.parse("A4"), target_hz),
        frequency_hz=heard_hz,
        offset_cents=offset_cents,
        doubt_cents=None if offset_cents is None else doubt_cents,
        partner_difference_cents=None,
        is_within_tolerance=None if offset_cents is None else abs(offset_cents) <= 2.0,
        doubt=doubt,
    )


def plan(offset: ReedOffset, tongue: Tongue = MEASURED, tolerance_cents: float = 2.0) -> FilingPlan:
    return plan_filing(offset, tongue=tongue, tolerance_cents=tolerance_cents, rules=RULES)


@pytest.mark.parametrize(
    ("offset", "verdict", "words"),
    [
        (reed(None), Verdict.LISTEN_AGAIN, "find out first why it does not speak"),
        (
            reed(8.0, doubt="G#4 press or Ab4 press."),
            Verdict.LISTEN_AGAIN,
            "Settle first: G#4 press or Ab4 press. ",
        ),
        (reed(1.6), Verdict.LEAVE, "1.6 ± 0.4 cents sharp, within 2.0 cents: leave it alone"),
        (reed(-0.01), Verdict.LEAVE, "0.0 ± 0.4 cents off, within"),
        (reed(1.6, 2.5), Verdict.LISTEN_AGAIN, "1.6 ± 2.5 cents sharp: the doubt is too great"),
        (reed(4.6, 2.5), Verdict.LISTEN_AGAIN, "Listen again, longer and steadier"),
        (reed(5.4, 2.5), Verdict.FILE, "file the root third"),
        (reed(8.0), Verdict.FILE, "8.0 ± 0.4 cents sharp: file the root third, from 1 to 8 mm off"),
        (reed(-8.0), Verdict.FILE, "8.0 ± 0.4 cents flat: file the tip third, from the tip 8 mm"),
        (reed(99.0), Verdict.FILE, "file the root third"),
        (reed(101.0), Verdict.TIP_WEIGHT, "too far for a file: solder about"),
        (reed(299.0), Verdict.TIP_WEIGHT, "on the tip, rather more, and file it back to pitch"),
        (reed(301.0), Verdict.NEW_TONGUE, "see that this is the reed meant, then fit a new"),
        (reed(-101.0), Verdict.NEW_TONGUE, "cents flat, too far for a file"),
    ],
)
def test_verdicts(offset: ReedOffset, verdict: Verdict, words: str) -> None:
    """Each kind of reed gets its verdict, and the sentence says why and what then."""
    result = plan(offset)
    assert result.verdict is verdict
    assert words in result.sentence
    assert (result.key, result.direction) == ("L1.1", "press")


def test_only_a_plan_to_file_has_zone_depth_and_steps() -> None:
    """All other verdicts carry none of them."""
    filed = plan(reed(8.0))
    assert None not in (filed.zone_from_mm, filed.zone_to_mm, filed.depth_um, filed.thinnest_mm)
    assert filed.zone is Zone.ROOT
    assert filed.steps
    for offset in (reed(None), reed(1.0), reed(4.6, 2.5), reed(150.0), reed(-150.0)):
        other = plan(offset)
        assert (other.zone, other.depth_um, other.depth_doubt_um, other.thinnest_mm) == (None,) * 4
        assert other.steps == ()


@pytest.mark.parametrize("offset_cents", [-70.0, -6.0, 6.0, 70.0])
@pytest.mark.parametrize("is_assumed", [True, False])
def test_filing_as_told_brings_the_reed_to_its_target(
    offset_cents: float, is_assumed: bool
) -> None:
    """The tongue made to sound as heard, filed in the zone to the depth, sounds at the target."""
    tongue = default_tongue(SCALE, STEEL, frequency_hz=TARGET_HZ) if is_assumed else MEASURED
    result = plan(reed(offset_cents), tongue)
    assert result.zone_from_mm is not None
    assert result.zone_to_mm is not None
    assert result.depth_um is not None
    heard_hz = TARGET_HZ * ratio_from_cents(offset_cents)
    bar = tongue_as_bar(calibrated(tongue, frequency_hz=heard_hz)[0])
    near, far = result.zone_from_mm * 1e-3, result.zone_to_mm * 1e-3
    ends = (near, far) if result.zone is Zone.ROOT else (bar.length - far, bar.length - near)
    filed = thinned(bar, start=ends[0], stop=ends[1], depth=result.depth_um * 1e-6)
    sounds_hz = float(natural_modes(filed, count=1).frequencies[0])
    allowed = 0.002 if abs(offset_cents) > 20.0 else 0.1
    assert cents_from_ratio(sounds_hz / TARGET_HZ) == pytest.approx(0.0, abs=allowed)
    assert result.change_cents == -offset_cents


def test_the_solder_told_brings_the_reed_to_its_target() -> None:
    """The whole model with that tip mass sounds at the target; the care for solder is there."""
    result = plan(reed(180.0))
    assert result.mass_mg is not None
    heard_hz = TARGET_HZ * ratio_from_cents(180.0)
    tongue = calibrated(MEASURED, frequency_hz=heard_hz)[0]
    loaded = tongue_as_bar(replace(tongue, tip_mass_mg=result.mass_mg))
    sounds_hz = float(natural_modes(loaded, count=1).frequencies[0])
    assert cents_from_ratio(sounds_hz / TARGET_HZ) == pytest.approx(0.0, abs=0.002)
    assert wording.SOLDER_CARE in result.care


def test_a_flat_reed_with_a_weight_loses_weight_not_tongue() -> None:
    """The mass is negative, and what is left of the weight gives the target."""
    weighted = replace(MEASURED, tip_mass_mg=3.0)
    result = plan(reed(-20.0), weighted)
    assert result.verdict is Verdict.TIP_WEIGHT
    assert result.mass_mg is not None
    assert -3.0 < result.mass_mg < 0.0
    heard_hz = TARGET_HZ * ratio_from_cents(-20.0)
    tongue = calibrated(weighted, frequency_hz=heard_hz)[0]
    lighter = tongue_as_bar(replace(tongue, tip_mass_mg=3.0 + result.mass_mg))
    sounds_hz = float(natural_modes(lighter, count=1).frequencies[0])
    assert cents_from_ratio(sounds_hz / TARGET_HZ) == pytest.approx(0.0, abs=0.002)
    assert "mg off the weight" in result.sentence


def test_a_reed_flatter_than_its_weight_accounts_for_loses_all_of_it() -> None:
    """Then it is listened to again."""
    result = plan(reed(-80.0), replace(MEASURED, tip_mass_mg=0.2))
    assert result.mass_mg == -0.2
    assert "the whole weight of 0.20 mg off, and listen again" in result.sentence


def test_a_sharp_reed_with_a_weight_is_filed_at_the_root() -> None:
    """The weight stays."""
    assert plan(reed(20.0), replace(MEASURED, tip_mass_mg=3.0)).zone is Zone.ROOT


def test_a_tongue_too_thin_already_gets_a_weight_or_is_replaced() -> None:
    """Where the limits forbid the file: down a weight, up a new tongue."""
    rules = replace(RULES, thinnest_mm=0.6)
    down = plan_filing(reed(20.0), tongue=MEASURED, tolerance_cents=2.0, rules=rules)
    assert down.verdict is Verdict.TIP_WEIGHT
    assert "filing would leave the tongue too thin" in down.sentence
    up = plan_filing(reed(-20.0), tongue=MEASURED, tolerance_cents=2.0, rules=rules)
    assert up.verdict is Verdict.NEW_TONGUE


def test_a_pointed_tongue_that_cannot_be_filed_is_replaced() -> None:
    """No weight holds on a point, and no file touches one."""
    ends = (Station(0.0, 0.40, 2.9), Station(24.0, 0.0, 2.4))
    pointed = replace(MEASURED, stations=ends, is_assumed=True)
    assert plan(reed(150.0), pointed).verdict is Verdict.NEW_TONGUE
    assert plan(reed(-8.0), pointed).verdict is Verdict.NEW_TONGUE
    assert plan(reed(8.0), pointed).verdict is Verdict.FILE


def test_a_measured_tongue_that_cannot_sound_so_is_measured_again() -> None:
    """Dimensions a fifth off are no base for advice; an assumed tongue cannot be wrong so."""
    longer = replace(
        MEASURED, stations=tuple(replace(each, x_mm=each.x_mm * 1.25) for each in MEASURED.stations)
    )
    result = plan(reed(8.0), longer)
    assert result.verdict is Verdict.MEASURE_AGAIN
    assert "would sound" in result.sentence
    assert plan(reed(8.0), replace(longer, is_assumed=True)).verdict is Verdict.FILE


def test_assumptions_are_named() -> None:
    """An assumed tongue says so with its doubt; a measured one says how far it was moved."""
    assumed = plan(reed(8.0), default_tongue(SCALE, STEEL, frequency_hz=TARGET_HZ))
    assert "Not measured: a tongue of steel, 25.0 ± 1.7 mm long" in assumed.assumptions[0]
    assert "made to sound as heard by its stiffness" in plan(reed(8.0)).assumptions[0]
    for result in (assumed, plan(reed(8.0))):
        assert "No published measurement" in result.assumptions[-1]


def test_assumed_tongues_are_advised_with_more_doubt() -> None:
    """The depth for an assumed tongue is at least one and a half times as doubtful."""
    assumed = plan(reed(8.0), default_tongue(SCALE, STEEL, frequency_hz=TARGET_HZ))
    measured = plan(reed(8.0))
    fractions = []
    for result in (assumed, measured):
        assert result.depth_um is not None
        assert result.depth_doubt_um is not None
        fractions.append(result.depth_doubt_um / result.depth_um)
    assert fractions[0] > 1.5 * fractions[1]


def test_care_names_the_dust_of_the_metal_and_a_suspected_crack() -> None:
    """Brass may hold lead, steel calls for goggles; a reed far flat may be cracked."""
    tongue = default_tongue(SCALE, STEEL, frequency_hz=TARGET_HZ)
    brass, steel = plan(reed(8.0)), plan(reed(-30.0), tongue)
    assert any("may hold lead" in care for care in brass.care)
    assert any("Steel filings" in care for care in steel.care)
    assert wording.CRACK_CARE in steel.care
    assert wording.CRACK_CARE not in brass.care


def test_many_reeds_keep_their_order_and_their_own_tongues() -> None:
    """A measured tongue is used for its reed only; the others are assumed from the scale."""
    offsets = [
        reed(8.0, key="L1.1", target_hz=440.0),
        reed(8.0, key="L1.1", target_hz=440.0, direction=Direction.DRAW),
        reed(-15.0, key="R2.3", target_hz=880.0),
        reed(None, key="R2.4", target_hz=987.77),
    ]
    plans = plan_many(
        offsets,
        tongues={Reed("L1.1", Direction.DRAW): MEASURED},
        scale=SCALE,
        metal=STEEL,
        tolerance_cents=2.0,
        rules=RULES,
    )
    assert [(each.key, each.direction) for each in plans] == [
        ("L1.1", "press"),
        ("L1.1", "draw"),
        ("R2.3", "press"),
        ("R2.4", "press"),
    ]
    assert plans[1] == plan(offsets[1])
    assert plans[0] == plan(offsets[0], default_tongue(SCALE, STEEL, frequency_hz=440.0))
    assert plans[2].zone is Zone.TIP


def test_stations_that_are_no_bar_are_refused() -> None:
    """A plan is not made up for an impossible tongue."""
    backwards = replace(MEASURED, stations=MEASURED.stations[::-1])
    with pytest.raises(ModelError, match="at the clamp"):
        plan(reed(8.0), backwards)
