"""Recordings of every kind are read at their own rate, in pieces, or refused in words."""

from collections.abc import Callable
from pathlib import Path

import av
import numpy as np
import pytest
import soundfile
from numpy.typing import NDArray

from reedwright.audio import Channel, open_recording, write_samples
from reedwright.errors import RecordingError

RATE = 44_100


def sine(*, duration_s: float = 1.0, rate: int = RATE) -> NDArray[np.float64]:
    """Return 440 Hz at half of full scale."""
    times = np.arange(int(duration_s * rate)) / rate
    wave: NDArray[np.float64] = 0.5 * np.sin(2 * np.pi * 440.0 * times)
    return wave


def encode(path: Path, samples: NDArray[np.float64], *, codec: str, rate: int = RATE) -> None:
    """Write a phone recording the way a phone does."""
    with av.open(str(path), "w") as container:
        stream = container.add_stream(codec, rate=rate)
        assert isinstance(stream, av.AudioStream)
        stream.layout = "mono"
        frame = av.AudioFrame.from_ndarray(
            samples.astype(np.float32)[None, :], format="flt", layout="mono"
        )
        frame.sample_rate = rate
        for packet in [*stream.encode(frame), *stream.encode(None)]:
            container.mux(packet)


@pytest.mark.parametrize("rate", [8_000, 22_050, 44_100, 96_000, 192_000])
@pytest.mark.parametrize(
    ("ending", "subtype"),
    [("wav", "PCM_16"), ("wav", "PCM_24"), ("wav", "FLOAT"), ("wav", "PCM_U8"), ("flac", "PCM_16")],
)
def test_samples_come_back_at_their_own_rate(
    tmp_path: Path, rate: int, ending: str, subtype: str
) -> None:
    """Any integer or float file gives its samples back, at any rate, in any piece."""
    path = tmp_path / f"a.{ending}"
    soundfile.write(path, sine(rate=rate), rate, subtype=subtype)
    with open_recording(path) as recording:
        assert recording.sample_rate_hz == rate
        assert recording.frames == rate
        assert recording.cautions == ()
        whole = recording.read(0, recording.frames)
        np.testing.assert_array_equal(recording.read(100, 300), whole[100:300])
        np.testing.assert_allclose(whole, sine(rate=rate), atol=0.01)


@pytest.mark.parametrize(
    ("name", "codec"), [("a.m4a", "aac"), ("a.mp3", "libmp3lame"), ("a.webm", "libopus")]
)
def test_a_compressed_recording_keeps_its_pitch(tmp_path: Path, name: str, codec: str) -> None:
    """A phone's M4A and the like decode to the same sine: frequency by phase, to 0.02 cent."""
    rate = 48_000
    encode(tmp_path / name, sine(duration_s=3.0, rate=rate), codec=codec, rate=rate)
    with open_recording(tmp_path / name) as recording:
        assert recording.sample_rate_hz == rate
        heard = recording.read(rate // 2, rate // 2 + 2 * rate).astype(np.float64)
    times = np.arange(len(heard)) / rate
    turned = heard * np.exp(-2j * np.pi * 440.0 * times)
    halves = turned[:rate].sum(), turned[rate:].sum()
    shift_hz = np.angle(halves[1] / halves[0]) / (2 * np.pi * 1.0)
    assert abs(1731.23 * shift_hz / 440.0) < 0.02
    assert np.sqrt(np.mean(heard**2)) == pytest.approx(0.5 / np.sqrt(2), rel=0.05)


def test_ogg_vorbis_is_read_where_it_lies(tmp_path: Path) -> None:
    """An OGG file gives the same samples whole and in pieces."""
    soundfile.write(tmp_path / "a.ogg", sine(duration_s=2.0), RATE, format="OGG")
    with open_recording(tmp_path / "a.ogg") as recording:
        whole = recording.read(0, recording.frames)
        np.testing.assert_allclose(recording.read(RATE, RATE + 500), whole[RATE : RATE + 500])
        assert np.abs(whole).max() == pytest.approx(0.5, abs=0.05)


def test_stereo_is_mixed_and_either_side_can_be_chosen(tmp_path: Path) -> None:
    """Two channels are averaged; left and right can be had alone."""
    left, right = sine(), 0.25 * sine()
    soundfile.write(tmp_path / "s.wav", np.column_stack([left, right]), RATE, subtype="FLOAT")
    for channel, expected in [
        (Channel.MIX, (left + right) / 2),
        (Channel.LEFT, left),
        (Channel.RIGHT, right),
    ]:
        with open_recording(tmp_path / "s.wav", channel=channel) as recording:
            np.testing.assert_allclose(recording.read(0, RATE), expected, atol=1e-6)


def test_channels_that_cancel_are_not_mixed(tmp_path: Path) -> None:
    """Opposite channels would give silence: the louder one is taken, and it is said."""
    soundfile.write(tmp_path / "s.wav", np.column_stack([-0.9 * sine(), sine()]), RATE)
    with open_recording(tmp_path / "s.wav") as recording:
        assert np.abs(recording.read(0, RATE)).max() > 0.4
        assert any("only the right one" in caution for caution in recording.cautions)


@pytest.mark.parametrize("ending", ["wav", "flac"])
def test_a_broken_off_file_is_kept_as_far_as_it_goes(tmp_path: Path, ending: str) -> None:
    """Half of a file gives about half of its sound, and it is said."""
    rng = np.random.default_rng(1)
    path = tmp_path / f"whole.{ending}"
    soundfile.write(path, 0.1 * rng.standard_normal(4 * RATE), RATE)
    raw = path.read_bytes()
    (tmp_path / f"half.{ending}").write_bytes(raw[: len(raw) // 2])
    with open_recording(tmp_path / f"half.{ending}") as recording:
        assert 1.5 < recording.duration_s < 2.1
        assert len(recording.read(0, recording.frames)) == recording.frames
        assert any("breaks off" in caution for caution in recording.cautions)


def test_a_broken_off_phone_recording_is_kept_or_refused(tmp_path: Path) -> None:
    """An M4A without its index cannot be decoded: it is refused in words."""
    encode(tmp_path / "a.m4a", sine(duration_s=3.0), codec="aac")
    raw = (tmp_path / "a.m4a").read_bytes()
    (tmp_path / "b.m4a").write_bytes(raw[: len(raw) // 2])
    with (
        pytest.raises(RecordingError, match="holds no sound that can be decoded"),
        open_recording(tmp_path / "b.m4a"),
    ):
        pass


def _text(path: Path) -> None:
    path.write_text("This is not sound at all.\n" * 500)


def _empty(path: Path) -> None:
    path.write_bytes(b"")


def _no_samples(path: Path) -> None:
    soundfile.write(path, np.zeros(0), RATE)


def _too_slow(path: Path) -> None:
    soundfile.write(path, np.zeros(4_000), 4_000)


def _quadraphonic(path: Path) -> None:
    soundfile.write(path, np.zeros((1_000, 4)), RATE)


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (_text, "holds no sound that can be decoded"),
        (_empty, "is empty"),
        (_no_samples, "holds none"),
        (_too_slow, "between 8000 and 192000 Hz, bad.wav has 4000"),
        (_quadraphonic, "one or two channels, bad.wav has 4"),
    ],
)
def test_what_is_no_recording_is_refused_in_words(
    tmp_path: Path, make: Callable[[Path], None], words: str
) -> None:
    """A text file called .wav, an empty file and the like: rule, value, remedy."""
    make(tmp_path / "bad.wav")
    with pytest.raises(RecordingError, match=words), open_recording(tmp_path / "bad.wav"):
        pass


def test_a_missing_file_and_a_folder_are_refused(tmp_path: Path) -> None:
    """What is no file is refused by name."""
    for path in (tmp_path, tmp_path / "none.wav"):
        with pytest.raises(RecordingError, match="must be a file"), open_recording(path):
            pass


def test_numbers_that_are_none_are_refused(tmp_path: Path) -> None:
    """A float file with a NaN in it is refused with the place."""
    samples = sine()
    samples[RATE // 2] = np.nan
    soundfile.write(tmp_path / "n.wav", samples, RATE, subtype="FLOAT")
    with (
        open_recording(tmp_path / "n.wav") as recording,
        pytest.raises(RecordingError, match="finite numbers"),
    ):
        recording.read(0, RATE)


def test_written_samples_come_back(tmp_path: Path) -> None:
    """What is written as 24-bit FLAC or WAV is read back to its last bit."""
    for name in ("a.wav", "a.flac"):
        write_samples(tmp_path / name, np.split(sine(), 3), sample_rate_hz=RATE)
        with open_recording(tmp_path / name) as recording:
            np.testing.assert_allclose(recording.read(0, RATE), sine(), atol=2.0**-23)
