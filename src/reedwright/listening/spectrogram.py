"""The sound as power over time and pitch, block by block.

Frames of about 0.1 s (a Hann window, long enough to part the partials of the
lowest bass note) follow each other every 0.02 s. Their spectra are gathered
into cells a quarter of a semitone wide, so that a harmonic series has the same
shape at every pitch.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import scipy.fft
from numpy.typing import NDArray

from reedwright.listening.model import Sound

__all__ = [
    "CELLS_PER_OCTAVE",
    "_HOP_S",
    "_LOWEST_HZ",
    "CellMap",
    "LogPowers",
    "cell_map",
    "log_powers",
]

CELLS_PER_OCTAVE = 48
#: Centre of the first cell: a fifth of a tone below A1 lowered by 150 cents, hertz.
_LOWEST_HZ = 49.0
#: Frames follow each other at about this distance, seconds.
_HOP_S = 0.02

_WINDOW_S = 0.093
_HIGHEST_HZ = 12_000.0
#: Longest block read at once; a floor of noise is taken from each.
_BLOCK_S = 30.0
_FRAMES_AT_ONCE = 256
#: Powers are not followed below -120 dB re full scale.
_LEAST_POWER = 1e-12


@dataclass(frozen=True, slots=True, eq=False)
class CellMap:
    """How the bins of a frame's spectrum are gathered into cells.

    Cells narrower than two bins are interpolated (``below``, ``share`` of the bin
    above); wider ones take their greatest bin (``edges``, first and last in turn).
    """

    sample_rate_hz: float
    window: NDArray[np.float32]
    hop: int
    bins: int
    frequencies_hz: NDArray[np.float64]
    below: NDArray[np.intp]
    share: NDArray[np.float32]
    edges: NDArray[np.intp]

    @property
    def hop_s(self) -> float:
        """Distance of frames, seconds."""
        return self.hop / self.sample_rate_hz


@dataclass(frozen=True, slots=True, eq=False)
class LogPowers:
    """One block: natural logarithm of power, shape (frames, cells), full-scale sine = 0 dB.

    Frame i of the block is centred at ``(first_frame + i) * hop_s``.
    """

    first_frame: int
    values: NDArray[np.float32]


def cell_map(sample_rate_hz: float) -> CellMap:
    """Return the cells for a sample rate, from 49 Hz to 12 kHz or just below half the rate."""
    length = scipy.fft.next_fast_len(round(_WINDOW_S * sample_rate_hz), real=True)
    bin_hz = sample_rate_hz / length
    highest_hz = min(_HIGHEST_HZ, 0.48 * sample_rate_hz)
    count = int(CELLS_PER_OCTAVE * math.log2(highest_hz / _LOWEST_HZ))
    frequencies_hz = _LOWEST_HZ * 2.0 ** (np.arange(count) / CELLS_PER_OCTAVE)
    # A cell reaches to the centres of its neighbours: a partial between two is seen by both.
    reach = 2.0 ** (1.0 / CELLS_PER_OCTAVE)
    first = np.ceil(frequencies_hz / reach / bin_hz).astype(np.intp)
    last = np.floor(frequencies_hz * reach / bin_hz).astype(np.intp) + 1
    narrow = int(np.argmax(last - first >= 3)) if np.any(last - first >= 3) else count
    place = frequencies_hz[:narrow] / bin_hz
    below = np.floor(place).astype(np.intp)
    return CellMap(
        sample_rate_hz=sample_rate_hz,
        window=_hann(length),
        hop=round(_HOP_S * sample_rate_hz),
        bins=int(last[-1]) + 1,
        frequencies_hz=frequencies_hz,
        below=below,
        share=(place - below).astype(np.float32),
        edges=np.stack([first[narrow:], last[narrow:]], axis=1).ravel(),
    )


def log_powers(sound: Sound, cells: CellMap) -> Iterator[LogPowers]:
    """Yield the blocks of a sound, of equal length and at most 30 s each."""
    frames = max(1, -(-sound.frames // cells.hop))
    blocks = -(-frames // round(_BLOCK_S / cells.hop_s))
    edges = np.linspace(0, frames, blocks + 1).round().astype(int)
    half = cells.window.size // 2
    for first, stop in pairwise(edges.tolist()):
        start = first * cells.hop - half
        samples = _padded(sound, start, (stop - 1) * cells.hop + cells.window.size - half)
        yield LogPowers(first, _gathered(samples, cells, stop - first))


def _gathered(samples: NDArray[np.float32], cells: CellMap, frames: int) -> NDArray[np.float32]:
    """Return the log powers of ``frames`` frames, the first at the first sample."""
    windows = np.lib.stride_tricks.sliding_window_view(samples, cells.window.size)[:: cells.hop]
    narrow = cells.below.size
    values = np.empty((frames, cells.frequencies_hz.size), np.float32)
    scale = np.float32(4.0 / float(np.sum(cells.window)) ** 2)
    for first in range(0, frames, _FRAMES_AT_ONCE):
        spectrum = scipy.fft.rfft(windows[first : first + _FRAMES_AT_ONCE] * cells.window, axis=1)
        spectrum = spectrum[:, : cells.bins]
        power = np.log(scale * (spectrum.real**2 + spectrum.imag**2) + np.float32(_LEAST_POWER))
        part = values[first : first + _FRAMES_AT_ONCE]
        part[:, :narrow] = power[:, cells.below] * (1 - cells.share)
        part[:, :narrow] += power[:, cells.below + 1] * cells.share
        if cells.edges.size:
            part[:, narrow:] = np.maximum.reduceat(power, cells.edges, axis=1)[:, ::2]
    return values


def _padded(sound: Sound, start: int, stop: int) -> NDArray[np.float32]:
    """Return the samples from start to stop, with silence outside of the sound."""
    inside = sound.read(max(0, start), min(stop, sound.frames))
    return np.pad(inside, (max(0, -start), stop - max(0, start) - inside.size))


def _hann(length: int) -> NDArray[np.float32]:
    """Return a periodic Hann window."""
    return (0.5 - 0.5 * np.cos(2.0 * np.pi * np.arange(length) / length)).astype(np.float32)
