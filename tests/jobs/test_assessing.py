"""A survey held against a choice: the scheme that follows, and what does not fit together."""

import math
from dataclasses import replace

import pytest

from reedwright.catalogue import load_layout
from reedwright.catalogue.tunings import read_tunings
from reedwright.errors import InputError
from reedwright.instrument.reading import DoubtBudget, Reading, Survey, Tone, Trace
from reedwright.jobs.assessing import Assessment, Choice, assess, assess_again
from reedwright.tuning import Scheme, Tolerance, target_frequency_hz

LAYOUT = load_layout("english-treble-48")
TUNINGS = read_tunings()
EQUAL = TUNINGS.temperament("equal")


def survey_at(a4_hz: float, *, reeds: int = 96) -> Survey:
    """Return a survey of the first reeds, every one in equal temperament at an A4."""
    scheme = Scheme(a4_hz, EQUAL)
    readings = []
    for reed in LAYOUT.reeds()[:reeds]:
        frequency_hz = target_frequency_hz(LAYOUT.note(reed), scheme)
        tone = Tone(
            start_s=0.0, end_s=2.0, measured_from_s=0.5, measured_to_s=1.8,
            frequency_hz=frequency_hz, standard_error_cents=0.01,
            interval_low_hz=frequency_hz, interval_high_hz=frequency_hz,
            trace=Trace((), (), (), ()), partials=(), level_dbfs=-20.0, steadiness_cents=0.1,
            drift_cents_per_s=0.0, drift_cents_per_s_standard_error=0.1,
            drift_cents_per_db=None, drift_cents_per_db_standard_error=None,
            rise_time_s=None, speaking_delay_s=None, noise_bands=(), hum_hz=None,
            clipped_fraction=0.0, second=None, cautions=(),
        )  # fmt: skip
        readings.append(
            Reading(
                key=reed.key,
                side=LAYOUT.key(reed.key).side,
                note=LAYOUT.note(reed),
                direction=reed.direction,
                tone=tone,
                confidence=1.0,
                doubt=None,
                also_possible=(),
                doubt_budget=DoubtBudget(0.01, 0.1, 0.1, 0.2, 0.05, 0.2),
            )
        )
    return Survey(
        layout=LAYOUT.layout, order="ascending", duration_s=300.0, sample_rate_hz=44100.0,
        shift_cents=0.0, readings=tuple(readings), missing=(), unplaced=(), cautions=(),
    )  # fmt: skip


def assessed(survey: Survey, *, a4_hz: float | None) -> Assessment:
    """Hold a survey against equal temperament at a pitch, or its own."""
    return assess(
        LAYOUT,
        survey,
        Choice(a4_hz, None, EQUAL, "A", Tolerance()),
        equal=EQUAL,
        standards=TUNINGS.pitch_standards,
    )


def test_the_instruments_own_pitch_leaves_every_reed_alone() -> None:
    """An instrument in tune with itself at 452.5 Hz has nothing to do at its own pitch."""
    work = assessed(survey_at(452.5), a4_hz=None)
    assert work.scheme.a4_hz == pytest.approx(452.5, rel=1e-9)
    assert all(offset.is_within_tolerance for offset in work.offsets)
    assert work.overall is not None
    assert work.overall.a4_hz == pytest.approx(452.5, rel=1e-9)
    assert any("48 cents above" in finding.statement for finding in work.findings)


def test_a_chosen_pitch_moves_every_reed() -> None:
    """The same instrument held against 440 Hz is 48.5 cents sharp everywhere."""
    work = assessed(survey_at(452.5), a4_hz=440.0)
    expected = 1200 * math.log2(452.5 / 440)
    assert [offset.offset_cents for offset in work.offsets] == pytest.approx([expected] * 96)


def test_an_assessment_made_again_is_the_same() -> None:
    """From the scheme that was kept comes the assessment that was made."""
    survey = survey_at(445.0)
    first = assessed(survey, a4_hz=442.0)
    again = assess_again(
        LAYOUT,
        survey,
        first.scheme,
        tolerance=first.tolerance,
        pitch_standard=first.pitch_standard,
        equal=EQUAL,
        standards=TUNINGS.pitch_standards,
    )
    assert again == first


def test_what_does_not_belong_together_is_refused() -> None:
    """Another layout's survey, and an own pitch from four reeds, are refused in words."""
    with pytest.raises(InputError, match="must belong together"):
        assessed(replace(survey_at(440.0), layout="anglo-20"), a4_hz=440.0)
    with pytest.raises(InputError, match="at least 5 reeds, 4 were heard"):
        assessed(survey_at(440.0, reeds=4), a4_hz=None)
    few = assessed(survey_at(440.0, reeds=4), a4_hz=440.0)
    assert few.overall is None
    assert sum(offset.offset_cents is not None for offset in few.offsets) == 4
