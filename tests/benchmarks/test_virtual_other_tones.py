"""The second make of tones tells the truth too, by the first's own measure: counted turns."""

import numpy as np
import pytest
from benchmarks.virtual.other_tones import make_other_tone
from benchmarks.virtual.phone import through_a_phone


@pytest.mark.parametrize("compressed", [False, True])
@pytest.mark.parametrize("seed", range(4))
def test_stated_mean_frequency_is_that_of_the_samples(seed: int, compressed: bool) -> None:
    """Turns of the fundamental counted in the samples agree with the cycles to 0.1 cents."""
    tone = make_other_tone(
        np.random.default_rng([2, seed]),
        frequency_hz=(400.0, 1500.0),
        snr_db=70.0,
        duration_s=1.2,
        compressed=compressed,
    )
    near_hz = tone.mean_frequency_hz(0.2, 1.0)
    time_s = np.arange(tone.samples.size) / tone.sample_rate_hz
    turned = tone.samples * np.exp(-2j * np.pi * near_hz * time_s)
    half = round(15.0 * tone.sample_rate_hz / near_hz)
    window = np.hanning(2 * half + 1)
    angles = []
    for at_s in (0.2, 1.0):
        centre = round(at_s * tone.sample_rate_hz)
        angles.append(np.angle(np.sum(turned[centre - half : centre + half + 1] * window)))
    turns = np.angle(np.exp(1j * (angles[1] - angles[0]))) / (2.0 * np.pi)
    assert abs(1200.0 * np.log2(1.0 + turns / 0.8 / near_hz)) < 0.1


def test_a_telephone_keeps_time() -> None:
    """Compressed sound is neither early nor late by a sample, and close to what went in."""
    rng = np.random.default_rng(3)
    sound = 0.3 * np.convolve(rng.standard_normal(44_100), np.ones(20) / 20, "same")
    heard = through_a_phone(sound, sample_rate_hz=44_100)
    likeness = [float(np.sum(heard * np.roll(sound, lag))) for lag in range(-3, 4)]
    assert int(np.argmax(likeness)) == 3
    assert likeness[3] == pytest.approx(float(np.sum(sound**2)), rel=0.1)


def test_clipping_leaves_samples_at_the_rails() -> None:
    """A clipped tone has samples at full scale, an unclipped one has none."""
    clipped = make_other_tone(np.random.default_rng(4), clipped=True, compressed=False)
    clean = make_other_tone(np.random.default_rng(4), clipped=False, compressed=False)
    assert np.count_nonzero(np.abs(clipped.samples) >= 1.0) > 20
    assert np.max(np.abs(clean.samples)) < 0.95


def test_whole_note_starts_after_its_silence() -> None:
    """Of a whole note the 0.3 s before its start hold less than a thousandth of its power."""
    tone = make_other_tone(
        np.random.default_rng(5), whole_note=True, snr_db=60.0, compressed=False, clipped=False
    )
    first = round(tone.start_s * tone.sample_rate_hz)
    assert tone.start_s == pytest.approx(0.3)
    assert tone.end_s == pytest.approx(1.3)
    before = np.mean(tone.samples[: first - 100] ** 2)
    assert before < 1e-3 * np.mean(tone.samples[first + 8000 : first + 40_000] ** 2)
