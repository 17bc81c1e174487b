"""Samples to a WAV or FLAC file."""

from collections.abc import Iterable
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

__all__ = ["write_samples"]


def write_samples(
    path: Path, samples: Iterable[NDArray[np.floating]], *, sample_rate_hz: int
) -> None:
    """Write pieces of samples (full scale = 1), one after the other, as 24-bit WAV or FLAC.

    The ending of ``path`` says which.
    """
    import soundfile  # noqa: PLC0415 - a tenth of a second that other commands need not pay

    with soundfile.SoundFile(
        path, "w", samplerate=sample_rate_hz, channels=1, subtype="PCM_24"
    ) as file:
        for piece in samples:
            file.write(piece)
