"""One invented reed: its pitch course, whose phase is known in closed form, and its partials."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from reedwright.units import CENTS_PER_NATURAL_LOG

__all__ = ["MOST_PARTIALS", "PitchCourse", "Voice", "make_course", "make_voice"]

#: A bright reed has about as many partials that can be told from noise; from memory.
MOST_PARTIALS = 45


@dataclass(frozen=True, slots=True)
class PitchCourse:
    """The frequency of a reed over time, re the start of its note.

    ``f(t) = f0 (1 + e(t))``, where e is a sum of decaying exponentials (onset
    and settling, cents and time constants) and of slow sinusoids (wander: cents,
    hertz, radians), so that its integral, the phase, has a closed form.
    """

    base_hz: float
    settlings: tuple[tuple[float, float], ...]
    wanders: tuple[tuple[float, float, float], ...]

    def cycles(self, time_s: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return the phase in cycles at times re the note's start; zero at the start."""
        strayed = np.zeros_like(time_s)
        for cents, constant_s in self.settlings:
            strayed += cents * constant_s * -np.expm1(-time_s / constant_s)
        for cents, rate_hz, phase in self.wanders:
            turn = 2.0 * np.pi * rate_hz
            strayed += cents / turn * (np.sin(turn * time_s + phase) - np.sin(phase))
        return self.base_hz * (time_s + strayed / CENTS_PER_NATURAL_LOG)

    def mean_frequency_hz(self, from_s: float, to_s: float) -> float:
        """Return the unweighted mean frequency between two times re the note's start."""
        first, last = self.cycles(np.array([from_s, to_s]))
        return float((last - first) / (to_s - from_s))

    def frequency_hz(self, time_s: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return the frequency at times re the note's start."""
        strayed = np.zeros_like(time_s)
        for cents, constant_s in self.settlings:
            strayed += cents * np.exp(-time_s / constant_s)
        for cents, rate_hz, phase in self.wanders:
            strayed += cents * np.cos(2.0 * np.pi * rate_hz * time_s + phase)
        return self.base_hz * (1.0 + strayed / CENTS_PER_NATURAL_LOG)


@dataclass(frozen=True, slots=True)
class Voice:
    """A reed's pitch course and the amplitudes and phases (radians) of its partials."""

    course: PitchCourse
    amplitudes: tuple[float, ...]
    phases: tuple[float, ...]

    def sounded(self, time_s: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return the steady sound at times re the note's start, before any envelope."""
        turning = np.exp(2j * np.pi * np.mod(self.course.cycles(time_s), 1.0))
        coefficients = np.array(self.amplitudes) * np.exp(1j * np.array(self.phases))
        total = np.full(time_s.shape, coefficients[-1])
        for coefficient in coefficients[-2::-1]:
            total *= turning
            total += coefficient
        total *= turning
        sound: NDArray[np.float64] = total.real
        return sound


def make_course(
    rng: np.random.Generator,
    base_hz: float,
    *,
    drift_cents: float,
    onset_cents: float = 0.0,
) -> PitchCourse:
    """Return a course that settles and wanders through about ``drift_cents``.

    ``onset_cents`` is how far off the reed starts before it locks, gone after
    some 0.1 s.
    """
    settling = drift_cents * rng.uniform(0.0, 1.0)
    wander = (drift_cents - settling) / 2.0
    shares = rng.dirichlet(np.ones(3))
    settlings = [(float(settling * rng.choice([-1.0, 1.0])), float(rng.uniform(0.2, 0.8)))]
    if onset_cents:
        settlings.append((onset_cents, float(rng.uniform(0.010, 0.025))))
    return PitchCourse(
        base_hz=base_hz,
        settlings=tuple(settlings),
        wanders=tuple(
            (wander * share, rng.uniform(0.15, 1.5), rng.uniform(0.0, 2.0 * np.pi))
            for share in shares
        ),
    )


def make_voice(
    rng: np.random.Generator, course: PitchCourse, *, sample_rate_hz: float, dipped: bool
) -> Voice:
    """Return a voice of unit power with sloping, uneven partials below 0.47 of the sample rate.

    ``dipped`` puts the fundamental 10 to 25 dB under partial 2 or 3.
    """
    room = int(0.47 * sample_rate_hz / course.base_hz)
    numbers = np.arange(1, max(1, min(int(rng.integers(20, MOST_PARTIALS + 1)), room)) + 1)
    frequency_hz = numbers * course.base_hz
    level_db = -20.0 * rng.uniform(0.5, 1.5) * np.log10(numbers) + rng.normal(0, 2.5, numbers.size)
    for _ in range(2):
        centre_hz, octaves = rng.uniform(800.0, 5000.0), rng.uniform(0.3, 0.8)
        height_db = rng.uniform(-12.0, 10.0)
        level_db += height_db * np.exp(-0.5 * (np.log2(frequency_hz / centre_hz) / octaves) ** 2)
    if dipped and numbers.size > 1:
        partner = int(rng.integers(1, min(3, numbers.size)))
        level_db[0] = level_db[partner] - rng.uniform(10.0, 25.0)
    amplitudes = 10.0 ** (level_db / 20.0)
    amplitudes /= np.sqrt(np.sum(amplitudes**2) / 2.0)
    return Voice(
        course=course,
        amplitudes=tuple(amplitudes.tolist()),
        phases=tuple(rng.uniform(0.0, 2.0 * np.pi, numbers.size).tolist()),
    )
