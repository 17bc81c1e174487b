"""Two (or more) reeds at once, fitted together: each one's own frequency and partials.

The model is ``comb_model``'s. Amplitudes are linear and are projected out (variable
projection: G. H. Golub and V. Pereyra, Inverse Problems 19 (2003) R1-R26, with
Kaufman's shorter derivative). Mean frequencies and drifts are found by damped
Gauss-Newton steps, first from low partials, whose phase cannot be mistaken by a turn,
then from more and more.

With a ``room`` a weak reed is safe from the echoes of a strong one, at the price of
blurring the strong one's pitch by some 0.01 cent.

Limits: reeds closer than about half a turn of the highest partial over the note
are not told apart (the errors say so).

Conventions: SI; times count from the first sample; partials are numbered from 1.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from reedwright.science.comb_model import (
    DRIFT_ORDER,
    CombModel,
    columns,
    framed,
    passed_share,
    prior_curvature,
)

__all__ = ["CombFit", "fit_combs"]

#: What the model may leave of a partial, re its amplitude, before it is known how much
#: it does leave (-25 dB), and at least (-50 dB).
_UNEXPLAINED, _LEAST_ERROR = 0.056, 0.003
#: ``unexplained`` is never told to be less.
_LEAST_UNEXPLAINED = 1e-4
_STEPS = 10


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
    model = framed(
        samples, sample_rate, ideas, start=start, stop=stop, room=room, unexplained=_UNEXPLAINED
    )
    parameters = np.zeros((len(ideas), DRIFT_ORDER))
    parameters[:, 0] = ideas - model.middle
    if bends is not None:
        parameters[:, 1:] = bends
    powers = np.mean(np.abs(model.observed) ** 2, axis=1)
    strengths = np.sqrt(np.tile(powers / len(ideas), (len(ideas), 1)))
    for partials in _stages(0.3 / (error * (stop - start)), len(model.orders)):
        for _ in range(2):
            state = _descended(model.first(partials), parameters, strengths[:, :partials])
            model = _weighed(model, state, least=_UNEXPLAINED)
            parameters = state.parameters
            strengths = np.concatenate([state.strengths, strengths[:, partials:]], axis=1)
    if not room:
        model = _weighed(model, state, least=_LEAST_ERROR)
        state = _descended(model, parameters, strengths)
    return _fit(model, state)


def _weighed(model: CombModel, state: _State, *, least: float) -> CombModel:
    """Return the model with the variances its partials turned out to have.

    At least the noise, and ``least`` re the partial's amplitude.
    """
    used = state.left.shape[0]
    powers = np.mean(np.abs(model.observed[:used]) ** 2, axis=1)
    variance = model.variance.copy()
    variance[:used] = np.maximum(
        model.noise[:used] + least**2 * powers, np.mean(np.abs(state.left) ** 2, axis=1)
    )
    return replace(model, variance=variance)


def _stages(partials: float, most: int) -> list[int]:
    """Return numbers of partials, doubling up to ``most``."""
    stages = [int(np.clip(partials, 2, most))] if most > 1 else [1]
    while stages[-1] < most:
        stages.append(min(2 * stages[-1], most))
    return stages


def _state(
    model: CombModel, parameters: NDArray[np.float64], strengths: NDArray[np.float64]
) -> _State:
    """Return the cost at ``parameters``, its slope and curvature, linear unknowns projected out."""
    partials, count = model.observed.shape
    reeds = len(parameters)
    shapes = np.concatenate(
        [2.0 * np.pi * model.half_span * model.scaled[:, None], model.bends], axis=1
    )
    phases = shapes @ parameters.T
    lines = np.exp(1.0j * model.orders[:, None, None] * phases)
    shaped, priors = columns(model, parameters, strengths, lines)
    flat = shaped.reshape(partials, count, -1)
    adjoint = np.conj(np.swapaxes(flat, 1, 2))
    system = adjoint @ flat / model.variance[:, None, None]
    diagonal = np.arange(system.shape[1])
    system[:, diagonal, diagonal] += 1.0 / priors.reshape(partials, -1)
    inverse = np.linalg.inv(system)
    seen = (adjoint @ model.observed[:, :, None]) / model.variance[:, None, None]
    linear = inverse @ seen
    left = model.observed - (flat @ linear)[:, :, 0]
    prior = prior_curvature(model, reeds)
    vector = parameters.ravel()
    cost = float(
        np.sum(np.abs(left) ** 2 / model.variance[:, None])
        + np.sum(np.abs(linear[:, :, 0]) ** 2 / priors.reshape(partials, -1))
        + vector @ prior @ vector
    )
    coefficients = linear[:, :, 0].reshape(partials, reeds, -1)
    sounds = np.einsum("kmic,kic->kmi", shaped, coefficients)
    turned = 1.0j * model.orders[:, None, None] * sounds
    derivative = (turned[:, :, :, None] * shapes[None, :, None, :]).reshape(partials, count, -1)
    derivative -= flat @ (inverse @ (adjoint @ derivative)) / model.variance[:, None, None]
    derivative *= 1.0 / np.sqrt(model.variance)[:, None, None]
    scaled_left = left / np.sqrt(model.variance)[:, None]
    across = np.conj(np.swapaxes(derivative, 1, 2))
    slopes = np.real(across @ scaled_left[:, :, None])[:, :, 0]
    return _State(
        parameters=parameters,
        strengths=np.abs(coefficients[:, :, 0]).T,
        sounds=sounds,
        phases=phases,
        left=left,
        cost=cost,
        slopes=slopes,
        prior=prior,
        curvature=np.sum(np.real(across @ derivative), axis=0) + prior,
    )


def _descended(
    model: CombModel, parameters: NDArray[np.float64], strengths: NDArray[np.float64]
) -> _State:
    """Return the nearest minimum of the cost (Levenberg-Marquardt steps)."""
    state = _state(model, parameters, strengths)
    damping = 1e-3
    for _ in range(_STEPS):
        for _ in range(6):
            damped = state.curvature + damping * np.diag(np.diag(state.curvature))
            step = np.linalg.solve(damped, state.slope).reshape(state.parameters.shape)
            tried = _state(model, state.parameters + step, state.strengths)
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


def _errors(model: CombModel, state: _State) -> NDArray[np.float64]:
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
    partials = len(model.orders)
    apart = state.slopes - np.mean(state.slopes, axis=0)
    spread = apart.T @ apart * partials / max(1, partials - 1) + state.prior
    clustered = np.diag(covariance @ spread @ covariance)[places]
    misfit = state.cost / model.observed.size
    white = np.diag(covariance)[places] * (max(1.0, misfit) if model.room else misfit)
    return np.asarray(np.sqrt(np.maximum(clustered, white)))


def _fit(model: CombModel, state: _State) -> CombFit:
    """Return the fit at its minimum."""
    frequencies = model.middle + state.parameters[:, 0]
    drift = state.parameters[:, 1:] @ model.bend_rates.T / (2.0 * np.pi)
    own = (state.sounds + state.left[:, :, None]) * np.exp(
        -1.0j * model.orders[:, None, None] * state.phases
    )
    powers = np.mean(np.abs(model.observed) ** 2, axis=1)
    strange = np.mean(np.abs(state.left) ** 2, axis=1) - 2.0 * model.noise
    passed = passed_share(np.outer(frequencies - model.middle, model.orders) * model.frame)
    return CombFit(
        frequencies=frequencies,
        standard_errors=_errors(model, state),
        amplitudes=state.strengths / passed,
        bends=state.parameters[:, 1:],
        frame_times=model.times,
        frame_frequencies=frequencies[:, None] + drift,
        unexplained=np.maximum(strange / np.maximum(powers, 1e-30), _LEAST_UNEXPLAINED),
        isolated=np.moveaxis(own, 2, 0).swapaxes(1, 2) / passed[:, None, :],
        noise_variance=model.noise,
    )
