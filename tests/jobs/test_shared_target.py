"""Targets from other instruments, and where several meet."""

import numpy as np
import pytest
from tests.jobs.invented import TREBLE, TUNINGS, at_hand, surveyed

from reedwright.errors import InputError
from reedwright.instrument.reading import Survey
from reedwright.jobs.least_work import Goal, free_optimum
from reedwright.jobs.shared_target import Meeting, SharedWork, aim_of_instrument, meet
from reedwright.jobs.work_estimate import notes_of
from reedwright.tuning import NotePitch, as_found, heard_reeds, note_pitches
from reedwright.units import cents_from_ratio

EVERY_NOTE = tuple(dict.fromkeys(TREBLE.note(reed) for reed in TREBLE.reeds()))


def pitches(survey: Survey) -> tuple[NotePitch, ...]:
    """Return what an instrument makes of every note of a treble."""
    found = as_found(
        heard_reeds(survey),
        temperaments=TUNINGS.temperaments,
        standards=TUNINGS.pitch_standards,
    )
    return note_pitches(heard_reeds(survey), found, EVERY_NOTE)


OURS, THEIRS = surveyed(452.5, "equal"), surveyed(446.0, "quarter-comma")
PITCHES = {"ours": pitches(OURS), "theirs": pitches(THEIRS)}
BOTH = [at_hand(OURS), at_hand(THEIRS, title="theirs")]


def met(meeting: Meeting) -> SharedWork:
    """Return the two instruments met."""
    return meet(BOTH, meeting, pitches=PITCHES)


def test_another_instrument_as_a_target_asks_nothing_of_itself() -> None:
    """Tuned to its own pitches, an instrument needs no work; tuned to the other's, it does."""
    aim = aim_of_instrument("as theirs is", PITCHES["theirs"])
    assert BOTH[1].estimate(aim).reeds_to_touch == 0
    estimate = BOTH[0].estimate(aim)
    assert estimate.reeds_to_touch > 80
    assert estimate.a4_hz is None
    assert dict(aim.frequencies_hz)[EVERY_NOTE[0]] == pytest.approx(
        next(r.tone.frequency_hz for r in THEIRS.readings if r.note == EVERY_NOTE[0])
    )


def test_half_way_is_half_way_in_cents_for_each_note() -> None:
    """Each instrument's reeds of a note go as far as the other's, the other way."""
    shared = met(Meeting.MEAN)
    ours, theirs = (each.moves_cents(shared.aim) for each in BOTH)
    assert ours == pytest.approx(-theirs, abs=1e-6)
    assert [title for title, _ in shared.estimates] == ["ours", "theirs"]


def test_least_metal_takes_less_than_half_way() -> None:
    """Note by note the least metal: never more than half-way, and no reed further than apart."""
    half, least = met(Meeting.MEAN), met(Meeting.LEAST_METAL)

    def metal_mg(shared: SharedWork) -> float:
        return sum(estimate.metal_mg for _, estimate in shared.estimates)

    assert metal_mg(least) < metal_mg(half)
    apart = np.abs(BOTH[0].offsets_cents - BOTH[1].offsets_cents)
    for each in BOTH:
        assert np.all(np.abs(each.moves_cents(least.aim)) <= apart + 1e-6)


def test_one_line_asks_least_of_both_together() -> None:
    """The shared line is the free optimum of both, no dearer than the optimum of either."""
    shared = met(Meeting.LINE)

    def hours(shared_or_alone: SharedWork) -> float:
        return sum(estimate.hours for _, estimate in shared_or_alone.estimates)

    assert shared.aim.a4_hz is not None
    assert 445.0 < shared.aim.a4_hz < 453.5
    for each in BOTH:
        alone = free_optimum([each], goal=Goal.HOURS)
        total = sum(every.estimate(alone).hours for every in BOTH)
        assert hours(shared) <= total + 1e-9
    assert shared.aim.frequencies_hz[0][0] in notes_of(BOTH)
    assert abs(cents_from_ratio(shared.aim.a4_hz / 446.0)) < 30.0


def test_one_instrument_cannot_meet_itself() -> None:
    """A meeting needs two instruments with names of their own."""
    with pytest.raises(InputError, match="at least two different instruments"):
        meet(BOTH[:1], Meeting.MEAN, pitches=PITCHES)
    with pytest.raises(InputError, match="at least two different instruments"):
        meet([BOTH[0], BOTH[0]], Meeting.MEAN, pitches=PITCHES)
