"""The doubt of a reading: its parts, and the clock."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reedwright.errors import RecordingError
from reedwright.instrument.reading import SecondReed, Tone, Trace
from reedwright.listening.doubt import (
    ASSUMED_REPEATABILITY_CENTS,
    PlayingDoubt,
    calibrate_clock,
    clock_corrected,
    doubt_budget,
    playing_doubt,
)
from reedwright.units import ratio_from_cents

EVEN = PlayingDoubt(repeatability_cents=0.3, repeats=5, level_spread_db=2.0)


def tone(frequency_hz: float = 440.0, **changes: object) -> Tone:
    """Return a plain tone of two measured seconds."""
    plain = Tone(
        start_s=1.0,
        end_s=4.0,
        measured_from_s=1.5,
        measured_to_s=3.5,
        frequency_hz=frequency_hz,
        standard_error_cents=0.002,
        interval_low_hz=frequency_hz * 0.99999,
        interval_high_hz=frequency_hz * 1.00001,
        trace=Trace((), (), (), ()),
        partials=(),
        level_dbfs=-20.0,
        steadiness_cents=0.3,
        drift_cents_per_s=0.0,
        drift_cents_per_s_standard_error=0.01,
        drift_cents_per_db=None,
        drift_cents_per_db_standard_error=None,
        rise_time_s=None,
        speaking_delay_s=None,
        noise_bands=(),
        hum_hz=None,
        clipped_fraction=0.0,
        second=None,
        cautions=(),
    )
    return replace(plain, **changes)  # type: ignore[arg-type]


def test_a_fast_clock_makes_a_recording_flat() -> None:
    """A clock 100 ppm fast counts 1000 Hz as 999.9 Hz; corrected, it is 1000 Hz again."""
    heard = tone(1000.0 / (1.0 + 100e-6))
    clock = calibrate_clock(heard, 1000.0)
    assert clock.clock_ppm == pytest.approx(100.0, abs=1e-6)
    assert clock_corrected(heard, clock.clock_ppm).frequency_hz == pytest.approx(1000.0)


@given(st.floats(-900.0, 900.0), st.floats(50.0, 5000.0))
def test_calibration_undoes_any_clock(clock_ppm: float, reference_hz: float) -> None:
    """Whatever the clock, what is learned from the reference corrects the recording."""
    heard = tone(reference_hz / (1.0 + clock_ppm * 1e-6))
    learned = calibrate_clock(heard, reference_hz).clock_ppm
    assert learned == pytest.approx(clock_ppm, abs=1e-6)


def test_the_clock_moves_all_frequencies_and_no_times() -> None:
    """Interval, second reed and beat go along."""
    second = SecondReed(beat_hz=2.0, frequency_hz=442.0, standard_error_cents=0.1, level_db=-9.0)
    heard = tone(second=second)
    moved = clock_corrected(heard, 50.0)
    ratio = 1.0 + 50e-6
    assert moved.interval_low_hz / heard.interval_low_hz == pytest.approx(ratio)
    assert moved.interval_high_hz / heard.interval_high_hz == pytest.approx(ratio)
    assert moved.second is not None
    assert moved.second.frequency_hz == pytest.approx(442.0 * ratio)
    assert moved.second.beat_hz == pytest.approx(2.0 * ratio)
    assert (moved.start_s, moved.measured_to_s) == (heard.start_s, heard.measured_to_s)
    assert clock_corrected(heard, 0.0) is heard


def test_the_calibration_knows_its_doubt() -> None:
    """Estimator and reference add as squares: 0.005 c are 2.9 ppm, with 4 ppm that is 4.9."""
    heard = tone(1000.0, standard_error_cents=0.005)
    clock = calibrate_clock(heard, 1000.0, reference_doubt_ppm=4.0)
    estimator_ppm = (ratio_from_cents(0.005) - 1.0) * 1e6
    assert clock.doubt_ppm == pytest.approx(math.hypot(estimator_ppm, 4.0), rel=1e-4)


@pytest.mark.parametrize(
    ("reference_hz", "message"), [(1010.0, "10000 ppm"), (-1.0, "more than 0 Hz")]
)
def test_a_wrong_reference_is_refused(reference_hz: float, message: str) -> None:
    """No clock is off by a percent, and no tone has a negative frequency."""
    with pytest.raises(RecordingError, match=message):
        calibrate_clock(tone(1000.0), reference_hz)


def test_clock_and_temperature_are_the_common_doubt() -> None:
    """50 ppm are 0.087 cents (1 ppm = 0.00173 cents); 2 K of steel are 0.4 cents."""
    budget = doubt_budget(tone(), EVEN, clock_doubt_ppm=50.0)
    assert budget.clock_cents == pytest.approx(0.087, abs=5e-4)
    assert budget.temperature_cents == pytest.approx(0.4)
    brass = doubt_budget(tone(), EVEN, clock_doubt_ppm=0.0, cents_per_k=-0.33)
    assert brass.temperature_cents == pytest.approx(0.66)
    assert budget.own_cents == pytest.approx(
        math.hypot(0.002, budget.drift_cents, budget.pressure_cents, 0.3)
    )


def test_drift_counts_by_how_far_the_mean_would_move() -> None:
    """3 c/s over two seconds, the stretch anywhere within 0.2 s either way: 0.6 / sqrt 3."""
    for drift in (3.0, -3.0):
        budget = doubt_budget(tone(drift_cents_per_s=drift), EVEN, clock_doubt_ppm=50.0)
        assert budget.drift_cents == pytest.approx(0.6 / math.sqrt(3.0))


def test_pressure_is_measured_where_it_can_be() -> None:
    """A well-measured slope counts, an ill-measured one does not; basses are assumed softer."""
    measured = tone(drift_cents_per_db=-0.5, drift_cents_per_db_standard_error=0.1)
    assert doubt_budget(measured, EVEN, clock_doubt_ppm=0.0).pressure_cents == pytest.approx(
        2.0 * math.hypot(0.5, 0.1)
    )
    vague = tone(drift_cents_per_db=-5.0, drift_cents_per_db_standard_error=3.0)
    unknown = doubt_budget(tone(), EVEN, clock_doubt_ppm=0.0).pressure_cents
    assert doubt_budget(vague, EVEN, clock_doubt_ppm=0.0).pressure_cents == unknown
    by_pitch = [
        doubt_budget(tone(hz), EVEN, clock_doubt_ppm=0.0).pressure_cents
        for hz in (98.0, 262.0, 1047.0)
    ]
    assert by_pitch[0] > by_pitch[1] > by_pitch[2] > 0.0


def test_repeatability_is_assumed_until_it_is_shown() -> None:
    """No reed twice: the assumption. Many reeds thrice: what they show."""
    once = playing_doubt([("A", tone(440.0)), ("B", tone(494.0))])
    assert once.repeats == 0
    assert once.repeatability_cents == ASSUMED_REPEATABILITY_CENTS
    # Differences of 1.2 cents each way: a single playing is spread by 1.2 * 1.4826 / sqrt 2.
    thrice = [
        (reed, tone(440.0 * ratio_from_cents(cents)))
        for reed in range(200)
        for cents in (0.0, 1.2, 0.0)
    ]
    shown = playing_doubt(thrice)
    assert shown.repeats == 400
    assert shown.repeatability_cents == pytest.approx(1.2 * 1.4826 / math.sqrt(2.0), rel=0.02)


def test_one_repeat_hardly_moves_the_assumption() -> None:
    """One lucky pair does not make a player even; s^2 = (d^2/2 + 4 * 0.5^2) / 5."""
    pair = playing_doubt([("A", tone(440.0)), ("A", tone(440.0))])
    assert pair.repeatability_cents == pytest.approx(math.sqrt(4 * 0.25 / 5))
    unlucky = playing_doubt([("A", tone(440.0)), ("A", tone(440.0 * ratio_from_cents(2.0)))])
    assert unlucky.repeatability_cents == pytest.approx(math.sqrt((2.0 + 4 * 0.25) / 5))


def test_one_slip_does_not_spoil_the_rest() -> None:
    """Nine even repeats and one of 30 cents: the median is not moved."""
    even = [
        (reed, tone(440.0 * ratio_from_cents(cents))) for reed in range(9) for cents in (0.0, 0.4)
    ]
    slip = [(9, tone(440.0)), (9, tone(440.0 * ratio_from_cents(30.0)))]
    assert playing_doubt(even + slip).repeatability_cents == pytest.approx(
        playing_doubt(even).repeatability_cents, rel=0.05
    )


def test_levels_tell_how_unevenly_it_was_played() -> None:
    """The spread of level comes from repeats too, and is capped: unlike reeds are no pressure."""
    even = [(reed, tone(level_dbfs=-20.0)) for reed in range(50) for _ in range(2)]
    assert playing_doubt(even).level_spread_db < 0.7
    wild = [(reed, tone(level_dbfs=level)) for reed in range(50) for level in (-40.0, -10.0)]
    assert playing_doubt(wild).level_spread_db == 3.0
