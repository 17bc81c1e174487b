"""What an instrument was tuned to, from what its reeds sound now.

A regular temperament is a straight line: the offset of a note from equal temperament
at 440 Hz is the shift of the whole, plus its place on the chain of fifths times what the
fifth has more than 700 cents. The line is found with reeds astray allowed for
(``outlier_mixture``) and compared with the other tunings held possible (``families``,
``model_choice``). Derivation, limits and measured errors: docs/theory/as-found.md.
"""

import math
from collections.abc import Iterable, Sequence
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from reedwright.errors import InputError
from reedwright.instrument.note import SpelledNote
from reedwright.tuning.agreement import information_per_reed
from reedwright.tuning.families import candidates_of, chain_places
from reedwright.tuning.first_look import sound_reeds
from reedwright.tuning.found import (
    AsFound,
    FamilyProbability,
    HeardReed,
    Misfit,
    TuningProbability,
)
from reedwright.tuning.model import PitchStandard, Temperament
from reedwright.tuning.model_choice import Choice, choose
from reedwright.tuning.outlier_mixture import Design, MixtureFit, fit_mixture
from reedwright.units import cents_from_ratio, ratio_from_cents

__all__ = ["as_found", "student_sigmas"]

Values = NDArray[np.float64]

_FEWEST_REEDS = 5
#: The line takes pitch and fifth as all but unknown beforehand, cents.
_FREE_CENTS = (1000.0, 100.0)
#: No reading is surer than this, cents; below it the number is one of rounding.
_LEAST_ERROR_CENTS = 0.01
#: So many standard deviations hold 95 % of a normal distribution.
_NORMAL = NormalDist().inv_cdf(0.975)
#: Fewer degrees of freedom are taken for so many.
_FEWEST_LEFT = 2.0
_ASTRAY_FROM = 0.5
#: A standard this near is named, cents (common practice, no source).
_NEAR_STANDARD_CENTS = 6.0
#: Tunings less likely than this are not listed.
_WORTH_LISTING = 0.005
#: A note is taken for its other name within so many scatters, if the two are further apart.
_FITS_WITHIN = 2.0


def as_found(
    readings: Iterable[HeardReed],
    *,
    temperaments: Sequence[Temperament],
    standards: Sequence[PitchStandard],
) -> AsFound:
    """Return the tuning the instrument was given, as far as its reeds tell.

    Parameters
    ----------
    readings : iterable of HeardReed
        A reed read several times counts once; readings in doubt are set aside.
    temperaments, standards
        Those that can be named.

    Raises
    ------
    InputError
        If fewer than five reeds are left.
    """
    given = list(readings)
    reeds = _one_per_reed(reading for reading in given if reading.doubt is None)
    set_aside = sum(reading.doubt is not None for reading in given)
    if len(reeds) < _FEWEST_REEDS:
        raise InputError(
            f"the tuning as found needs at least {_FEWEST_REEDS} reeds, got {len(reeds)} and "
            f"{set_aside} readings in doubt; record more of the instrument or settle the doubts"
        )
    values = np.array([reed.offset_cents for reed in reeds])
    errors = np.array([_error_cents(reed) for reed in reeds])
    notes = [reed.note for reed in reeds]
    places = chain_places(notes)
    sound = sound_reeds(values, places)
    line = _line(values, errors, places, sound, information=1.0)
    information = information_per_reed(
        notes, line.residuals, is_sound=line.probabilities_astray < _ASTRAY_FROM
    )
    if information < 1.0:
        line = _line(values, errors, places, sound, information=information)
    candidates = candidates_of(notes, temperaments)
    choice = choose(values, errors, candidates, sound=sound, information=information)
    return _result(
        reeds, line, choice, standards=standards, information=information, set_aside=set_aside
    )


def _error_cents(reed: HeardReed) -> float:
    return max(reed.standard_error_cents, _LEAST_ERROR_CENTS)


def _one_per_reed(readings: Iterable[HeardReed]) -> list[HeardReed]:
    """Return each reed once, with the weighted mean of its readings."""
    by_reed: dict[tuple[object, ...], list[HeardReed]] = {}
    for number, reading in enumerate(readings):
        # Without a key nobody knows whether two readings are of one reed.
        place = (number,) if reading.key is None else (reading.key, reading.direction)
        by_reed.setdefault(place, []).append(reading)
    return [_mean(own) for own in by_reed.values()]


def _mean(own: Sequence[HeardReed]) -> HeardReed:
    first = own[0]
    weights = [_error_cents(reading) ** -2.0 for reading in own]
    moves = [cents_from_ratio(reading.frequency_hz / first.frequency_hz) for reading in own]
    mean_cents = float(np.average(moves, weights=weights))
    return HeardReed(
        first.key,
        first.note,
        first.direction,
        first.frequency_hz * ratio_from_cents(mean_cents),
        math.sqrt(1.0 / math.fsum(weights)),
    )


def _line(
    values: Values,
    errors: Values,
    places: Values,
    sound: NDArray[np.bool_],
    *,
    information: float,
) -> MixtureFit:
    """Return the straight line along the chain of fifths."""
    columns = np.column_stack([np.ones(len(values)), places])
    design = Design(np.zeros(len(values)), columns, np.array(_FREE_CENTS))
    return fit_mixture(values, errors, [design], sound=sound, information=information)[0]


def _result(
    reeds: Sequence[HeardReed],
    line: MixtureFit,
    choice: Choice,
    *,
    standards: Sequence[PitchStandard],
    information: float,
    set_aside: int,
) -> AsFound:
    shift_cents, shift_variance = choice.pitch_of_a(line)
    # The scatter was found from the same reeds: as in least squares, what is left counts,
    # and Student's quantile. Whoever takes 1.96 standard errors gets the 95 % interval.
    left = max(line.degrees_of_freedom, _FEWEST_LEFT)
    widening = math.sqrt((left + len(line.coefficients)) / left) * student_sigmas(left) / _NORMAL
    a4_error_cents = widening * math.sqrt(shift_variance)
    fifth_error_cents = widening * math.sqrt(float(line.covariance[1, 1]))
    fifth_cents = 700.0 + float(line.coefficients[1])
    named = choice.named
    a4_hz = 440.0 * ratio_from_cents(shift_cents)
    return AsFound(
        a4_hz=a4_hz,
        a4_standard_error_cents=a4_error_cents,
        a4_interval_hz=(
            a4_hz * ratio_from_cents(-_NORMAL * a4_error_cents),
            a4_hz * ratio_from_cents(_NORMAL * a4_error_cents),
        ),
        fifth_cents=fifth_cents,
        fifth_standard_error_cents=fifth_error_cents,
        fifth_interval_cents=(
            fifth_cents - _NORMAL * fifth_error_cents,
            fifth_cents + _NORMAL * fifth_error_cents,
        ),
        scatter_cents=_told_by(line, choice).scatter,
        reeds=len(reeds),
        set_aside=set_aside,
        information=information,
        family=choice.family,
        temperament=named.candidate.temperament if named else None,
        temperament_title=named.candidate.title if named else None,
        turned_fifths=named.candidate.turned_fifths if named else None,
        family_probabilities=tuple(
            FamilyProbability(family, probability)
            for family, probability in choice.probability.items()
        ),
        tuning_probabilities=_listed(choice),
        pitch_standard=_near_standard(a4_hz, standards),
        misfits=_misfits(reeds, _told_by(line, choice), float(line.coefficients[1])),
    )


def student_sigmas(degrees_of_freedom: float) -> float:
    """Return how many standard errors hold 95 % when the scatter was found from as many values.

    The expansion [AbramowitzStegun1964]_ 26.7.5 about the normal quantile; within 1 % from
    2 degrees of freedom, within 0.1 % from 3.
    """
    z, n = _NORMAL, degrees_of_freedom
    return (
        z
        + (z**3 + z) / (4.0 * n)
        + (5.0 * z**5 + 16.0 * z**3 + 3.0 * z) / (96.0 * n**2)
        + (3.0 * z**7 + 19.0 * z**5 + 17.0 * z**3 - 15.0 * z) / (384.0 * n**3)
        + (79.0 * z**9 + 776.0 * z**7 + 1482.0 * z**5 - 1920.0 * z**3 - 945.0 * z)
        / (92160.0 * n**4)
    )


def _told_by(line: MixtureFit, choice: Choice) -> MixtureFit:
    """Return the fit that says which reeds are astray: the likeliest, or the line."""
    best = choice.weighed[0]
    return best.fit if best.candidate.family is choice.family else line


def _listed(choice: Choice) -> tuple[TuningProbability, ...]:
    return tuple(
        TuningProbability(
            entry.candidate.family,
            entry.candidate.temperament,
            entry.candidate.title,
            entry.candidate.turned_fifths,
            entry.probability,
        )
        for entry in choice.weighed
        if entry.probability >= _WORTH_LISTING
    )


def _near_standard(a4_hz: float, standards: Sequence[PitchStandard]) -> PitchStandard | None:
    def away_cents(standard: PitchStandard) -> float:
        return abs(cents_from_ratio(a4_hz / standard.a4_hz))

    near = min(standards, key=away_cents, default=None)
    return near if near is not None and away_cents(near) < _NEAR_STANDARD_CENTS else None


def _misfits(reeds: Sequence[HeardReed], fit: MixtureFit, slope_cents: float) -> tuple[Misfit, ...]:
    """Return the reeds astray, the furthest first."""
    renamed = _renamed(reeds, fit, slope_cents)
    found = [
        Misfit(
            reed.key,
            reed.note,
            reed.direction,
            float(residual),
            float(probability),
            _other_name(reed.note) if reed.note.pitch_class_name in renamed else None,
        )
        for reed, residual, probability in zip(
            reeds, fit.residuals, fit.probabilities_astray, strict=True
        )
        if probability >= _ASTRAY_FROM
    ]
    return tuple(sorted(found, key=lambda misfit: -abs(misfit.offset_cents)))


def _renamed(reeds: Sequence[HeardReed], fit: MixtureFit, slope_cents: float) -> set[str]:
    """Return the note classes most of whose reeds stand where the other name would."""
    apart_cents = 12.0 * slope_cents
    if abs(apart_cents) < 2.0 * _FITS_WITHIN * fit.scatter:
        return set()
    fits: dict[str, list[bool]] = {}
    for reed, residual in zip(reeds, fit.residuals, strict=True):
        if _other_name(reed.note) is not None:
            expected_cents = -apart_cents if reed.note.alteration > 0 else apart_cents
            away_cents = abs(float(residual) - expected_cents)
            fits.setdefault(reed.note.pitch_class_name, []).append(
                away_cents <= _FITS_WITHIN * fit.scatter
            )
    return {name for name, own in fits.items() if sum(own) >= max(2, len(own) / 2)}


def _other_name(note: SpelledNote) -> SpelledNote | None:
    """Return the note's enharmonic name if both have one sign, else None."""
    if abs(note.alteration) != 1:
        return None
    other = SpelledNote.from_fifths(note.fifths - 12 * note.alteration, note.semitone)
    return other if abs(other.alteration) == 1 else None
