"""Real free reeds: tests/recordings, taken from Debian's ``fluid-soundfont-gm`` (MIT).

Their pitch is not known from elsewhere, so three things are asked: that the
program agrees with independent readings (a person's, off long Fourier
transforms, and Praat's); that resampling a real tone by an exact ratio brings
that ratio back; and that a survey spliced from such tones gives every ratio back
within its stated error. tests/recordings/README.md tells what these sounds are.
"""

import tomllib
from pathlib import Path

import numpy as np
import parselmouth
import pytest
import soundfile
import soxr
from benchmarks.pitch_methods import MemorySound

from reedwright.compute import Here
from reedwright.instrument.layout import Action, Direction, Key, Layout, Reed, Side
from reedwright.instrument.note import SpelledNote
from reedwright.instrument.order import SurveyOrder
from reedwright.instrument.reading import Tone
from reedwright.listening.notes import listen
from reedwright.listening.survey import survey

FOLDER = Path(__file__).parents[1] / "recordings"
HAND_TAKEN = tomllib.loads((FOLDER / "hand_taken.toml").read_text())
#: C3 drifts by 29 cents while it sounds: no two ways of averaging it need agree.
STEADY = [name for name in HAND_TAKEN if name.startswith("harmonica") and name != "harmonica-c3"]


#: Before and after a tone that is heard by itself.
QUIET_S = 0.3


def recording(name: str) -> MemorySound:
    """Return one of the recordings."""
    samples, rate = soundfile.read(FOLDER / f"{name}.flac", dtype="float32")
    return MemorySound(samples, float(rate))


def resampled(sound: MemorySound, ratio: float) -> MemorySound:
    """Return the sound raised by an exact ratio: fewer samples, played at the same rate."""
    samples = soxr.resample(sound.samples.astype(np.float64), ratio, 1.0, quality="VHQ")
    return MemorySound(samples.astype(np.float32), sound.sample_rate_hz)


def in_a_quiet_room(sound: MemorySound) -> MemorySound:
    """Return the sound with silence before and after it, and hiss 80 dB under full scale."""
    quiet = np.zeros(round(QUIET_S * sound.sample_rate_hz), dtype=np.float32)
    samples = np.concatenate([quiet, sound.samples, quiet])
    hiss = 1e-4 * np.random.default_rng(5).standard_normal(samples.size)
    return MemorySound(samples + hiss.astype(np.float32), sound.sample_rate_hz)


def heard(sound: MemorySound) -> Tone:
    """Return the one note of a sound."""
    (tone,) = listen(sound, spread=Here())
    return tone


def cents(upper_hz: float, lower_hz: float) -> float:
    """Return an interval in cents."""
    return float(1200.0 * np.log2(upper_hz / lower_hz))


def praat_hz(sound: MemorySound, from_s: float, to_s: float) -> float:
    """Return the mean of Praat's autocorrelation pitch between two times."""
    pitch = parselmouth.Sound(sound.samples.astype(np.float64), sound.sample_rate_hz).to_pitch_ac(
        time_step=0.002, pitch_floor=150.0, pitch_ceiling=3000.0
    )
    times_s, found_hz = pitch.xs(), pitch.selected_array["frequency"]
    inside = (times_s >= from_s) & (times_s <= to_s) & (found_hz > 0.0)
    return float(np.mean(found_hz[inside]))


def counted_hz(sound: MemorySound, near_hz: float, from_s: float, to_s: float) -> float:
    """Return the mean frequency of the fundamental alone, by its turns between two times.

    Its phase at each time is that of the sound against a steady oscillation of
    ``near_hz``, over ten periods under a Hann window.
    """
    half = round(5.0 * sound.sample_rate_hz / near_hz)
    window = np.hanning(2 * half + 1)
    angles = []
    for at_s in (from_s, to_s):
        centre = round(at_s * sound.sample_rate_hz)
        places = np.arange(centre - half, centre + half + 1)
        turning = np.exp(-2j * np.pi * near_hz * places / sound.sample_rate_hz)
        angles.append(np.angle(np.sum(sound.samples[places] * window * turning)))
    turns = np.angle(np.exp(1j * (angles[1] - angles[0]))) / (2.0 * np.pi)
    return float(near_hz + turns / (to_s - from_s))


@pytest.mark.parametrize("name", STEADY)
def test_agrees_with_the_turns_of_the_fundamental(name: str) -> None:
    """Counting the fundamental's turns over the stretch gives its frequency, within both errors.

    The count's own error is some 0.01 cents: other partials leak into its ten
    periods, and the hiss of the recording. On these tones the partials' phases
    creep against one another (hands, mouth or the bank's making), so that each
    partial's turns give another pitch, by up to 0.07 cents at the twelfth.
    """
    sound = in_a_quiet_room(recording(name))
    tone = heard(sound)
    turned_hz = counted_hz(sound, tone.frequency_hz, tone.measured_from_s, tone.measured_to_s)
    allowed_cents = np.hypot(1.96 * tone.standard_error_cents, 0.01)
    assert abs(cents(tone.frequency_hz, turned_hz)) < allowed_cents


@pytest.mark.parametrize("name", STEADY)
def test_agrees_with_praat(name: str) -> None:
    """Over the very stretch that was measured, Praat hears the same within 0.07 cents.

    0.07 is what a first form of the estimator, made apart from this one, measured.
    On E5 alone Praat is lower by 0.11, below what any of the first twelve partials
    turns by itself: there the fundamental's own turns (above) are the better judge.
    """
    sound = in_a_quiet_room(recording(name))
    tone = heard(sound)
    theirs_hz = praat_hz(sound, tone.measured_from_s, tone.measured_to_s)
    allowed_cents = 0.15 if name == "harmonica-e5" else 0.07
    assert abs(cents(tone.frequency_hz, theirs_hz)) < allowed_cents


@pytest.mark.parametrize("name", STEADY)
def test_agrees_with_the_hand_taken_pitch(name: str) -> None:
    """A person's reading off a long transform is the same within 0.5 cents.

    That reading weights the middle of the note, ours nothing: notes of 0.38 s that
    still settle by a cent differ by some tenths.
    """
    tone = heard(in_a_quiet_room(recording(name)))
    (by_hand_hz,) = HAND_TAKEN[name]["frequencies_hz"]
    assert abs(cents(tone.frequency_hz, by_hand_hz)) < 0.5


@pytest.mark.parametrize("interval_cents", [-37.0, 4.3, 58.0])
@pytest.mark.parametrize("name", STEADY)
def test_a_known_interval_comes_back(name: str, interval_cents: float) -> None:
    """A real tone, raised by an exact ratio, reads that much higher, within 0.02 cents.

    The program chooses its stretch anew each time. Where the tone still settles, the
    means over the two stretches differ by what the turns of the original's
    fundamental say. What the stated errors have in common drops out: so the
    difference comes back better than they promise.
    """
    original = recording(name)
    ratio = 2.0 ** (interval_cents / 1200.0)
    before = heard(in_a_quiet_room(original))
    after = heard(in_a_quiet_room(resampled(original, ratio)))
    counted = [
        counted_hz(
            original,
            before.frequency_hz,
            (tone.measured_from_s - QUIET_S) * up,
            (tone.measured_to_s - QUIET_S) * up,
        )
        for tone, up in ((before, 1.0), (after, ratio))
    ]
    expected_cents = interval_cents + cents(counted[1], counted[0])
    found_cents = cents(after.frequency_hz, before.frequency_hz)
    assert abs(found_cents - expected_cents) < 0.02
    stated_cents = 1.96 * np.hypot(before.standard_error_cents, after.standard_error_cents)
    assert abs(found_cents - expected_cents) < stated_cents


#: How far each reed of the spliced survey is raised above the tone it is made from, in cents.
#: Known shortfall: with G5 on the draw raised by 18 cents, its 0.34 s are split in two readings,
#: both marked as doubtful.
RAISED_CENTS = {
    Direction.PRESS: (3.0, -11.5, 0.0, 7.25, 15.0, -21.0),
    Direction.DRAW: (-6.0, 2.5, 9.0, -1.75, -13.0, 5.5),
}
SPLICED = {
    "harmonica-e4": "E4",
    "harmonica-g4": "G4",
    "harmonica-c5": "C5",
    "harmonica-e5": "E5",
    "harmonica-c6": "C6",
    "harmonica-e6": "E6",
}
# G5 is left out: it swells in two steps, and raised by 18 cents it is found as two notes.


def six_keys() -> Layout:
    """Return an instrument of six keys that sound one note both ways."""
    notes = [SpelledNote.parse(name) for name in SPLICED.values()]
    return Layout(
        layout="six-keys",
        title="Six keys for six real reeds",
        action=Action.DOUBLE,
        keys=tuple(
            Key(f"R1.{place}", Side.RIGHT, 1, place, note, note)
            for place, note in enumerate(notes, start=1)
        ),
        evidence="made for this test",
    )


def spliced_survey() -> tuple[MemorySound, dict[Reed, float]]:
    """Return all keys played in turn, press then draw, and when each reed's sound begins.

    A quiet room's hiss lies under it all.
    """
    pieces = [np.zeros(22_050, np.float32)]
    starts_s = {}
    for place, name in enumerate(SPLICED):
        for direction, gap_s in ((Direction.PRESS, 0.25), (Direction.DRAW, 0.6)):
            reed = Reed(f"R1.{place + 1}", direction)
            raised = resampled(recording(name), 2.0 ** (RAISED_CENTS[direction][place] / 1200.0))
            starts_s[reed] = sum(piece.size for piece in pieces) / raised.sample_rate_hz
            pieces += [raised.samples, np.zeros(round(gap_s * raised.sample_rate_hz), np.float32)]
    samples = np.concatenate(pieces)
    hiss = 1e-4 * np.random.default_rng(6).standard_normal(samples.size)
    return MemorySound(samples + hiss.astype(np.float32), 44_100.0), starts_s


def test_a_survey_spliced_from_real_reeds_gives_the_ratios_back() -> None:
    """Every reed is found under its name, and its ratio within the stated error.

    A reading is the mean over its own stretch of a tone that may still settle, so
    it is held against the turns of the original's fundamental over the same
    stretch, times the ratio. The count's own error is some 0.01 cents.
    """
    layout = six_keys()
    order = SurveyOrder("in-turn", "press then draw, upwards", layout.reeds())
    sound, starts_s = spliced_survey()
    found = survey(sound, layout, order, spread=Here())
    assert found.missing == ()
    assert [Reed(reading.key, reading.direction) for reading in found.readings] == list(starts_s)
    for reading in found.readings:
        place = int(reading.key[-1]) - 1
        name, tone = list(SPLICED)[place], reading.tone
        ratio = 2.0 ** (RAISED_CENTS[reading.direction][place] / 1200.0)
        start_s = starts_s[Reed(reading.key, reading.direction)]
        from_s, to_s = (
            (at_s - start_s) * ratio for at_s in (tone.measured_from_s, tone.measured_to_s)
        )
        before_hz = counted_hz(recording(name), tone.frequency_hz / ratio, from_s, to_s)
        allowed_cents = np.hypot(1.96 * tone.standard_error_cents, 0.01)
        assert abs(cents(tone.frequency_hz, before_hz * ratio)) < allowed_cents, name
        assert allowed_cents < 0.3
        assert reading.doubt is None
