"""The partials of one pitch followed through a stretch, a hundred times a second.

Each frame is multiplied with complex exponentials at the partials and halfway
between them (Hann window of 40 ms, or of 4.2 periods of a low note, just enough
to part neighbours); what is heard halfway is noise.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from reedwright.listening.model import Sound

__all__ = ["Course", "follow_partials"]

_HOP_S = 0.01
#: Phase steps of high notes would be ambiguous at the usual hop.
_HIGH_NOTE_HZ = 1_500.0
_WINDOW_S = 0.04
_WINDOW_PERIODS = 4.2
_MOST_PARTIALS = 10
_HIGHEST_PARTIAL_HZ = 5_000.0
_FRAMES_AT_ONCE = 256
#: Phases that a fifth of a semitone would turn by over 0.3 cycles between frames are not followed.
_MOST_TURN_HZ_S = 25.0
#: A partial weighs nothing up to this height over the noise, and all from the range above.
_NO_WEIGHT_DB = 8.0
_WEIGHT_RANGE_DB = 10.0
_NO_POWER = 1e-14


@dataclass(frozen=True, slots=True, eq=False)
class Course:
    """Partials 1 to K of ``frequency_hz`` in frames centred at ``times_s``.

    ``heard_power`` is the mean square of all partials that stand out of the noise,
    and ``noise_power`` that of the noise in the same places; ``partials_db``
    (frames, K) are levels, ``cycles`` (frames, K) phases with the partial's own
    turning taken out, unwrapped.
    ``weights`` (K,) are 0 for a partial that drowns in noise, 1 for one 18 dB above;
    ``phase_weights`` are those of the partials low enough for their phase to be
    followed.
    """

    frequency_hz: float
    hop_s: float
    times_s: NDArray[np.float64]
    heard_power: NDArray[np.float64]
    noise_power: float
    partials_db: NDArray[np.float64]
    cycles: NDArray[np.float64]
    weights: NDArray[np.float64]
    phase_weights: NDArray[np.float64]

    @property
    def level_db(self) -> NDArray[np.float64]:
        """Return the level of the partials that are heard."""
        return 10.0 * np.log10(self.heard_power + _NO_POWER)

    def inside(self, start_s: float, end_s: float) -> NDArray[np.bool_]:
        """Return which frames lie between two times, the ends included."""
        reach_s = 0.5 * self.hop_s
        return (self.times_s >= start_s - reach_s) & (self.times_s <= end_s + reach_s)

    def between(self, first: int, stop: int) -> "Course":
        """Return the course from one frame up to another."""
        return replace(
            self,
            times_s=self.times_s[first:stop],
            heard_power=self.heard_power[first:stop],
            partials_db=self.partials_db[first:stop],
            cycles=self.cycles[first:stop],
        )

    def frames(self, duration_s: float) -> int:
        """Return a duration in frames."""
        return round(duration_s / self.hop_s)


def follow_partials(sound: Sound, start_s: float, end_s: float, frequency_hz: float) -> Course:
    """Return the course of a pitch between two times, with its partials up to 5 kHz."""
    rate_hz = sound.sample_rate_hz
    length = round(max(_WINDOW_S, _WINDOW_PERIODS / frequency_hz) * rate_hz)
    hop_s = _HOP_S if frequency_hz < _HIGH_NOTE_HZ else 0.5 * _HOP_S
    hop = max(1, round(hop_s * rate_hz))
    highest_hz = min(_HIGHEST_PARTIAL_HZ, 0.47 * rate_hz)
    count = max(1, min(_MOST_PARTIALS, int(highest_hz / frequency_hz)))
    numbers = np.arange(1, count + 1)
    first, stop = round(start_s * rate_hz / hop), max(1, round(end_s * rate_hz / hop))
    first = min(max(0, first), stop - 1)
    frequencies_hz = np.concatenate([numbers, numbers + 0.5]) * frequency_hz
    basis = _basis(length, frequencies_hz / rate_hz)
    heard = _demodulated(sound, basis, first=first, stop=stop, hop=hop)
    times_s = np.arange(first, stop) * hop / rate_hz
    turning = np.outer(times_s - times_s[0], numbers * frequency_hz)
    phases = np.angle(heard[:, :count] * np.exp(-2j * np.pi * turning))
    power = np.abs(heard[:, :count]).astype(np.float64) ** 2
    noise = np.median(np.abs(heard[:, count:]).astype(np.float64) ** 2, axis=0) + _NO_POWER
    heights_db = 10.0 * np.log10(np.quantile(power, 0.6, axis=0) / noise + 1e-9)
    weights = np.clip((heights_db - _NO_WEIGHT_DB) / _WEIGHT_RANGE_DB, 0.0, 1.0)
    strongest = int(np.argmax(heights_db))
    weights[strongest] = max(float(weights[strongest]), 0.1)
    low = (numbers * frequency_hz * hop_s < _MOST_TURN_HZ_S) | (numbers == 1)
    return Course(
        frequency_hz=frequency_hz,
        hop_s=hop / rate_hz,
        times_s=times_s,
        heard_power=power @ weights / 2.0,
        noise_power=float(noise @ weights) / 2.0,
        partials_db=10.0 * np.log10(power + 0.3 * noise),
        cycles=np.unwrap(phases.astype(np.float64), axis=0) / (2.0 * np.pi),
        weights=weights,
        phase_weights=np.where(low, weights, 0.0) + 1e-9,
    )


def _demodulated(
    sound: Sound, basis: NDArray[np.float32], *, first: int, stop: int, hop: int
) -> NDArray[np.complex64]:
    """Return the complex peak amplitudes of a basis in frames, shape (frames, frequencies)."""
    length, count = basis.shape[0], basis.shape[1] // 2
    heard = np.empty((stop - first, count), np.complex64)
    half = length // 2
    for frame in range(first, stop, _FRAMES_AT_ONCE):
        frames = min(stop - frame, _FRAMES_AT_ONCE)
        low, high = frame * hop - half, (frame + frames - 1) * hop - half + length
        inside = sound.read(max(0, low), min(high, sound.frames))
        samples = np.pad(inside, (max(0, -low), high - max(0, low) - inside.size))
        windows = np.lib.stride_tricks.sliding_window_view(samples, length)[::hop]
        parts = windows[:frames] @ basis
        here = slice(frame - first, frame - first + frames)
        heard[here] = parts[:, :count] + 1j * parts[:, count:]
    return heard


def _basis(length: int, cycles_per_sample: NDArray[np.float64]) -> NDArray[np.float32]:
    """Return windowed cosines and negative sines, centred, shape (length, 2 count)."""
    window = np.hanning(length + 2)[1:-1]
    window *= 2.0 / np.sum(window)
    turns = np.outer(np.arange(length) - length // 2, cycles_per_sample)
    waves = np.exp(-2j * np.pi * turns) * window[:, None]
    return np.concatenate([waves.real, waves.imag], axis=1).astype(np.float32)
