"""The phase of the fundamental, frame by frame, from the phases of all partials.

Partial k of a harmonic tone turns k times as fast as the fundamental, so its
phase says more of the pitch, but only once the pitch is known well enough to
count its turns: the track is found from the lowest partials first and
sharpened with twice as many each time.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from reedwright.science.demodulation import OVERLAP_CORRELATION, Frames

__all__ = ["PartialPhases", "partial_phases", "phase_track", "step_weights", "turned"]

Vector = NDArray[np.float64]
Matrix = NDArray[np.float64]

#: Partials used for the first, coarsest track.
_FIRST_PARTIALS = 3
#: Or up to this frequency, below which a partial turns little in a hop; hertz.
_FIRST_LIMIT = 2000.0
#: Phase wander of a partial by the room that keeps a loud one from ruling all, radians.
_ROOM_PHASE = 0.05
#: The median of an exponential variable of mean 1: roughness is the square of a complex one.
_MEDIAN = float(np.log(2.0))
#: Variance of the second difference of unit noise with the frames' correlation.
_SECOND_DIFFERENCE = 6.0 - 8.0 * OVERLAP_CORRELATION
#: A frame is disturbed (a click) when its roughness is this many times the usual.
_DISTURBED = 5.0
#: Noise-to-signal above which the sine of a phase replaces the phase.
_WEAK = 0.25


@dataclass(frozen=True, slots=True, eq=False)
class PartialPhases:
    """What each partial says of the phase, re a track of the fundamental.

    ``deviations`` (M, K) are radians of the partial itself; ``noise`` (K,) is
    the variance of one of them by noise; ``noise_variance`` (K,) that of the
    complex amplitude; ``disturbance`` (M,) multiplies the noise of a frame,
    1 where nothing disturbed it.
    """

    deviations: Matrix
    noise: Vector
    noise_variance: Vector
    disturbance: Vector


def turned(amplitudes: NDArray[np.complex128], phase: Vector) -> NDArray[np.complex128]:
    """Return ``amplitudes`` (M, K) with k times ``phase`` (M,) taken out of partial k."""
    turn = np.exp(-1.0j * phase)[:, None]
    powers = np.cumprod(np.broadcast_to(turn, amplitudes.shape), axis=1)
    return amplitudes * powers


def partial_phases(amplitudes: NDArray[np.complex128], phase: Vector) -> PartialPhases:
    """Return the phases of the partials re the track ``phase`` (M,), and their noise.

    Noise is told from the tone by its roughness from frame to frame.
    """
    aligned = turned(amplitudes, phase)
    mean = aligned.mean(axis=0)
    aligned *= np.conj(mean) / np.maximum(np.abs(mean), 1e-30)
    bend = np.diff(aligned, n=2, axis=0)
    roughness = (bend.real**2 + bend.imag**2) / (2.0 * _SECOND_DIFFERENCE)
    floor = 1e-14 * float(np.max(np.abs(mean))) ** 2 + 1e-30
    usual = np.median(roughness, axis=0) / _MEDIAN + floor
    relative = np.mean(roughness / usual, axis=1)
    disturbed = relative > _DISTURBED
    if np.mean(disturbed) < 0.3:
        noise_variance = np.mean(roughness[~disturbed], axis=0) + floor
    else:
        noise_variance = usual
    disturbance = np.ones(len(phase))
    disturbance[1:-1] = np.where(disturbed, relative, 1.0)
    frames = len(phase)
    power = np.abs(mean) ** 2 - 2.0 * noise_variance / frames
    power = np.maximum(power, 1e-3 * noise_variance)
    noise = noise_variance / power
    weak = aligned.imag / np.sqrt(power)
    deviations = np.where(noise < _WEAK, np.angle(aligned), np.clip(weak, -3.0, 3.0))
    return PartialPhases(
        deviations=deviations,
        noise=noise,
        noise_variance=2.0 * noise_variance,
        disturbance=disturbance,
    )


def step_weights(earlier: NDArray[np.complex128], later: NDArray[np.complex128]) -> Vector:
    """Return what the turns from ``earlier`` to ``later`` (M, K) say of the fundamental, each (K,).

    A partial whose turns agree from frame to frame has coherence c near 1; the
    variance of one of its turns is (1 - c^2) / (2 c^2), over k^2 for the fundamental
    (J. S. Bendat, A. G. Piersol, Random Data (2010) 9.2, from memory).
    """
    across = np.abs(np.sum(later * np.conj(earlier), axis=0)) ** 2
    power = np.sum(np.abs(earlier) ** 2, axis=0) * np.sum(np.abs(later) ** 2, axis=0)
    coherence = across / np.maximum(power, 1e-60)
    orders = np.arange(1, coherence.size + 1)
    return np.asarray(orders**2 * coherence / (1.0 - coherence + 1e-4), dtype=np.float64)


def phase_track(frames: Frames) -> Vector:
    """Return the phase of the fundamental in each frame, radians re the reference oscillation."""
    partials = frames.amplitudes.shape[1]
    earlier, later = frames.amplitudes[:-1], frames.amplitudes[1:]
    steps = np.zeros(len(later))
    used = min(partials, max(_FIRST_PARTIALS, int(_FIRST_LIMIT / frames.frequency)))
    while True:
        ahead = turned(later[:, :used], steps)
        weights = step_weights(earlier[:, :used], ahead)
        turns = np.angle(ahead * np.conj(earlier[:, :used])) / np.arange(1, used + 1)
        steps += turns @ weights / np.sum(weights)
        if used == partials:
            break
        used = min(partials, 2 * used)
    phase = np.concatenate([[0.0], np.cumsum(steps)])
    used = min(_FIRST_PARTIALS, partials)
    while True:
        orders = np.arange(1, used + 1)
        for _ in range(2):
            heard = partial_phases(frames.amplitudes[:, :used], phase)
            weights = orders**2 / (heard.noise + _ROOM_PHASE**2)
            phase = phase + heard.deviations @ (weights / orders) / np.sum(weights)
        if used == partials:
            return phase
        used = min(partials, 2 * used)
