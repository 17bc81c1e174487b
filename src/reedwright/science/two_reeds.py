"""Two (or more) reeds at once, fitted together: each one's own frequency and partials.

Model: partial k of the sound, taken in frames relative to a middle frequency, is

    y_k(t) = sum over reeds i of a_ik exp(i k p_i(t)) + what a room and a swell add + noise,

    p_i(t) = 2 pi d_i (t - t0) + sum over j of c_ij Q_j(t),

with Q_j Legendre polynomials that are equal at ``start`` and ``stop``, so that d_i
is the unweighted mean of reed i's frequency between these two times, re the middle
one. The complex a_ik are linear and are projected out (variable projection: G. H.
Golub and V. Pereyra, Inverse Problems 19 (2003) R1-R26, with Kaufman's shorter
derivative); d and c are found by damped Gauss-Newton steps, first from low
partials, whose phase cannot be mistaken by a turn, then from more and more.

Drift polynomials have a prior: reeds on one bellows drift by a few cents, and
much the same way. The *room* repeats the sound later, which for a drifting reed
is one of another pitch; with ``room`` its first powers are linear unknowns too
(see ``beating``). That protects a weak reed from the room of a strong one, at the
price of blurring the strong one's pitch by some 0.01 cent.

Limits: reeds closer than about half a turn of the highest partial over the note
are not told apart (the errors say so).

Conventions: SI; times count from the first sample; partials are numbered from 1.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.polynomial import legendre
from numpy.typing import NDArray

from reedwright.science.beating import spectral_noise
from reedwright.science.demodulation import demodulate, frame_length
from reedwright.science.room import DRIFT_UNIT, lagging, reach

__all__ = ["CombFit", "fit_combs"]

#: Most partials used, and the highest degree of a drift polynomial.
MOST_PARTIALS = 24
DRIFT_ORDER = 8
#: Frames last this long, or as much less as the distance of the reeds demands; seconds.
_LONGEST_FRAME = 0.030
#: Half the distance between the lines of the highest partial, in units of 1 / frame:
#: the Hann window still passes 0.5 of its amplitude at 1.
_PASSED = 0.7
#: One-sigma drift of a reed over a note, and of one reed against the other, cents.
_DRIFT, _RELATIVE_DRIFT = 2.0, 1.0
#: One-sigma distance from the middle, cents: wide, to keep a silent reed from running off.
_WANDER = 100.0
#: One-sigma swell of one partial against the others, linear and quadratic.
_SWELL = (0.16, 0.10)
#: Amplitude of the room's copies re the direct sound.
_ROOM = 0.1
#: What the model may leave of a partial, re its amplitude, before it is known how much
#: it does leave (-25 dB), and at least (-50 dB).
_UNEXPLAINED, _LEAST_ERROR = 0.056, 0.003
_CENT = np.log(2.0) / 1200.0
_STEPS = 10
_LEAST_UNEXPLAINED = 1e-4


@dataclass(frozen=True, slots=True, eq=False)
class CombFit:
    """Reeds fitted together, in the order they were asked for.

    ``frequencies`` (n,) are unweighted means between the two times, hertz, with
    ``standard_errors`` (n,). ``amplitudes`` (n, K) are peak amplitudes of the
    partials. ``frame_frequencies`` (n, M) at ``frame_times`` (M,) follow the
    drift, whose polynomials have the coefficients ``bends`` (n, J), radians.
    ``unexplained`` (K,) is the power of each partial that neither a reed nor twice
    the noise accounts for, re its whole power, at least ``_LEAST_UNEXPLAINED``.
    ``isolated`` (n, M, K) are each reed's complex amplitudes relative to its own
    phase with the other reeds taken away, all that is unexplained still in;
    ``noise_variance`` (K,) is E|n|^2 of the noise in them.
    """

    frequencies: NDArray[np.float64]
    standard_errors: NDArray[np.float64]
    amplitudes: NDArray[np.float64]
    bends: NDArray[np.float64]
    frame_times: NDArray[np.float64]
    frame_frequencies: NDArray[np.float64]
    unexplained: NDArray[np.float64]
    isolated: NDArray[np.complex128]
    noise_variance: NDArray[np.float64]

    @property
    def levels_db(self) -> NDArray[np.float64]:
        """Power of each reed re the strongest one's, decibels, shape (n,)."""
        powers = np.sum(self.amplitudes**2, axis=1)
        relative: NDArray[np.float64] = 10.0 * np.log10(powers / np.max(powers))
        return relative


@dataclass(frozen=True, slots=True, eq=False)
class _Problem:
    """Frames (K, M) of a sound and the shapes its reeds' phases may take."""

    observed: NDArray[np.complex128]
    noise: NDArray[np.float64]
    variance: NDArray[np.float64]
    orders: NDArray[np.int_]
    times: NDArray[np.float64]
    frame: float
    hop: float
    middle: float
    scaled: NDArray[np.float64]
    bends: NDArray[np.float64]
    bend_rates: NDArray[np.float64]
    half_span: float
    room: bool

    def first(self, partials: int) -> "_Problem":
        """Return the problem of the first partials alone."""
        return replace(
            self,
            observed=self.observed[:partials],
            noise=self.noise[:partials],
            variance=self.variance[:partials],
            orders=self.orders[:partials],
        )


@dataclass(frozen=True, slots=True, eq=False)
class _State:
    """One point of the search.

    ``parameters`` (n, 1 + J): each reed's mean frequency re the middle, hertz, and
    bends; ``strengths`` (n, K); ``sounds`` and ``phases`` of each reed, (K, M, n)
    and (M, n); ``left`` (K, M) what remains. The cost has ``slopes`` (K, P) from each
    partial besides the ``prior``'s, and ``curvature`` (P, P).
    """

    parameters: NDArray[np.float64]
    strengths: NDArray[np.float64]
    sounds: NDArray[np.complex128]
    phases: NDArray[np.float64]
    left: NDArray[np.complex128]
    cost: float
    slopes: NDArray[np.float64]
    prior: NDArray[np.float64]
    curvature: NDArray[np.float64]

    @property
    def slope(self) -> NDArray[np.float64]:
        """Slope of the cost downwards, (P,)."""
        pull: NDArray[np.float64] = self.prior @ self.parameters.ravel()
        return np.asarray(np.sum(self.slopes, axis=0) - pull)


def fit_combs(
    samples: NDArray[np.floating],
    sample_rate: float,
    *,
    frequencies: tuple[float, ...],
    start: float,
    stop: float,
    room: bool,
    bends: NDArray[np.float64] | None = None,
    error: float,
) -> CombFit:
    """Return the reeds that explain a sound best, beginning at ``frequencies``.

    A partial that the reeds do not explain loses its say: strong reeds in one box
    make lines between their own.

    Parameters
    ----------
    samples : array, shape (n,)
        The steady part of a note.
    sample_rate : float > 0
        Hertz.
    frequencies : tuple of floats > 0
        A first idea of each reed, hertz.
    start, stop : float
        The frequencies are means between these times, seconds from the first sample.
    room : bool
        Whether copies of the sound from a room are allowed for.
    bends : array, shape (n, J), optional
        A first idea of the drifts, from an earlier fit.
    error : float > 0
        How far off the first ideas may be, hertz: says with how few partials to begin.
    """
    ideas = np.array(frequencies)
    problem = _framed(samples, sample_rate, ideas, start=start, stop=stop, room=room)
    parameters = np.zeros((len(ideas), DRIFT_ORDER))
    parameters[:, 0] = ideas - problem.middle
    if bends is not None:
        parameters[:, 1:] = bends
    powers = np.mean(np.abs(problem.observed) ** 2, axis=1)
    strengths = np.sqrt(np.tile(powers / len(ideas), (len(ideas), 1)))
    for partials in _stages(0.3 / (error * (stop - start)), len(problem.orders)):
        for _ in range(2):
            state = _descended(problem.first(partials), parameters, strengths[:, :partials])
            problem = _weighed(problem, state, least=_UNEXPLAINED)
            parameters = state.parameters
            strengths = np.concatenate([state.strengths, strengths[:, partials:]], axis=1)
    if not room:
        problem = _weighed(problem, state, least=_LEAST_ERROR)
        state = _descended(problem, parameters, strengths)
    return _fit(problem, state)


def _weighed(problem: _Problem, state: _State, *, least: float) -> _Problem:
    """Return the problem with the variances its partials turned out to have.

    At least the noise, and ``least`` re the partial's amplitude.
    """
    used = state.left.shape[0]
    powers = np.mean(np.abs(problem.observed[:used]) ** 2, axis=1)
    variance = problem.variance.copy()
    variance[:used] = np.maximum(
        problem.noise[:used] + least**2 * powers, np.mean(np.abs(state.left) ** 2, axis=1)
    )
    return replace(problem, variance=variance)


def _stages(partials: float, most: int) -> list[int]:
    """Return numbers of partials, doubling up to ``most``."""
    stages = [int(np.clip(partials, 2, most))] if most > 1 else [1]
    while stages[-1] < most:
        stages.append(min(2 * stages[-1], most))
    return stages


def _framed(
    samples: NDArray[np.floating],
    sample_rate: float,
    frequencies: NDArray[np.float64],
    *,
    start: float,
    stop: float,
    room: bool,
) -> _Problem:
    """Return the sound in frames short enough to let the lines of all reeds pass."""
    middle = 0.5 * float(np.min(frequencies) + np.max(frequencies))
    half_distance = 0.5 * float(np.ptp(frequencies))
    partials = max(1, min(MOST_PARTIALS, int(0.46 * sample_rate / middle)))
    if half_distance > 0.0:
        shortest = 4.0 / middle
        partials = max(1, min(partials, int(_PASSED / (shortest * half_distance))))
        shortest = min(_LONGEST_FRAME, _PASSED / (partials * half_distance))
    else:
        shortest = _LONGEST_FRAME
    frames = demodulate(
        samples,
        sample_rate,
        frequency=middle,
        partials=partials,
        length=frame_length(middle, shortest=shortest),
    )
    observed = frames.amplitudes.T
    noise = spectral_noise(observed)
    half_span = 0.5 * (stop - start)
    scaled = (frames.times - 0.5 * (start + stop)) / half_span
    return _Problem(
        observed=observed,
        noise=noise,
        variance=noise + _UNEXPLAINED**2 * np.mean(np.abs(observed) ** 2, axis=1),
        orders=np.arange(1, partials + 1),
        times=frames.times,
        frame=frames.length,
        hop=frames.hop,
        middle=middle,
        scaled=scaled,
        bends=_level_legendres(scaled),
        bend_rates=_level_legendres(scaled, rate=True) / half_span,
        half_span=half_span,
        room=room,
    )


def _level_legendres(scaled: NDArray[np.float64], *, rate: bool = False) -> NDArray[np.float64]:
    """Return P2, P3 - P1, P4, P5 - P1, ... (or their slopes), shape (M, DRIFT_ORDER - 1).

    All are equal at -1 and 1.
    """
    columns = []
    for degree in range(2, DRIFT_ORDER + 1):
        series = np.zeros(degree + 1)
        series[degree] = 1.0
        series[1] = -(degree % 2)
        columns.append(legendre.legval(scaled, legendre.legder(series) if rate else series))
    return np.stack(columns, axis=1)


def _prior(problem: _Problem, reeds: int) -> NDArray[np.float64]:
    """Return the prior curvature of the parameters, shape (n (1 + J), n (1 + J))."""
    bends = problem.bends.shape[1]
    per_cent = 2.0 * problem.middle * _CENT * problem.half_span / np.arange(2, bends + 2)
    prior = np.zeros((reeds, 1 + bends, reeds, 1 + bends))
    for reed in range(reeds):
        prior[reed, 0, reed, 0] = 1.0 / (_WANDER * _CENT * problem.middle) ** 2
    for place, size in enumerate(per_cent, start=1):
        own = 1.0 / (_DRIFT * size) ** 2
        relative = 1.0 / (_RELATIVE_DRIFT * size) ** 2
        prior[0, place, 0, place] = own + relative * (reeds - 1)
        for other in range(1, reeds):
            prior[other, place, other, place] = relative
            prior[0, place, other, place] = prior[other, place, 0, place] = -relative
    return prior.reshape(reeds * (1 + bends), reeds * (1 + bends))


def _columns(
    problem: _Problem,
    parameters: NDArray[np.float64],
    strengths: NDArray[np.float64],
    lines: NDArray[np.complex128],
) -> tuple[NDArray[np.complex128], NDArray[np.float64]]:
    """Return the linear unknowns' shapes (K, M, n, C) and prior powers (K, n, C).

    The first of the C is the reed itself, the others are its swell and its room.
    """
    powers = strengths.T**2 + 1e-6 * problem.variance[:, None]
    free = 1e4 * np.sum(powers, axis=1, keepdims=True) * np.ones_like(powers)
    if not problem.room:
        return lines[..., None], free[..., None]
    turned_by = reach(np.asarray(2.0 * np.pi * problem.middle * problem.orders, dtype=np.float64))
    first = (_ROOM * turned_by) ** 2
    second = first * turned_by**2 / 2.0
    sizes = [np.full_like(first, swell**2) for swell in _SWELL] + [first, first, second, second]
    square = 1.5 * problem.scaled**2 - 0.5
    columns, priors = [], []
    for reed, bends in enumerate(parameters[:, 1:]):
        drift = problem.bend_rates @ bends / (2.0 * np.pi * problem.middle * DRIFT_UNIT)
        lag = lagging(drift, hop=problem.hop) - drift
        shapes = [np.ones_like(drift), problem.scaled, square, drift, lag, drift**2, drift * lag]
        columns.append(lines[:, :, reed, None] * np.stack(shapes, axis=1))
        priors.append(
            np.stack([free[:, reed], *(size * powers[:, reed] for size in sizes)], axis=1)
        )
    return np.stack(columns, axis=2), np.stack(priors, axis=1)


def _state(
    problem: _Problem, parameters: NDArray[np.float64], strengths: NDArray[np.float64]
) -> _State:
    """Return the cost at ``parameters``, its slope and curvature, linear unknowns projected out."""
    partials, count = problem.observed.shape
    reeds = len(parameters)
    shapes = np.concatenate(
        [2.0 * np.pi * problem.half_span * problem.scaled[:, None], problem.bends], axis=1
    )
    phases = shapes @ parameters.T
    lines = np.exp(1.0j * problem.orders[:, None, None] * phases)
    columns, priors = _columns(problem, parameters, strengths, lines)
    flat = columns.reshape(partials, count, -1)
    adjoint = np.conj(np.swapaxes(flat, 1, 2))
    system = adjoint @ flat / problem.variance[:, None, None]
    diagonal = np.arange(system.shape[1])
    system[:, diagonal, diagonal] += 1.0 / priors.reshape(partials, -1)
    inverse = np.linalg.inv(system)
    seen = (adjoint @ problem.observed[:, :, None]) / problem.variance[:, None, None]
    linear = inverse @ seen
    left = problem.observed - (flat @ linear)[:, :, 0]
    prior = _prior(problem, reeds)
    vector = parameters.ravel()
    cost = float(
        np.sum(np.abs(left) ** 2 / problem.variance[:, None])
        + np.sum(np.abs(linear[:, :, 0]) ** 2 / priors.reshape(partials, -1))
        + vector @ prior @ vector
    )
    coefficients = linear[:, :, 0].reshape(partials, reeds, -1)
    sounds = np.einsum("kmic,kic->kmi", columns, coefficients)
    turned = 1.0j * problem.orders[:, None, None] * sounds
    derivative = (turned[:, :, :, None] * shapes[None, :, None, :]).reshape(partials, count, -1)
    derivative -= flat @ (inverse @ (adjoint @ derivative)) / problem.variance[:, None, None]
    derivative *= 1.0 / np.sqrt(problem.variance)[:, None, None]
    scaled_left = left / np.sqrt(problem.variance)[:, None]
    slopes = np.real(np.conj(np.swapaxes(derivative, 1, 2)) @ scaled_left[:, :, None])[:, :, 0]
    tall = derivative.reshape(partials * count, -1)
    return _State(
        parameters=parameters,
        strengths=np.abs(coefficients[:, :, 0]).T,
        sounds=sounds,
        phases=phases,
        left=left,
        cost=cost,
        slopes=slopes,
        prior=prior,
        curvature=np.real(np.conj(tall.T) @ tall) + prior,
    )


def _descended(
    problem: _Problem, parameters: NDArray[np.float64], strengths: NDArray[np.float64]
) -> _State:
    """Return the nearest minimum of the cost (Levenberg-Marquardt steps)."""
    state = _state(problem, parameters, strengths)
    damping = 1e-3
    for _ in range(_STEPS):
        for _ in range(6):
            damped = state.curvature + damping * np.diag(np.diag(state.curvature))
            step = np.linalg.solve(damped, state.slope).reshape(state.parameters.shape)
            tried = _state(problem, state.parameters + step, state.strengths)
            if tried.cost < state.cost:
                break
            damping *= 10.0
        else:
            return state
        gained = state.cost - tried.cost
        state = tried
        damping *= 0.2
        if gained < 1e-4 * state.cost:
            break
    return state


def _passed_share(away: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return what a Hann frame passes of a line ``away`` from its middle, in 1 / frame."""
    far = np.where(np.abs(np.abs(away) - 1.0) < 1e-6, 1.0 + 1e-6, away)
    return np.asarray(np.sinc(far) / (1.0 - far**2))


def _errors(problem: _Problem, state: _State) -> NDArray[np.float64]:
    """Return standard errors of the frequencies, (n,).

    What is left is not white: a room and an unsteady player move all frames of a
    partial together. So the slopes of the partials are taken as independent but
    nothing is supposed of the frames (a variance by clusters: K.-Y. Liang, S. L.
    Zeger, Biometrika 73 (1986) 13-22), and the larger of this and the white one
    counts. With a room that takes up much of what is left, the white one is that of
    the variance allowed for, not of the variance seen.
    """
    covariance = np.linalg.inv(state.curvature)
    places = state.parameters.shape[1] * np.arange(len(state.parameters))
    partials = len(problem.orders)
    apart = state.slopes - np.mean(state.slopes, axis=0)
    spread = apart.T @ apart * partials / max(1, partials - 1) + state.prior
    clustered = np.diag(covariance @ spread @ covariance)[places]
    misfit = state.cost / problem.observed.size
    white = np.diag(covariance)[places] * (max(1.0, misfit) if problem.room else misfit)
    return np.asarray(np.sqrt(np.maximum(clustered, white)))


def _fit(problem: _Problem, state: _State) -> CombFit:
    """Return the fit at its minimum."""
    frequencies = problem.middle + state.parameters[:, 0]
    drift = state.parameters[:, 1:] @ problem.bend_rates.T / (2.0 * np.pi)
    own = (state.sounds + state.left[:, :, None]) * np.exp(
        -1.0j * problem.orders[:, None, None] * state.phases
    )
    powers = np.mean(np.abs(problem.observed) ** 2, axis=1)
    strange = np.mean(np.abs(state.left) ** 2, axis=1) - 2.0 * problem.noise
    passed = _passed_share(np.outer(frequencies - problem.middle, problem.orders) * problem.frame)
    return CombFit(
        frequencies=frequencies,
        standard_errors=_errors(problem, state),
        amplitudes=state.strengths / passed,
        bends=state.parameters[:, 1:],
        frame_times=problem.times,
        frame_frequencies=frequencies[:, None] + drift,
        unexplained=np.maximum(strange / powers, _LEAST_UNEXPLAINED),
        isolated=np.moveaxis(own, 2, 0).swapaxes(1, 2) / passed[:, None, :],
        noise_variance=problem.noise,
    )
