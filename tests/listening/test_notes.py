"""Single notes with no layout, from half a second to minutes."""

import pickle
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
import pytest
from benchmarks.virtual.tones import make_tone
from numpy.typing import NDArray

from reedwright.compute import Here
from reedwright.errors import RecordingError
from reedwright.listening import notes
from reedwright.listening.notes import Piece, hear_piece, heard_notes, listen
from reedwright.units import cents_from_ratio

RATE_HZ = 44_100.0

_Item = TypeVar("_Item")
_Result = TypeVar("_Result")


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


@pytest.mark.parametrize("frequency_hz", [65.4, 220.0, 880.0, 3520.0])
def test_a_bare_tone_of_half_a_second_is_heard(frequency_hz: float) -> None:
    """No silence around it, no attack: its pitch is heard to a tenth of a cent."""
    bare = make_tone(
        np.random.default_rng(1), frequency_hz=frequency_hz, duration_s=0.5, snr_db=40.0
    )
    (tone,) = listen(Samples(bare.samples), spread=Here())
    truth_hz = bare.mean_frequency_hz(tone.measured_from_s, tone.measured_to_s)
    assert abs(cents_from_ratio(tone.frequency_hz / truth_hz)) < 0.1
    assert tone.measured_to_s - tone.measured_from_s > 0.4 * 0.5


def test_notes_come_in_order_of_time() -> None:
    """Five notes with silences: five tones, each within its note."""
    rng = np.random.default_rng(2)
    made = [
        make_tone(rng, frequency_hz=pitch, duration_s=1.0, whole_note=True, level_dbfs=-20.0)
        for pitch in (196.0, 740.0, 330.0, 1047.0, 494.0)
    ]
    sound = Samples(np.concatenate([one.samples for one in made]))
    tones = listen(sound, spread=Here())
    assert len(tones) == 5
    begin_s = 0.0
    for tone, one in zip(tones, made, strict=True):
        assert begin_s + one.start_s - 0.02 < tone.start_s < tone.end_s < begin_s + one.end_s + 0.1
        truth_hz = one.mean_frequency_hz(
            tone.measured_from_s - begin_s, tone.measured_to_s - begin_s
        )
        assert abs(cents_from_ratio(tone.frequency_hz / truth_hz)) < 0.1
        begin_s += one.duration_s


def test_the_clock_corrects_what_is_heard() -> None:
    """A clock 200 ppm fast: every frequency is raised by as much."""
    bare = Samples(make_tone(np.random.default_rng(3), frequency_hz=440.0).samples)
    (plain,) = listen(bare, spread=Here())
    (corrected,) = listen(bare, spread=Here(), clock_ppm=200.0)
    assert corrected.frequency_hz / plain.frequency_hz == pytest.approx(1.0002)


def test_a_very_long_note_is_heard_in_its_middle(monkeypatch: pytest.MonkeyPatch) -> None:
    """Too long for one piece of memory: the middle is heard, and a caution says so."""
    monkeypatch.setattr(notes, "_MOST_SAMPLES", round(3.0 * RATE_HZ))
    held = make_tone(np.random.default_rng(4), frequency_hz=440.0, duration_s=10.0)
    (tone,) = listen(Samples(held.samples), spread=Here())
    assert 2.5 < tone.measured_from_s + 1.0 < tone.measured_to_s < 6.6
    assert any("in its middle" in caution for caution in tone.cautions)
    truth_hz = held.mean_frequency_hz(tone.measured_from_s, tone.measured_to_s)
    assert abs(cents_from_ratio(tone.frequency_hz / truth_hz)) < 0.1


def test_a_piece_is_a_sound_that_travels() -> None:
    """Cut out of a recording and pickled, a piece gives the same samples and the same tone."""
    made = make_tone(np.random.default_rng(5), frequency_hz=330.0, whole_note=True)
    kept: list[Piece] = []

    class Keeping(Here):
        """Keeps what it was given to work on."""

        def map(
            self, function: Callable[[_Item], _Result], items: Iterable[_Item]
        ) -> Iterator[_Result]:
            """Keep the items and do the work."""
            for item in items:
                assert isinstance(item, Piece)
                kept.append(item)
                yield function(item)

    ((segment, tone),) = heard_notes(Samples(made.samples), spread=Keeping())
    (piece,) = kept
    again = pickle.loads(pickle.dumps(piece))  # noqa: S301 - our own
    assert hear_piece(again) == ((segment, tone),)
    assert np.array_equal(piece.read(piece.first, piece.first + 9), made.samples[piece.first :][:9])
    assert np.array_equal(piece.read(-5, 0), np.zeros(5))


@pytest.mark.parametrize("frames", [0, 100_000])
def test_nothing_to_hear_is_refused(frames: int) -> None:
    """An empty recording and a silent one."""
    with pytest.raises(RecordingError, match="must hold sound"):
        listen(Samples(np.zeros(frames, np.float32)), spread=Here())


def test_noise_holds_no_notes() -> None:
    """Noise is no error where single notes are asked for: there are none."""
    noise = np.random.default_rng(6).standard_normal(round(3.0 * RATE_HZ))
    assert listen(Samples((0.1 * noise).astype(np.float32)), spread=Here()) == ()
