"""One note heard whole: its mean pitch against the exact one, its error, and a second reed."""

from dataclasses import replace

import numpy as np
import pytest
from benchmarks.virtual.tones import SecondVoice, VirtualTone, make_tone

from reedwright.errors import RecordingError
from reedwright.instrument.reading import Tone
from reedwright.listening.model import Segment
from reedwright.listening.tone import hear_tone
from reedwright.units import cents_from_ratio


def segment_of(tone: VirtualTone) -> Segment:
    """Return the whole note, its coarse pitch some cents off."""
    mean_hz = tone.mean_frequency_hz(tone.start_s + 0.2, tone.end_s - 0.1)
    return Segment(tone.start_s, tone.end_s, mean_hz * 1.004, -20.0, 1.0)


def heard(tone: VirtualTone) -> Tone:
    """Return the note as heard."""
    return hear_tone(tone.samples, tone.sample_rate_hz, piece_start_s=0.0, segment=segment_of(tone))


def whole_notes(count: int, *, seed: int, snr_db: float) -> list[VirtualTone]:
    """Return notes with attack, drift, room, hum and noise."""
    return [
        make_tone(
            np.random.default_rng([seed, number]),
            whole_note=True,
            duration_s=1.5,
            snr_db=snr_db,
        )
        for number in range(count)
    ]


@pytest.mark.parametrize("snr_db", [50.0, 20.0])
def test_the_mean_is_that_between_the_measured_times(snr_db: float) -> None:
    """Near the exact time mean; the 95 % interval holds it in at least 33 of 40 (binomial, 1 %)."""
    inside, errors = 0, []
    for tone in whole_notes(40, seed=4711, snr_db=snr_db):
        found = heard(tone)
        exact_hz = tone.mean_frequency_hz(found.measured_from_s, found.measured_to_s)
        inside += found.interval_low_hz <= exact_hz <= found.interval_high_hz
        errors.append(abs(cents_from_ratio(found.frequency_hz / exact_hz)))
        assert tone.start_s <= found.measured_from_s < found.measured_to_s <= tone.end_s
        share = (found.measured_to_s - found.measured_from_s) / (tone.end_s - tone.start_s)
        assert share >= 0.4
    assert inside >= 33
    assert float(np.median(errors)) < 0.003
    assert max(errors) < 0.1


def test_all_of_a_tone_is_told() -> None:
    """Trace, partials and level are whole, finite, and of one length."""
    tone = whole_notes(1, seed=12, snr_db=40.0)[0]
    found = heard(tone)
    trace = found.trace
    lengths = {
        len(values)
        for values in (
            trace.times_s, trace.offsets_cents, trace.standard_errors_cents, trace.levels_db,
        )
    }  # fmt: skip
    assert len(lengths) == 1
    assert min(lengths) > 10
    assert all(np.isfinite(trace.offsets_cents))
    assert found.measured_from_s <= trace.times_s[0] < trace.times_s[-1] <= found.measured_to_s
    reach = int(0.5 * tone.sample_rate_hz / found.frequency_hz)
    assert [p.number for p in found.partials] == list(range(1, min(20, reach) + 1))
    assert all(p.amplitude >= 0.0 and p.amplitude_standard_error > 0.0 for p in found.partials)
    assert found.rise_time_s is not None
    assert found.second is None


def test_a_shift_in_time_changes_only_the_times() -> None:
    """The piece may start anywhere in the recording."""
    tone = whole_notes(1, seed=13, snr_db=40.0)[0]
    segment = segment_of(tone)
    later = replace(segment, start_s=segment.start_s + 100.0, end_s=segment.end_s + 100.0)
    first = hear_tone(tone.samples, tone.sample_rate_hz, piece_start_s=0.0, segment=segment)
    second = hear_tone(tone.samples, tone.sample_rate_hz, piece_start_s=100.0, segment=later)
    assert second.frequency_hz == pytest.approx(first.frequency_hz, rel=1e-9)
    assert second.measured_from_s - first.measured_from_s == pytest.approx(100.0, abs=1e-6)


def test_two_reeds_of_a_pair_are_both_told() -> None:
    """A reed 12 cents away at -6 dB is found beside the first, both to 0.1 cent."""
    for number in range(4):
        tone = make_tone(
            np.random.default_rng([77, number]),
            frequency_hz=(300.0, 900.0),
            whole_note=True,
            duration_s=2.0,
            snr_db=40.0,
            second=SecondVoice(distance_cents=12.0, level_db=-6.0),
        )
        found = heard(tone)
        assert found.second is not None
        assert found.second.frequency_hz is not None
        exact_hz = tone.mean_frequency_hz(found.measured_from_s, found.measured_to_s)
        assert abs(cents_from_ratio(found.frequency_hz / exact_hz)) < 0.1
        apart_cents = cents_from_ratio(found.second.frequency_hz / found.frequency_hz)
        assert apart_cents == pytest.approx(12.0, abs=1.5)


def test_what_holds_no_tone_is_refused() -> None:
    """Silence and noise are refused in words."""
    rng = np.random.default_rng(1)
    segment = Segment(0.2, 1.2, 440.0, -20.0, 1.0)
    for samples in (np.zeros(66_150), 0.1 * rng.standard_normal(66_150)):
        with pytest.raises(RecordingError):
            hear_tone(samples, 44_100.0, piece_start_s=0.0, segment=segment)
