"""Notes found in invented recordings whose truth is known."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pytest
from benchmarks.virtual.disturbance import knock, speech
from benchmarks.virtual.room import mains_hum
from benchmarks.virtual.tones import SecondVoice, make_tone
from numpy.typing import NDArray

from reedwright.listening.model import Segment
from reedwright.listening.segments import find_segments
from reedwright.units import cents_from_ratio

RATE_HZ = 44_100.0


@dataclass(frozen=True)
class Samples:
    """Samples in memory as a Sound."""

    samples: NDArray[np.float32]
    sample_rate_hz: float = RATE_HZ

    @property
    def frames(self) -> int:
        """Length in samples."""
        return self.samples.size

    def read(self, start: int, stop: int) -> NDArray[np.float32]:
        """Return the samples between two places."""
        return self.samples[start:stop]


def in_noise(parts: Sequence[NDArray[np.float64]], *, level: float = 1e-4) -> Samples:
    """Return the parts one after the other in white noise, half a second of it around."""
    rng = np.random.default_rng(99)
    quiet = np.zeros(round(0.5 * RATE_HZ))
    sound = np.concatenate([quiet, *parts, quiet])
    return Samples((sound + level * rng.standard_normal(sound.size)).astype(np.float32))


def reed(
    frequency_hz: float,
    duration_s: float,
    *,
    seed: int,
    amplitudes: Sequence[float] | None = None,
    fade_s: float = 0.03,
) -> NDArray[np.float64]:
    """Return a steady tone with random phases, faded in and out."""
    rng = np.random.default_rng(seed)
    time_s = np.arange(round(duration_s * RATE_HZ)) / RATE_HZ
    count = int(12_000.0 / frequency_hz)
    shares = rng.uniform(0.3, 1.0, count) / np.arange(1, count + 1) ** 0.7
    if amplitudes is not None:
        shares = np.array(amplitudes)
    sound = np.zeros_like(time_s)
    for number, share in enumerate(shares, start=1):
        sound += share * np.cos(2 * np.pi * number * frequency_hz * time_s + rng.uniform(0, 6.28))
    fade = np.minimum(1.0, np.minimum(time_s, time_s[-1] - time_s) / fade_s)
    faded: NDArray[np.float64] = 0.05 * sound * fade
    return faded


def off_cents(segment: Segment, frequency_hz: float) -> float:
    return cents_from_ratio(segment.coarse_frequency_hz / frequency_hz)


def reedlike(segments: Sequence[Segment]) -> list[Segment]:
    return [segment for segment in segments if segment.salience >= 0.6]


@pytest.mark.parametrize(
    ("frequency_hz", "duration_s", "snr_db", "rate_hz"),
    [
        (55.0, 0.8, 30.0, 44_100.0),
        (98.0, 0.5, 20.0, 44_100.0),
        (440.0, 0.3, 30.0, 44_100.0),
        (440.0, 2.0, 0.0, 44_100.0),
        (4186.0, 0.5, 30.0, 44_100.0),
        (220.0, 1.0, 30.0, 8_000.0),
        (2093.0, 1.0, 30.0, 8_000.0),
        (440.0, 1.0, 30.0, 192_000.0),
    ],
)
def test_a_note_is_found_at_its_time_and_pitch(
    frequency_hz: float, duration_s: float, snr_db: float, rate_hz: float
) -> None:
    """A1 to C8, 0.3 s and longer, down to the noise, 8 to 192 kHz: one note, no octave wrong."""
    for seed in range(3):
        tone = make_tone(
            np.random.default_rng(seed),
            frequency_hz=frequency_hz,
            duration_s=duration_s,
            snr_db=snr_db,
            sample_rate_hz=rate_hz,
            whole_note=True,
        )
        (segment,) = reedlike(find_segments(Samples(tone.samples, rate_hz)))
        assert abs(off_cents(segment, frequency_hz)) < 15.0
        # The attack takes up to 0.12 s, the ring-down and the room some 0.1 s.
        assert -0.02 < segment.start_s - tone.start_s < 0.13
        assert -0.05 < segment.end_s - tone.end_s < 0.08


@pytest.mark.parametrize("frequency_hz", [82.4, 196.0, 523.0, 1318.5])
def test_a_weak_fundamental_is_no_octave(frequency_hz: float) -> None:
    """The fundamental 25 dB under partials 2 and 3 is still the pitch."""
    amplitudes = [10.0 ** (-25 / 20), 1.0, 1.0, 0.4, 0.3, 0.2, 0.1, 0.1]
    sound = in_noise([reed(frequency_hz, 1.0, seed=1, amplitudes=amplitudes)])
    (segment,) = find_segments(sound)
    assert abs(off_cents(segment, frequency_hz)) < 3.0


def test_notes_without_a_gap_are_parted_where_the_pitch_changes() -> None:
    """A semitone, a fifth and an octave in one breath are four notes."""
    pitches = [440.0, 466.2, 698.5, 349.2]
    sound = in_noise([reed(pitch, 0.6, seed=k) for k, pitch in enumerate(pitches)])
    segments = find_segments(sound)
    assert len(segments) == len(pitches)
    for segment, pitch, place in zip(segments, pitches, range(4), strict=True):
        assert abs(off_cents(segment, pitch)) < 5.0
        assert segment.start_s == pytest.approx(0.5 + 0.6 * place, abs=0.06)


def test_press_and_draw_without_a_gap_are_two_notes() -> None:
    """Another reed of the same pitch has other phases and another voice."""
    missed = []
    for frequency_hz in (130.8, 440.0, 1760.0):
        for distance_cents in (0.0, 3.0):
            second_hz = frequency_hz * 2.0 ** (distance_cents / 1200.0)
            for seed in range(4):
                parts = [reed(frequency_hz, 1.0, seed=seed), reed(second_hz, 1.0, seed=seed + 100)]
                segments = find_segments(in_noise(parts))
                if len(segments) != 2 or abs(segments[1].start_s - 1.5) > 0.1:
                    missed.append((frequency_hz, distance_cents, seed))
    # By chance the second reed's few strong partials begin in phase: high notes only.
    assert len(missed) <= 3
    assert all(frequency_hz > 1000.0 for frequency_hz, _, _ in missed)


@pytest.mark.parametrize("frequency_hz", [130.8, 440.0, 1760.0])
def test_a_dropout_parts_no_note(frequency_hz: float) -> None:
    """40 ms of silence cut into a note leave its phases as they were: one note."""
    note = reed(frequency_hz, 2.0, seed=3)
    first = round(1.1 * RATE_HZ)
    note[first : first + round(0.04 * RATE_HZ)] = 0.0
    (segment,) = find_segments(in_noise([note]))
    assert segment.end_s - segment.start_s == pytest.approx(2.0, abs=0.1)


@pytest.mark.parametrize("level_db", [-6.0, -10.0, -20.0])
def test_two_reeds_that_beat_are_one_note(level_db: float) -> None:
    """A leaking neighbour makes the partials swell one after the other, and no new note."""
    parted = 0
    for seed in range(12):
        rng = np.random.default_rng(seed)
        tone = make_tone(
            rng,
            frequency_hz=(100.0, 2000.0),
            duration_s=3.0,
            whole_note=True,
            second=SecondVoice(level_db, float(rng.uniform(0.5, 20.0))),
        )
        parted += len(reedlike(find_segments(Samples(tone.samples)))) != 1
    # Measured over 70 tones of each level: 4, 1 and 0 were parted (benchmark of 2026-11-25).
    assert parted <= 1


def test_speech_is_unlike_a_reed() -> None:
    """Syllables glide: what little is steady in a minute of speech is short or scores low."""
    spoken = speech(np.random.default_rng(5), sample_rate_hz=RATE_HZ, duration_s=60.0)
    segments = find_segments(in_noise([0.2 * spoken]))
    assert all(segment.salience < 0.65 for segment in segments)
    assert all(
        segment.salience < 0.5 for segment in segments if segment.end_s > segment.start_s + 0.3
    )


def test_a_wavering_voice_is_unlike_a_reed() -> None:
    """A sung note swings by a quarter of a semitone five times a second; a reed does not."""
    time_s = np.arange(round(2.0 * RATE_HZ)) / RATE_HZ
    cycles = 330.0 * (time_s + 0.0145 / (2 * np.pi * 5.0) * np.sin(2 * np.pi * 5.0 * time_s))
    voice = sum(np.cos(2 * np.pi * number * cycles) / number for number in range(1, 12))
    segments = find_segments(in_noise([0.05 * np.asarray(voice)]))
    assert segments
    assert all(segment.salience < 0.4 for segment in segments)


def test_knocks_are_no_notes() -> None:
    """A knock dies away before it has a pitch."""
    rng = np.random.default_rng(6)
    knocks = [0.5 * knock(rng, sample_rate_hz=RATE_HZ) for _ in range(40)]
    assert not reedlike(find_segments(in_noise(knocks)))


@pytest.mark.parametrize("semitones", [(0, 4, 7), (0, 3, 7), (0, 7), (0, 4), (0, 5, 9)])
def test_several_notes_at_once_are_unlike_a_reed(semitones: tuple[int, ...]) -> None:
    """A chord leaves loud peaks over, or loud partials of its common root missing."""
    voices = [
        reed(220.0 * 2.0 ** (step / 12.0), 2.0, seed=number)
        for number, step in enumerate(semitones)
    ]
    segments = find_segments(in_noise([np.sum(voices, axis=0)]))
    assert all(segment.salience < 0.5 for segment in segments)


def test_silence_and_noise_hold_no_notes() -> None:
    """Digital silence, and noise of any colour."""
    rng = np.random.default_rng(7)
    frames = round(10.0 * RATE_HZ)
    assert find_segments(Samples(np.zeros(frames, np.float32))) == ()
    white = rng.standard_normal(frames)
    for sound in (white, np.cumsum(white) * 0.01):
        assert not reedlike(find_segments(Samples((0.05 * sound).astype(np.float32))))


def test_hum_before_a_note_is_no_note() -> None:
    """Mains hum 40 dB under the note is heard in the silence around it, and left out."""
    hum = mains_hum(
        np.random.default_rng(8),
        round(4.0 * RATE_HZ),
        sample_rate_hz=RATE_HZ,
        mains_hz=50.0,
        level_db=-65.0,
    )
    note = np.concatenate([np.zeros(round(2.0 * RATE_HZ)), reed(440.0, 2.0, seed=1)])
    segments = find_segments(in_noise([hum + note], level=1e-5))
    assert [round(segment.coarse_frequency_hz) for segment in reedlike(segments)] == [440]


@dataclass
class Endless:
    """Ten minutes of changing notes that exist only while they are read."""

    frames: int = round(600.0 * 8_000.0)
    sample_rate_hz: float = 8_000.0
    longest: int = 0

    def read(self, start: int, stop: int) -> NDArray[np.float32]:
        """Make the samples between two places."""
        self.longest = max(self.longest, stop - start)
        time_s = np.arange(start, stop) / self.sample_rate_hz
        pitch_hz = 220.0 * 2.0 ** (np.floor(time_s / 4.0) % 12.0 / 12.0)
        sounding = time_s % 4.0 < 3.5
        wave = np.sin(2 * np.pi * pitch_hz * time_s) + 0.5 * np.sin(4 * np.pi * pitch_hz * time_s)
        hiss = np.sin(1e9 * np.sin(np.arange(start, stop) * 1.7))
        made: NDArray[np.float32] = (0.1 * sounding * wave + 1e-4 * hiss).astype(np.float32)
        return made


def test_a_long_recording_is_read_piece_by_piece() -> None:
    """Ten minutes are never asked for in pieces of more than half a minute or so."""
    sound = Endless()
    segments = find_segments(sound)
    assert len(segments) == 150
    assert sound.longest < 32.0 * sound.sample_rate_hz
