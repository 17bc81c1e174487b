"""A recording on disk, mixed to one channel and read in pieces at its own rate.

Nothing is ever resampled. What a decoder can seek in (WAV, FLAC, OGG) is read
where it lies; what it cannot (M4A and other phone recordings, MP3) is decoded
once into a temporary file of plain samples, so that memory stays bounded.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from reedwright.errors import RecordingError

__all__ = ["Channel", "Recording", "open_recording"]

#: Rates at which reeds can be heard: below, too few partials are left of a high reed.
LOWEST_RATE_HZ, HIGHEST_RATE_HZ = 8_000, 192_000
_LOOKS = 40
_LOOK_S = 0.25
#: A mix with less than this share of the power of its channels has cancelled itself.
_CANCELLED = 0.3


class Channel(StrEnum):
    """Which channel of a stereo recording is listened to."""

    MIX = "mix"
    LEFT = "left"
    RIGHT = "right"


class _Samples(Protocol):
    """Samples of all channels, shape (n, channels), at any place."""

    sample_rate_hz: float
    frames: int
    channels: int

    def read(self, start: int, stop: int) -> NDArray[np.float32]: ...


class _SeekableFile:
    """A file that libsndfile can seek in."""

    def __init__(self, file: Any) -> None:  # noqa: ANN401 - soundfile brings no types
        self._file = file
        self.sample_rate_hz = float(file.samplerate)
        self.frames = int(file.frames)
        self.channels = int(file.channels)

    def read(self, start: int, stop: int) -> NDArray[np.float32]:
        self._file.seek(start)
        samples: NDArray[np.float32] = self._file.read(
            stop - start, dtype="float32", always_2d=True
        )
        return samples


@dataclass(frozen=True)
class Recording:
    """One channel of a recording: a ``listening.model.Sound``.

    ``weights`` mix the channels; ``cautions`` say what a reader of the results
    must know about the file.
    """

    path: Path
    samples: _Samples
    weights: NDArray[np.float32]
    frames: int
    cautions: tuple[str, ...]

    @property
    def sample_rate_hz(self) -> float:
        """Samples per second, as the file states it."""
        return self.samples.sample_rate_hz

    @property
    def duration_s(self) -> float:
        """Length in seconds by the recorder's clock."""
        return self.frames / self.sample_rate_hz

    def read(self, start: int, stop: int) -> NDArray[np.float32]:
        """Return the samples from ``start`` up to ``stop``, clipped to the file, shape (n,).

        Raises
        ------
        RecordingError
            If the file breaks off here, or holds numbers that are none.
        """
        start, stop = max(0, start), min(stop, self.frames)
        if stop <= start:
            return np.zeros(0, dtype=np.float32)
        mono = _mixed(_read(self.samples, start, stop, self.path), self.weights)
        if not np.isfinite(mono).all():
            raise RecordingError(
                f"samples must be finite numbers, {self.path.name} holds others between "
                f"{start / self.sample_rate_hz:.1f} s and {stop / self.sample_rate_hz:.1f} s; "
                "export the recording again as 24-bit WAV or FLAC"
            )
        return mono


@contextmanager
def open_recording(path: Path, *, channel: Channel = Channel.MIX) -> Iterator[Recording]:
    """Open a recording for reading in pieces; the file is closed on leaving.

    Raises
    ------
    RecordingError
        If there is no such file, it is no recording, has no samples, more than two
        channels, or a rate outside 8 to 192 kHz.
    """
    if not path.is_file():
        raise RecordingError(f"a recording must be a file, {path} is none; check the name")
    if path.stat().st_size == 0:
        raise RecordingError(f"a recording must hold sound, {path.name} is empty; record again")
    with (
        TemporaryDirectory(prefix="reedwright-") as folder,
        _opened(path, Path(folder)) as (samples, cautions),
    ):
        yield _checked(path, samples, channel, cautions)


@contextmanager
def _opened(path: Path, folder: Path) -> Iterator[tuple[_Samples, tuple[str, ...]]]:
    """Open with libsndfile where it can seek, decode the whole file once where it cannot."""
    import soundfile  # noqa: PLC0415 - a tenth of a second that other commands need not pay

    promised = 0
    try:
        file = soundfile.SoundFile(path)
    except soundfile.LibsndfileError:
        file = None
    if file is not None:
        with file:
            if file.format != "MP3" and _reads_to_its_end(file):
                yield _SeekableFile(file), _length_caution(path, file.frames / file.samplerate)
                return
            promised = file.frames
    from reedwright.audio.decoding import decode_phone_file  # noqa: PLC0415 - a heavy library

    with decode_phone_file(path, folder / "samples.f32") as decoded:
        rate = decoded.sample_rate_hz
        # MP3 headers count the encoder's padding, a few frames of 1152 samples.
        is_short = decoded.frames < promised - 4 * 1152
        yield decoded, ((_broken_off(promised / rate, decoded.frames / rate),) if is_short else ())


def _reads_to_its_end(file: Any) -> bool:  # noqa: ANN401 - soundfile brings no types
    if file.frames <= 0:
        return True
    try:
        file.seek(file.frames - 1)
        return len(file.read(1)) == 1
    except RuntimeError:
        return False


def _broken_off(promised_s: float, held_s: float) -> str:
    return f"The file breaks off: {held_s:.1f} s of {promised_s:.1f} s can be read."


def _length_caution(path: Path, held_s: float) -> tuple[str, ...]:
    """Say when a WAV file promises more bytes than it holds."""
    with path.open("rb") as file:
        head = file.read(12)
    if head[:4] != b"RIFF" or head[8:12] != b"WAVE":
        return ()
    promised, held = int.from_bytes(head[4:8], "little") + 8, path.stat().st_size
    # Recorders that stream write 0 or the largest number; that is no sign of damage.
    if promised <= held + 1 or promised >= 0xFFFFFF00:
        return ()
    return (_broken_off(held_s * promised / held, held_s),)


def _checked(
    path: Path, samples: _Samples, channel: Channel, cautions: tuple[str, ...]
) -> Recording:
    rate = samples.sample_rate_hz
    if not LOWEST_RATE_HZ <= rate <= HIGHEST_RATE_HZ:
        raise RecordingError(
            f"the sample rate must lie between {LOWEST_RATE_HZ} and {HIGHEST_RATE_HZ} Hz, "
            f"{path.name} has {rate:.0f}; record at 44100 or 48000"
        )
    if samples.channels > 2:
        raise RecordingError(
            f"a recording has one or two channels, {path.name} has {samples.channels}; "
            "export the one microphone that stood nearest"
        )
    if samples.frames <= 0:
        raise RecordingError(f"a recording must hold sound, {path.name} holds none; record again")
    weights, said = _weights(path, samples, channel)
    return Recording(path, samples, weights, samples.frames, (*cautions, *said))


def _read(samples: _Samples, start: int, stop: int, path: Path) -> NDArray[np.float32]:
    try:
        return samples.read(start, stop)
    except (RuntimeError, OSError) as error:
        raise RecordingError(
            f"a recording must be readable, {path.name} cannot be read at "
            f"{start / samples.sample_rate_hz:.1f} s ({error}); copy it from the recorder again"
        ) from error


def _mixed(samples: NDArray[np.float32], weights: NDArray[np.float32]) -> NDArray[np.float32]:
    if len(weights) == 1:
        return samples[:, 0]
    return samples @ weights


def _weights(
    path: Path, samples: _Samples, channel: Channel
) -> tuple[NDArray[np.float32], tuple[str, ...]]:
    """Return the weights that mix the channels, and what to say about it.

    A mix of two channels of opposite sign loses the sound, and a dead channel
    halves it: then the louder channel alone is taken, and it is said.
    """
    if samples.channels == 1:
        return np.ones(1, dtype=np.float32), ()
    if channel is not Channel.MIX:
        chosen = np.array([channel is Channel.LEFT, channel is Channel.RIGHT], dtype=np.float32)
        return chosen, ()
    frames = samples.frames
    length = int(_LOOK_S * samples.sample_rate_hz)
    starts = np.unique(np.linspace(0, max(0, frames - length), _LOOKS).astype(int))
    looks = [_read(samples, int(s), min(int(s) + length, frames), path) for s in starts]
    heard = np.concatenate(looks).astype(np.float64)
    left, right = (float(power) for power in np.mean(heard**2, axis=0))
    mix = float(np.mean(heard.mean(axis=1) ** 2))
    if left + right > 0 and mix < _CANCELLED * (left + right) / 2:
        louder = np.array([left >= right, left < right], dtype=np.float32)
        name = "left" if left >= right else "right"
        return louder, (
            f"The two channels cancel each other when mixed: only the {name} one was listened to.",
        )
    return np.full(2, 0.5, dtype=np.float32), ()
