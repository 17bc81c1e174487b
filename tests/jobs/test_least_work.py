"""Targets side by side, and the pitch and fifth that ask least."""

from dataclasses import replace

import numpy as np
import pytest
from tests.jobs.invented import TREBLE, TUNINGS, at_hand, surveyed

from reedwright.errors import InputError
from reedwright.instrument.layout import Direction, Reed
from reedwright.jobs.least_work import Goal, aim_of_scheme, free_optimum, least_work
from reedwright.jobs.work_estimate import Aim, ReedsAtHand, WorkTimes, notes_of
from reedwright.reedwork.model import Verdict
from reedwright.tuning import Scheme
from reedwright.units import cents_from_ratio

EQUAL = TUNINGS.temperament("equal")
TIMES = WorkTimes(10.0, 0.5, 30.0, 90.0)
WRONG = Reed("L2.3", Direction.DRAW)
#: In tune at 440 but for one reed 30 cents sharp, one in doubt and one not heard.
DOUBTFUL, SILENT = TREBLE.reeds()[40], TREBLE.reeds()[50]


def one_wrong() -> ReedsAtHand:
    """Return an instrument of which one reed is 30 cents sharp."""
    off = {WRONG: 30.0, SILENT: None}
    survey = surveyed(440.0, "equal", lambda r: off.get(r, 0.0), doubts={DOUBTFUL: "Which is it?"})
    return at_hand(survey, times=TIMES)


INSTRUMENT = one_wrong()


def at(a4_hz: float) -> Aim:
    """Return equal temperament at a pitch as a target."""
    return aim_of_scheme(f"{a4_hz:g}", Scheme(a4_hz, EQUAL), notes_of([INSTRUMENT]))


def test_only_the_reed_out_of_tolerance_is_touched() -> None:
    """At 440 one reed needs work: its metal, ten minutes and half a minute a cent."""
    estimate = INSTRUMENT.estimate(at(440.0))
    assert (estimate.reeds_to_touch, estimate.reeds_left_alone) == (1, 93)
    assert estimate.hours == pytest.approx((10.0 + 0.5 * 30.0) / 60.0)
    assert estimate.furthest_move_cents == pytest.approx(-30.0)
    assert 0.1 < estimate.metal_mg < 10.0
    assert estimate.past_limit == ()


def test_reeds_in_doubt_or_not_heard_are_not_counted_but_named() -> None:
    """Neither is in the figures; both are listed."""
    assert set(INSTRUMENT.not_counted) == {DOUBTFUL, SILENT}
    assert len(INSTRUMENT.reeds) == 94


def test_reeds_past_their_limit_get_a_weight_or_a_new_tongue() -> None:
    """A semitone and a half down is solder, up is a new tongue, and takes its time."""
    down, up = INSTRUMENT.estimate(at(403.5)), INSTRUMENT.estimate(at(480.0))
    assert len(down.past_limit) == len(up.past_limit) == 94
    assert {past.verdict for past in down.past_limit} == {Verdict.TIP_WEIGHT}
    assert {past.verdict for past in up.past_limit} == {Verdict.NEW_TONGUE}
    assert down.hours == pytest.approx(94 * 30.0 / 60.0)
    assert up.hours == pytest.approx(94 * 90.0 / 60.0)
    assert down.metal_mg == up.metal_mg == 0.0


def scattered() -> ReedsAtHand:
    """Return an instrument in sixth-comma at 446 whose reeds scatter by 2.5 cents."""
    rng = np.random.default_rng(1)
    return at_hand(surveyed(446.0, "sixth-comma", lambda _: float(rng.normal(0.0, 2.5))))


SCATTERED = scattered()


@pytest.mark.parametrize("goal", list(Goal))
def test_the_free_optimum_is_the_tuning_the_instrument_has(goal: Goal) -> None:
    """Sixth-comma at 446 with 2.5 cents of scatter: that pitch and that fifth."""
    aim = free_optimum([SCATTERED], goal=goal)
    assert aim.a4_hz is not None
    assert aim.fifth_cents == pytest.approx(698.371, abs=0.5)
    assert abs(cents_from_ratio(aim.a4_hz / 446.0)) < 2.5


@pytest.mark.parametrize("goal", list(Goal))
def test_nothing_asks_less_than_the_free_optimum(goal: Goal) -> None:
    """No regular candidate undercuts it, and the candidates come least first."""
    notes = notes_of([SCATTERED])
    aims = [
        aim_of_scheme(f"{a4_hz} {name}", Scheme(a4_hz, TUNINGS.temperament(name)), notes)
        for a4_hz in (440.0, 444.0, 445.0, 446.0, 446.5, 447.0, 452.5)
        for name in ("equal", "sixth-comma", "fifth-comma", "quarter-comma")
    ]
    work = least_work(SCATTERED, aims, drawn=[EQUAL], goal=goal)
    asked = [e.hours if goal is Goal.HOURS else e.metal_mg for e in work.estimates]
    best = work.free_optimum
    assert (best.hours if goal is Goal.HOURS else best.metal_mg) <= asked[0]
    assert asked == sorted(asked)


def test_curves_pass_through_the_estimates() -> None:
    """A curve of equal temperament gives at 440 what the estimate at 440 says, within a step."""
    work = least_work(INSTRUMENT, [at(435.0), at(440.0), at(446.0)], drawn=[EQUAL])
    curve = work.curves[0]
    assert curve.title == EQUAL.title
    assert curve.a4_hz[0] < 435.0
    assert curve.a4_hz[-1] > 446.0
    for estimate in work.estimates:
        assert estimate.a4_hz is not None
        read_off = np.interp(estimate.a4_hz, curve.a4_hz, curve.hours)
        assert read_off == pytest.approx(estimate.hours, abs=0.6)


def test_lowering_by_old_pitch_takes_the_hours_of_the_trade() -> None:
    """96 reeds down 48 cents: 12 to 24 hours (common practice, no source)."""
    usual = replace(SCATTERED, times=WorkTimes())
    estimate = usual.estimate(
        aim_of_scheme("48 cents down", Scheme(433.8, TUNINGS.temperament("sixth-comma")),
                      notes_of([usual]))
    )  # fmt: skip
    assert 12.0 < estimate.hours < 24.0
    assert estimate.reeds_to_touch == 96


def test_a_target_without_one_of_the_notes_is_refused() -> None:
    """A target must name every note of the instrument."""
    some = replace(at(440.0), frequencies_hz=at(440.0).frequencies_hz[:-1])
    with pytest.raises(InputError, match="must name every note"):
        INSTRUMENT.estimate(some)


def test_an_instrument_with_no_reed_heard_is_refused() -> None:
    """Without a reed heard there is nothing to weigh."""
    with pytest.raises(InputError, match="heard without doubt"):
        at_hand(surveyed(440.0, "equal", lambda _: None))


def test_minutes_that_cannot_be_are_refused() -> None:
    """Negative minutes are no habit of a bench."""
    with pytest.raises(InputError, match="between 0 and 1000 minutes, got -1"):
        WorkTimes(minutes_per_reed=-1.0)
