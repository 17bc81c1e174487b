"""Samples to a WAV or FLAC file."""

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

__all__ = ["write_samples"]


def write_samples(path: Path, samples: NDArray[np.floating], *, sample_rate_hz: int) -> None:
    """Write samples (full scale = 1) as 24-bit WAV or FLAC, by the ending of ``path``."""
    import soundfile  # noqa: PLC0415 - a tenth of a second that other commands need not pay

    soundfile.write(path, samples, sample_rate_hz, subtype="PCM_24")
