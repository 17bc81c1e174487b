"""Tones of a second, different make: nothing here is shared with ``tones``.

Built cycle by cycle by shaping a waveform, not by adding partials: jitter and
shimmer from cycle to cycle, bellows flutter at 3 to 7 Hz, an inharmonic onset
(the bar's second and third modes), tops flattened by the slot and sometimes by
the recorder, a room of echoes, breath noise that pulses with the reed, a
ring-down at the reed's free pitch, and a telephone's compression.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.signal import iirpeak, lfilter, resample_poly

from benchmarks.virtual.phone import through_a_phone

__all__ = ["OtherTone", "make_other_tone"]

_OVERSAMPLING = 4
_RUN_IN_S = 0.6
#: Second and third mode of a uniform clamped bar over the first (Rayleigh, from memory).
_BAR_MODES = (6.267, 17.548)
#: What a noise-free cycle differs from the next by, as a fraction of its length.
_JITTER = (1e-5, 3e-4)


@dataclass(frozen=True, slots=True)
class OtherTone:
    """Samples of one note, and the times at which its cycles begin: the whole truth.

    Times in seconds from the first sample, frequency in hertz. ``start_s`` may be
    before the first sample and ``end_s`` after the last.
    """

    samples: NDArray[np.float32]
    sample_rate_hz: float
    start_s: float
    end_s: float
    cycle_starts_s: NDArray[np.float64]
    was_clipped: bool
    was_compressed: bool

    def cycles(self, time_s: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return how many cycles have passed at each time."""
        return np.interp(time_s, self.cycle_starts_s, np.arange(self.cycle_starts_s.size))

    def mean_frequency_hz(self, from_s: float, to_s: float) -> float:
        """Return the exact unweighted mean frequency between two times."""
        first, last = self.cycles(np.array([from_s, to_s]))
        return float((last - first) / (to_s - from_s))

    def frequency_hz(self, time_s: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return the frequency at each time, over 20 ms around it (one cycle's is jittered)."""
        half_s = 0.010
        frequency: NDArray[np.float64] = (
            self.cycles(time_s + half_s) - self.cycles(time_s - half_s)
        ) / (2.0 * half_s)
        return frequency


def _cycle_starts(
    rng: np.random.Generator, *, base_hz: float, length_s: float, blown_s: float, onset_s: float
) -> NDArray[np.float64]:
    """Return the times at which cycles begin, from 0 to beyond ``length_s``.

    Pitch: straight lines between random knots half a second apart, flutter, a
    glide into pitch at the onset, and the free pitch once the air has stopped.
    """
    knots_s = np.arange(-0.5, length_s + 1.0, 0.5)
    knots_cents = np.cumsum(rng.normal(0.0, rng.uniform(0.05, 0.7), knots_s.size))
    flutter_cents, flutter_hz = rng.uniform(0.02, 0.6), rng.uniform(3.0, 7.0)
    glide_cents, free_cents = rng.uniform(-20.0, 10.0), rng.uniform(0.0, 8.0)
    times_s = np.arange(0.0, length_s + 0.1, 0.001)
    cents = np.interp(times_s, knots_s, knots_cents)
    cents += flutter_cents * np.sin(2.0 * np.pi * flutter_hz * times_s + rng.uniform(0.0, 6.28))
    cents += glide_cents * np.exp(-times_s / (onset_s / 3.0))
    cents += np.where(times_s > blown_s, free_cents, 0.0)
    frequency_hz = base_hz * 2.0 ** (cents / 1200.0)
    smooth_cycles = np.concatenate([[0.0], np.cumsum(frequency_hz[:-1]) * 0.001])
    whole = np.arange(int(smooth_cycles[-1]))
    starts_s = np.asarray(np.interp(whole, smooth_cycles, times_s), dtype=np.float64)
    jitter = float(np.exp(rng.uniform(*np.log(_JITTER)))) / base_hz
    strayed_s = np.concatenate([[0.0], np.cumsum(rng.normal(0.0, jitter, whole.size - 1))])
    jittered: NDArray[np.float64] = starts_s + strayed_s
    return jittered


def _waveform(
    rng: np.random.Generator, cycles: NDArray[np.float64], *, rate_hz: float
) -> NDArray[np.float64]:
    """Return the sound of the air chopped by a reed: a driven sine, bent flat, then the cavity."""
    turn = 2.0 * np.pi * cycles
    drive = np.sin(turn) + rng.uniform(0.0, 0.6) * np.sin(2.0 * turn + rng.uniform(0.0, 6.28))
    shimmer = rng.normal(0.0, rng.uniform(0.001, 0.01), int(cycles[-1]) + 3)
    drive *= 1.0 + np.interp(cycles, np.arange(shimmer.size), shimmer)
    flow = np.tanh(rng.uniform(1.5, 8.0) * drive + rng.uniform(-1.5, 1.5))
    sound = flow - np.mean(flow)
    coloured = sound.copy()
    for low_hz, high_hz in ((500.0, 1500.0), (1500.0, 5000.0)):
        numerator, denominator = iirpeak(
            rng.uniform(low_hz, high_hz), Q=rng.uniform(2.0, 6.0), fs=rate_hz
        )
        coloured += rng.uniform(-0.8, 2.0) * lfilter(numerator, denominator, sound)
    # Air radiates its changes: a weak high-pass, which often sinks the fundamental.
    radiated: NDArray[np.float64] = coloured - rng.uniform(0.0, 0.98) * lfilter(
        [0.02], [1.0, -0.98], coloured
    )
    return radiated


def _loudness(
    rng: np.random.Generator, time_s: NDArray[np.float64], *, onset_s: float, blown_s: float
) -> NDArray[np.float64]:
    """Return the envelope: an S-shaped onset, unsteady bellows, a ring-down."""
    grown = 1.0 / (1.0 + np.exp(-(time_s - onset_s / 2.0) * 8.0 / onset_s))
    unsteady = 1.0 + rng.uniform(0.0, 0.08) * np.sin(
        2.0 * np.pi * rng.uniform(3.0, 7.0) * time_s + rng.uniform(0.0, 6.28)
    )
    leaning = 10.0 ** (rng.uniform(-4.0, 4.0) / 20.0 * np.clip(time_s / max(blown_s, 0.1), 0, 1))
    ringing = np.exp(-np.maximum(time_s - blown_s, 0.0) / rng.uniform(0.02, 0.08))
    return np.where(time_s >= 0.0, grown * unsteady * leaning * ringing, 0.0)


def _with_echoes(
    rng: np.random.Generator, sound: NDArray[np.float64], *, rate_hz: float
) -> NDArray[np.float64]:
    """Return the sound in a room of four feedback echoes (Schroeder's combs, from memory)."""
    decay_s = rng.uniform(0.1, 0.5)
    wet = np.zeros_like(sound)
    for _ in range(4):
        delay = round(rng.uniform(0.011, 0.037) * rate_hz)
        feedback = 10.0 ** (-3.0 * delay / rate_hz / decay_s)
        comb = sound.copy()
        for start in range(delay, sound.size, delay):
            echo = comb[start - delay : start]
            later = comb[start : start + delay]
            later += feedback * echo[: later.size]
        wet[delay:] += np.sqrt(1.0 - feedback**2) * comb[:-delay]
    return sound + rng.uniform(0.03, 0.15) * wet


def make_other_tone(
    rng: np.random.Generator,
    *,
    frequency_hz: float | tuple[float, float] = (196.0, 2093.0),
    duration_s: float = 1.0,
    sample_rate_hz: int = 44_100,
    snr_db: float = 40.0,
    whole_note: bool = False,
    clipped: bool | None = None,
    compressed: bool | None = None,
) -> OtherTone:
    """Return one tone of the second make.

    Parameters
    ----------
    frequency_hz
        The base frequency, or the range from which it is drawn evenly in pitch.
    duration_s
        Of the steady window, or with ``whole_note`` of the note from onset to
        the end of its air; 0.3 s of near-silence then stand on both sides.
    snr_db
        Power of the reed with its room over the noise's, over all frequencies.
    clipped, compressed
        Whether the recorder's rails flatten the loudest tops, and whether the
        sound went through a telephone's AAC; drawn (one in four, one in two) if None.
    """
    is_clipped = bool(rng.uniform() < 0.25) if clipped is None else clipped
    is_compressed = bool(rng.uniform() < 0.5) if compressed is None else compressed
    low_hz, high_hz = (
        frequency_hz if isinstance(frequency_hz, tuple) else (frequency_hz, frequency_hz)
    )
    base_hz = float(np.exp(rng.uniform(np.log(low_hz), np.log(high_hz))))
    skipped_s = 0.0 if whole_note else _RUN_IN_S
    quiet_s = 0.3 if whole_note else 0.0
    blown_s = duration_s if whole_note else _RUN_IN_S + duration_s + 1.0
    length_s = quiet_s + skipped_s + duration_s + quiet_s
    onset_s = rng.uniform(0.03, 0.15)
    starts_s = _cycle_starts(
        rng, base_hz=base_hz, length_s=length_s, blown_s=blown_s, onset_s=onset_s
    )

    rate_hz = float(_OVERSAMPLING * sample_rate_hz)
    time_s = np.arange(round(length_s * rate_hz)) / rate_hz - quiet_s
    cycles = np.interp(time_s, starts_s, np.arange(starts_s.size))
    sound = _waveform(rng, cycles, rate_hz=rate_hz)
    sound *= _loudness(rng, time_s, onset_s=onset_s, blown_s=blown_s)
    for ratio in _BAR_MODES:
        if ratio * base_hz < 0.4 * sample_rate_hz:
            ringing = np.exp(-np.maximum(time_s, 0.0) / rng.uniform(0.01, 0.05))
            ringing = np.where(time_s >= 0.0, ringing, 0.0)
            sound += rng.uniform(0.0, 0.3) * ringing * np.sin(
                2.0 * np.pi * ratio * base_hz * time_s
            )  # fmt: skip
    sound = resample_poly(sound, 1, _OVERSAMPLING)
    time_s = time_s[::_OVERSAMPLING]
    sound = _with_echoes(rng, sound, rate_hz=float(sample_rate_hz))

    steady = (time_s > max(skipped_s, onset_s)) & (time_s < blown_s)
    power = float(np.mean(sound[steady] ** 2))
    hiss = rng.standard_normal(sound.size)
    rumble = lfilter([1.0], [1.0, -0.995], rng.standard_normal(sound.size))
    breath = rng.standard_normal(sound.size) * np.abs(sound) / np.sqrt(power)
    parts = [part / np.sqrt(np.mean(part[steady] ** 2)) for part in (hiss, rumble, breath)]
    shares = rng.dirichlet(np.ones(3))
    background = sum(np.sqrt(share) * part for share, part in zip(shares, parts, strict=True))
    sound = sound + np.sqrt(power * 10.0 ** (-snr_db / 10.0)) * background
    kept = slice(round(skipped_s * sample_rate_hz), None)
    sound, time_s = sound[kept], time_s[kept]
    sound *= rng.uniform(0.05, 0.9) / np.max(np.abs(sound))
    if is_clipped:
        rail = np.quantile(np.abs(sound), rng.uniform(0.97, 0.999))
        sound = np.clip(sound / rail, -1.0, 1.0)
    if is_compressed:
        sound = through_a_phone(sound, sample_rate_hz=sample_rate_hz)
    offset_s = quiet_s - skipped_s
    return OtherTone(
        samples=sound.astype(np.float32),
        sample_rate_hz=float(sample_rate_hz),
        start_s=offset_s,
        end_s=offset_s + blown_s,
        cycle_starts_s=starts_s + offset_s,
        was_clipped=is_clipped,
        was_compressed=is_compressed,
    )
