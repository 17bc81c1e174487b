"""Ways of taking the pitch of one tone, all in one form, so that they can be lined up.

The program's own stands beside general-purpose libraries with settings fit for a
single reed of unknown pitch between 50 and 2500 Hz; each library's other settings
are its defaults. A tracker's estimate is the mean over its frames, those more than
half a semitone from their median left out, and it is judged by the mean of the
true frequency at the very same times: so nobody is blamed for having averaged
another stretch of a drifting note.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Protocol

import librosa
import numpy as np
import parselmouth
from numpy.typing import NDArray

from reedwright.compute import Here
from reedwright.listening.notes import listen
from reedwright.units import cents_from_ratio

__all__ = ["METHODS", "Estimate", "MemorySound", "Method", "TrueTone", "hear"]

_LOWEST_HZ, _HIGHEST_HZ = 50.0, 2500.0


class TrueTone(Protocol):
    """A tone of either make."""

    @property
    def samples(self) -> NDArray[np.float32]:
        """The sound, full scale 1."""
        ...

    @property
    def sample_rate_hz(self) -> float:
        """Samples per second."""
        ...

    @property
    def start_s(self) -> float:
        """When the reed begins, re the first sample."""
        ...

    @property
    def end_s(self) -> float:
        """When its air stops."""
        ...

    def mean_frequency_hz(self, from_s: float, to_s: float) -> float:
        """Return the exact mean frequency between two times."""
        ...

    def frequency_hz(self, time_s: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return the exact frequency at each time."""
        ...


@dataclass(frozen=True, slots=True)
class Estimate:
    """A pitch, what it ought to have been, and where known the half of its 95 % interval.

    ``error_cents`` is infinite where the method found no pitch.
    """

    error_cents: float
    half_interval_cents: float | None = None
    measured_s: float | None = None


Method = Callable[[TrueTone], Estimate]


@dataclass(frozen=True, slots=True)
class MemorySound:
    """Samples in memory, as ``listening`` wants a recording."""

    samples: NDArray[np.float32]
    sample_rate_hz: float

    @property
    def frames(self) -> int:
        """Length in samples."""
        return self.samples.size

    def read(self, start: int, stop: int) -> NDArray[np.float32]:
        """Return the samples from ``start`` up to ``stop``."""
        return self.samples[start:stop]


def hear(tone: TrueTone) -> Estimate:
    """Return what ``reedwright listen`` hears: the note found, its pitch guessed, then measured.

    Nothing of the tone is told to it. Of several notes heard the longest counts.
    """
    tones = listen(MemorySound(tone.samples, tone.sample_rate_hz), spread=Here())
    if not tones:
        return Estimate(error_cents=float("inf"))
    heard = max(tones, key=lambda one: one.end_s - one.start_s)
    true_hz = tone.mean_frequency_hz(heard.measured_from_s, heard.measured_to_s)
    return Estimate(
        error_cents=cents_from_ratio(heard.frequency_hz / true_hz),
        half_interval_cents=cents_from_ratio(heard.interval_high_hz / heard.interval_low_hz) / 2.0,
        measured_s=heard.measured_to_s - heard.measured_from_s,
    )


def _judged(
    tone: TrueTone, times_s: NDArray[np.float64], pitch_hz: NDArray[np.float64]
) -> Estimate:
    """Return a tracker's mean pitch against the truth at the times it stands for."""
    duration_s = tone.samples.size / tone.sample_rate_hz
    voiced = np.isfinite(pitch_hz) & (pitch_hz > 0.0) & (times_s > 0.0) & (times_s < duration_s)
    if not np.any(voiced):
        return Estimate(error_cents=float("inf"))
    times_s, pitch_hz = times_s[voiced], pitch_hz[voiced]
    agreeing = np.abs(np.log2(pitch_hz / np.median(pitch_hz))) < 50.0 / 1200.0
    found_hz = float(np.mean(pitch_hz[agreeing]))
    true_hz = float(np.mean(tone.frequency_hz(times_s[agreeing])))
    return Estimate(error_cents=cents_from_ratio(found_hz / true_hz))


def _praat(tone: TrueTone, *, very_accurate: bool) -> Estimate:
    """Praat's autocorrelation: P. Boersma, Proc. Inst. Phonetic Sci. Amsterdam 17 (1993) 97."""
    sound = parselmouth.Sound(tone.samples.astype(np.float64), tone.sample_rate_hz)
    pitch = sound.to_pitch_ac(
        pitch_floor=_LOWEST_HZ, pitch_ceiling=_HIGHEST_HZ, very_accurate=very_accurate
    )
    return _judged(tone, pitch.xs(), pitch.selected_array["frequency"])


def praat(tone: TrueTone) -> Estimate:
    """Return what Praat's autocorrelation hears."""
    return _praat(tone, very_accurate=False)


def praat_accurate(tone: TrueTone) -> Estimate:
    """Return what Praat's autocorrelation hears in its "very accurate" setting."""
    return _praat(tone, very_accurate=True)


_YIN_FRAME = 2048


def _librosa_times(tone: TrueTone, count: int) -> NDArray[np.float64]:
    """Return the middles of librosa's frames, of which the first is centred on the first sample."""
    return np.arange(count) * (_YIN_FRAME // 4) / tone.sample_rate_hz


def yin(tone: TrueTone) -> Estimate:
    """Return what librosa's yin hears."""
    pitch_hz = librosa.yin(
        tone.samples,
        fmin=_LOWEST_HZ,
        fmax=_HIGHEST_HZ,
        sr=tone.sample_rate_hz,
        frame_length=_YIN_FRAME,
    )
    return _judged(tone, _librosa_times(tone, pitch_hz.size), pitch_hz)


def pyin(tone: TrueTone) -> Estimate:
    """Return what librosa's pyin hears."""
    pitch_hz, _, _ = librosa.pyin(
        tone.samples,
        fmin=_LOWEST_HZ,
        fmax=_HIGHEST_HZ,
        sr=tone.sample_rate_hz,
        frame_length=_YIN_FRAME,
    )
    return _judged(tone, _librosa_times(tone, pitch_hz.size), pitch_hz)


def yinfft(tone: TrueTone) -> Estimate:
    """Return what aubio's yinfft hears."""
    import aubio  # noqa: PLC0415 - of requirements/benchmark.txt alone; tests use the rest

    frame, hop = 4096, 512
    tracker = aubio.pitch("yinfft", frame, hop, int(tone.sample_rate_hz))
    tracker.set_unit("Hz")
    pitch_hz = np.array(
        [
            float(tracker(tone.samples[start : start + hop])[0])
            for start in range(0, tone.samples.size - hop + 1, hop)
        ]
    )
    times_s = ((np.arange(pitch_hz.size) + 1) * hop - frame / 2) / tone.sample_rate_hz
    filled = times_s > frame / 2 / tone.sample_rate_hz
    return _judged(tone, np.asarray(times_s[filled], np.float64), pitch_hz[filled])


def spectrum_peak(tone: TrueTone) -> Estimate:
    """Return the highest line of one Hann-windowed transform, with a parabola through its top."""
    window = np.hanning(tone.samples.size)
    spectrum = np.log(np.abs(np.fft.rfft(tone.samples * window)) + 1e-30)
    peak = int(np.argmax(spectrum[2:-1])) + 2
    left, middle, right = spectrum[peak - 1 : peak + 2]
    place = peak + 0.5 * (left - right) / (left - 2.0 * middle + right)
    found_hz = float(place * tone.sample_rate_hz / tone.samples.size)
    duration_s = tone.samples.size / tone.sample_rate_hz
    return Estimate(error_cents=cents_from_ratio(found_hz / tone.mean_frequency_hz(0, duration_s)))


METHODS: Mapping[str, Method] = {
    "reedwright": hear,
    "Praat autocorrelation": praat,
    "Praat autocorrelation, very accurate": praat_accurate,
    "librosa yin": yin,
    "librosa pyin": pyin,
    "aubio yinfft": yinfft,
    "FFT peak with parabola": spectrum_peak,
}
