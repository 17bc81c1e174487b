"""Phone recordings (M4A/AAC, 3GP, AMR, WebM, MP3): decoded once to plain samples on disk."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import BinaryIO

import av
import numpy as np
from av.error import FFmpegError
from numpy.typing import NDArray

from reedwright.errors import RecordingError

__all__ = ["DecodedFile", "decode_phone_file"]


class DecodedFile:
    """Samples of all channels in a temporary file, float32, interleaved."""

    def __init__(self, path: Path, *, sample_rate_hz: float, channels: int) -> None:
        self._path = path
        self._file: BinaryIO | None = None
        self.sample_rate_hz = sample_rate_hz
        self.channels = channels
        self.frames = path.stat().st_size // (4 * channels)

    def __enter__(self) -> "DecodedFile":
        self._file = self._path.open("rb")
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._file is not None:
            self._file.close()

    def read(self, start: int, stop: int) -> NDArray[np.float32]:
        """Return samples of shape (stop - start, channels)."""
        if self._file is None:
            raise OSError("the decoded samples are not open")
        self._file.seek(4 * self.channels * start)
        raw = self._file.read(4 * self.channels * (stop - start))
        return np.frombuffer(raw, dtype=np.float32).reshape(-1, self.channels)


def decode_phone_file(path: Path, target: Path) -> DecodedFile:
    """Decode the first sound of ``path`` into ``target``, frame by frame.

    A file that breaks off is kept as far as it goes.

    Raises
    ------
    RecordingError
        If the file holds no sound that can be decoded.
    """
    with _sound_of(path) as container, target.open("wb") as out:
        stream = container.streams.audio[0]
        rate, channels = stream.codec_context.sample_rate, stream.codec_context.channels
        resampler = av.AudioResampler(format="flt")  # only the number format; the rate is kept
        try:
            for frame in container.decode(stream):
                for plain in resampler.resample(frame):
                    out.write(plain.to_ndarray().tobytes())
                rate, channels = frame.sample_rate, len(frame.layout.channels)
        except FFmpegError:
            # Broken off: what was decoded so far stands.
            pass
    if channels < 1 or target.stat().st_size < 4 * channels:
        raise _no_recording(path)
    return DecodedFile(target, sample_rate_hz=float(rate), channels=channels)


@contextmanager
def _sound_of(path: Path) -> Iterator[av.container.InputContainer]:
    try:
        container = av.open(str(path), mode="r")
    except (FFmpegError, ValueError) as error:
        raise _no_recording(path) from error
    with container:
        if not container.streams.audio:
            raise _no_recording(path)
        yield container


def _no_recording(path: Path) -> RecordingError:
    return RecordingError(
        "a recording must be WAV, FLAC, OGG, MP3 or a phone's M4A, "
        f"{path.name} holds no sound that can be decoded; export it as WAV and try again"
    )
