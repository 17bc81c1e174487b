"""Whether more than one reed sounds in a note, and the pitch of each that can be told apart.

Two searches share a budget of 2 % false alarms: ``science.beating`` for reeds
within a few cents, ``science.second_comb`` for reeds up to a quarter tone apart.
What they find is fitted (``science.two_reeds``), and each reed's own sound is
searched again for another one beside it.

Limits: reeds more than ``WIDEST`` cents apart are two notes, not two reeds of one,
and are not looked for here. A reed nearer than about 0.85 cents is believed only
where it beats strongly: the room of a drifting reed looks like one.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from reedwright.instrument.reading import SecondReed
from reedwright.science.beating import BeatSearch, search_beat, search_beat_anew
from reedwright.science.harmonic_fit import HarmonicFit
from reedwright.science.second_comb import WIDEST, CombSearch, search_second_comb
from reedwright.science.two_reeds import CombFit, fit_combs
from reedwright.units import CENTS_PER_NATURAL_LOG

__all__ = ["WIDEST", "HeardReed", "ReedsTogether", "hear_reeds", "second_reed"]

#: Scores from which on a second reed is believed: 2 % false alarms together on one-second
#: tones of two makes (benchmarks/two_reeds.py).
BEAT_SCORE = 2.1
COMB_SCORE = 3.5
#: Degrees of the phase tried where the note could not be fitted as one reed.
_DEGREES = (1, 2, 4)
#: Reeds further apart are taken from the comb search whatever the beat search found, cents.
_APART_CENTS = 6.0
#: Reeds at least this strong, re the strongest, are fitted without a room: decibels.
_STRONG_DB = -8.0
#: The fit without a room is believed where it moves a reed by less, cents (or three
#: standard errors): what a room was seen to blur.
_MOVED_CENTS = 0.06
#: What errors of a fit were seen to be short by, in rooms (benchmarks/two_reeds.py).
_SHORT = 1.3
#: By how much another reed must lower what is unexplained, decibels, mean over the partials.
_WORTH_DB = 3.0
#: Power re the noise from which on a partial counts for what is unexplained.
_AUDIBLE = 10.0
#: Where less than this is unexplained no further reed is looked for, decibels.
_LITTLE_DB = -15.0
#: A further reed is at least so strong, and so far from every stronger one.
_FAINTEST_DB, _LEAST_CENTS = -20.0, 0.3
#: A fainter second reed is not told: the room and the fit leave as much behind, decibels.
_FAINTEST_TOLD_DB = -42.0
#: What is fainter than this re the strongest is an artefact, decibels.
_INAUDIBLE_DB = -50.0
#: Errors beyond which two reeds are not told apart: part of their distance, and cents.
_TOLD_APART = 0.25
_TOLD_CENTS = 1.0


@dataclass(frozen=True, slots=True)
class HeardReed:
    """One of the reeds of a note; the mean is over the time the fit states."""

    frequency_hz: float
    standard_error_cents: float
    level_db: float


@dataclass(frozen=True, slots=True, eq=False)
class ReedsTogether:
    """All reeds told apart in one note, the strongest first; levels are re it.

    ``reeds`` is empty where it beats, by ``beat_hz``, but nothing can be told apart.
    ``alone`` says that the strongest outweighs all others by so much that a
    pitch fitted as of one reed is as good as the one given here, and better tried.
    ``unexplained_db`` is what no reed accounts for, re each partial, mean over them:
    near 0 where the sound is something else than a few reeds.
    ``frame_frequencies_hz`` of the strongest reed at ``frame_times_s`` follow its drift.
    """

    reeds: tuple[HeardReed, ...]
    beat_hz: float
    level_db: float
    alone: bool
    unexplained_db: float
    frame_times_s: NDArray[np.float64]
    frame_frequencies_hz: NDArray[np.float64]


def second_reed(together: ReedsTogether | None) -> SecondReed | None:
    """Return the strongest reed beside the first, as a tone carries it."""
    if together is None or together.level_db < _FAINTEST_TOLD_DB:
        return None
    if len(together.reeds) < 2:
        return SecondReed(
            beat_hz=together.beat_hz,
            frequency_hz=None,
            standard_error_cents=None,
            level_db=together.level_db,
        )
    other = together.reeds[1]
    return SecondReed(
        beat_hz=together.beat_hz,
        frequency_hz=other.frequency_hz,
        standard_error_cents=other.standard_error_cents,
        level_db=other.level_db,
    )


def hear_reeds(
    samples: NDArray[np.floating],
    sample_rate_hz: float,
    *,
    frequency_hz: float,
    fit: HarmonicFit | None,
) -> ReedsTogether | None:
    """Return the reeds of a note if there are several, None if there is one.

    Parameters
    ----------
    samples : array, shape (n,)
        The steady part of the note: those that ``fit`` was made from.
    sample_rate_hz : float > 0
    frequency_hz : float > 0
        Coarse fundamental; used where there is no ``fit``.
    fit : HarmonicFit or None
        The note fitted as one reed; None where that was refused because the
        partials do not agree on one pitch.
    """
    if not np.any(samples):
        return None
    if fit is None:
        beats = [
            search_beat_anew(samples, sample_rate_hz, frequency=frequency_hz, degree=degree)
            for degree in _DEGREES
        ]
        start, stop = 0.0, len(samples) / sample_rate_hz
    else:
        frequency_hz = fit.mean_frequency
        beats = [_beat_of_fit(fit)]
        start, stop = fit.start, fit.stop
    comb = search_second_comb(samples, sample_rate_hz, frequency=frequency_hz)
    beats = [beat for beat in beats if beat.score > BEAT_SCORE]
    if comb.score < COMB_SCORE and not beats:
        return None
    fitting = _Fitting(samples, sample_rate_hz, start=start, stop=stop)
    combs = _with_others(fitting, _first_pair(fitting, comb=comb, beats=beats))
    if float(np.min(combs.levels_db)) < _INAUDIBLE_DB:
        return None
    beat_hz = abs(beats[0].beat) if beats else abs(comb.second - comb.first)
    return _together(fitting, combs, beat_hz=beat_hz)


@dataclass(frozen=True, slots=True, eq=False)
class _Fitting:
    """A sound and the times between which its reeds' frequencies are wanted."""

    samples: NDArray[np.floating]
    sample_rate: float
    start: float
    stop: float

    def fit(self, frequencies: tuple[float, ...], *, error: float) -> CombFit:
        """Return the fit begun at these frequencies, a room allowed for."""
        return self._fit(frequencies, None, room=True, error=error)

    def _fit(
        self,
        frequencies: tuple[float, ...],
        bends: NDArray[np.float64] | None,
        *,
        room: bool,
        error: float,
    ) -> CombFit:
        return fit_combs(
            self.samples,
            self.sample_rate,
            frequencies=frequencies,
            start=self.start,
            stop=self.stop,
            room=room,
            bends=bends,
            error=error,
        )

    def go_on(self, combs: CombFit, kept: list[int], *, room: bool) -> CombFit:
        """Return the fit gone on with from the reeds ``kept`` of ``combs``."""
        frequencies = tuple(combs.frequencies[kept].tolist())
        error = float(np.max(combs.standard_errors[kept]))
        return self._fit(frequencies, combs.bends[kept], room=room, error=error)

    def with_others(self, combs: CombFit, beats: dict[int, float]) -> CombFit:
        """Return the fit with more reeds: ``beats`` says which ones have another how far off."""
        beside = list(beats)
        others = [float(combs.frequencies[reed]) + beat for reed, beat in beats.items()]
        return self._fit(
            (*combs.frequencies.tolist(), *others),
            np.concatenate([combs.bends, combs.bends[beside]]),
            room=False,
            error=0.15 * max(abs(beat) for beat in beats.values()),
        )


def _beat_of_fit(fit: HarmonicFit) -> BeatSearch:
    return search_beat(
        fit.amplitudes,
        frame_times=fit.frame_times,
        frame_frequency=fit.frame_frequency,
        frequency=fit.mean_frequency,
        noise_variance=fit.noise_variance,
    )


def _first_pair(fitting: _Fitting, *, comb: CombSearch, beats: list[BeatSearch]) -> CombFit:
    """Return the best of the pairs the searches propose."""
    cent = comb.first / CENTS_PER_NATURAL_LOG
    distance = abs(comb.second - comb.first)
    pairs: list[CombFit] = []
    if comb.score < COMB_SCORE or distance < _APART_CENTS * cent:
        pairs = [
            fitting.fit(
                (beat.frequency, beat.frequency + beat.beat),
                error=max(0.15 * abs(beat.beat), 0.3 * cent),
            )
            for beat in beats
        ]
    if min(map(_unexplained_db, pairs), default=0.0) > _LITTLE_DB:
        error = float(np.clip(0.15 * distance, 0.3 * cent, cent))
        pairs.append(fitting.fit((comb.first, comb.second), error=error))
    return min(pairs, key=_unexplained_db)


def _unexplained_db(combs: CombFit) -> float:
    """Return what is unexplained of the partials that stand out of the noise, their mean."""
    audible = np.sum(combs.amplitudes**2, axis=0) > _AUDIBLE * combs.noise_variance
    counted = combs.unexplained[audible] if np.any(audible) else combs.unexplained
    return float(10.0 * np.mean(np.log10(counted)))


def _with_others(fitting: _Fitting, combs: CombFit) -> CombFit:
    """Return the fit with a reed beside each that still beats, if that explains enough more."""
    if _unexplained_db(combs) < _LITTLE_DB:
        return combs
    beats = {}
    for reed, frequency in enumerate(combs.frequencies.tolist()):
        search = search_beat(
            combs.isolated[reed],
            frame_times=combs.frame_times,
            frame_frequency=combs.frame_frequencies[reed],
            frequency=frequency,
            noise_variance=combs.noise_variance,
        )
        if search.score > BEAT_SCORE:
            beats[reed] = search.beat
    if not beats:
        return combs
    more = _distinct(fitting, fitting.with_others(combs, beats))
    return more if _unexplained_db(more) < _unexplained_db(combs) - _WORTH_DB else combs


def _distinct(fitting: _Fitting, combs: CombFit) -> CombFit:
    """Return the fit without reeds that came to lie on a stronger one, or are no reeds."""
    kept: list[int] = []
    for reed in np.argsort(-combs.levels_db).tolist():
        frequency = combs.frequencies[reed]
        nearest = np.min(np.abs(combs.frequencies[kept] / frequency - 1.0), initial=1.0)
        if combs.levels_db[reed] > _FAINTEST_DB and nearest > _LEAST_CENTS / CENTS_PER_NATURAL_LOG:
            kept.append(reed)
    if len(kept) == len(combs.frequencies):
        return combs
    if len(kept) < 2:
        kept = np.argsort(-combs.levels_db).tolist()[:2]
    return fitting.go_on(combs, kept, room=len(kept) == 2)


def _together(fitting: _Fitting, combs: CombFit, *, beat_hz: float) -> ReedsTogether:
    """Return the reeds in order of level, if they can be told apart."""
    order = np.argsort(-combs.levels_db).tolist()
    second_db = float(combs.levels_db[order[1]])
    alone = second_db < _STRONG_DB
    frequencies, errors = combs.frequencies.copy(), combs.standard_errors.copy()
    if len(order) == 2:
        finer = fitting.go_on(combs, [0, 1], room=False)
        moved = np.abs(finer.frequencies - frequencies)
        allowed = np.maximum(3.0 * errors, _MOVED_CENTS / CENTS_PER_NATURAL_LOG * frequencies)
        kept = [reed for reed in (order[:1] if alone else order) if moved[reed] < allowed[reed]]
        frequencies[kept], errors[kept] = finer.frequencies[kept], finer.standard_errors[kept]
    errors *= _SHORT
    strongest = order[0]
    cents = CENTS_PER_NATURAL_LOG / frequencies[strongest]
    distances = np.abs(frequencies - frequencies[strongest])
    told = np.hypot(errors, errors[strongest]) < np.minimum(
        _TOLD_APART * distances, _TOLD_CENTS / cents
    )
    reeds: tuple[HeardReed, ...] = ()
    if told[order[1]]:
        reeds = tuple(
            HeardReed(
                frequency_hz=float(frequencies[reed]),
                standard_error_cents=float(errors[reed] * cents),
                level_db=float(combs.levels_db[reed]),
            )
            for reed in order
            if told[reed] or reed == strongest
        )
        beat_hz = float(distances[order[1]])
    drift = combs.frame_frequencies[strongest] - combs.frequencies[strongest]
    return ReedsTogether(
        reeds=reeds,
        beat_hz=beat_hz,
        level_db=second_db,
        alone=alone,
        unexplained_db=_unexplained_db(combs),
        frame_times_s=combs.frame_times,
        frame_frequencies_hz=frequencies[strongest] + drift,
    )
