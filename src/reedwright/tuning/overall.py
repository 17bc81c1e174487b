"""The pitch of the instrument as a whole, and what it says in plain words.

A whole instrument in an old pitch is not out of tune, and one whose D# and Eb
differ was tuned to a temperament that tells them apart: neither is a fault.
"""

import math
from collections.abc import Sequence
from statistics import median

import numpy as np

from reedwright.errors import InputError
from reedwright.instrument.finding import Finding, Severity
from reedwright.instrument.target import ReedOffset
from reedwright.tuning.model import OverallPitch, PitchStandard, Scheme
from reedwright.units import cents_from_ratio, ratio_from_cents

__all__ = ["findings_of", "overall_pitch"]

#: Huber's constant: 95 % efficient on clean normal data [Huber1964]_.
_HUBER = 1.345
#: The standard deviation of a normal variable per median absolute deviation.
_MAD = 1.4826
_STEPS = 50
#: A standard this near the overall pitch is named, cents (common practice, no source).
_NEAR_STANDARD_CENTS = 6.0
#: Enharmonic pairs that differ by more than this are tuned apart on purpose.
_TUNED_APART_CENTS = 8.0
#: Beyond this from 440 Hz the pitch is worth a sentence (common practice, no source).
_REMARKABLE_CENTS = 8.0


def overall_pitch(offsets: Sequence[ReedOffset], scheme: Scheme) -> OverallPitch:
    """Return the A4 at which the reeds, taken together, stand in ``scheme``'s temperament.

    Huber's location estimate [Huber1964]_ of the offsets, scale by the median
    absolute deviation; up to about a third of the reeds may be astray. The doubt
    is its asymptotic standard error together with what all readings share.

    Raises
    ------
    InputError
        If fewer than five reeds were heard.
    """
    values = np.array([o.offset_cents for o in offsets if o.offset_cents is not None])
    if len(values) < 5:
        raise InputError(
            f"the overall pitch needs at least five reeds, {len(values)} were heard; "
            "record more of the instrument"
        )
    centre = float(np.median(values))
    scale = max(_MAD * float(np.median(np.abs(values - centre))), 1e-9)
    for _ in range(_STEPS):
        pull = np.clip((values - centre) / scale, -_HUBER, _HUBER)
        step = scale * float(pull.mean()) / max(float(np.mean(np.abs(pull) < _HUBER)), 0.1)
        centre += step
        if abs(step) < 1e-9:
            break
    pull = np.clip((values - centre) / scale, -_HUBER, _HUBER)
    inner = max(float(np.mean(np.abs(pull) < _HUBER)), 0.1)
    error_cents = scale * math.sqrt(float(np.mean(pull**2)) / len(values)) / inner
    return OverallPitch(
        a4_hz=scheme.a4_hz * ratio_from_cents(centre),
        doubt_cents=error_cents,
        spread_cents=scale,
        reeds=len(values),
    )


def findings_of(
    offsets: Sequence[ReedOffset],
    pitch: OverallPitch,
    standards: Sequence[PitchStandard],
) -> tuple[Finding, ...]:
    """Return what the survey says of the instrument as a whole, in plain words.

    ``offsets`` must be against equal temperament, so that a temperament shows as a
    pattern; ``pitch`` is the overall pitch found from them.
    """
    return (*_pitch_findings(pitch, standards), *_spelling_findings(offsets))


def _pitch_findings(pitch: OverallPitch, standards: Sequence[PitchStandard]) -> tuple[Finding, ...]:
    from_440_cents = cents_from_ratio(pitch.a4_hz / 440.0)
    evidence = (
        f"robust mean of {pitch.reeds} reeds, A4 = {pitch.a4_hz:.2f} Hz, "
        f"doubt {max(pitch.doubt_cents, 0.1):.1f} cents"
    )
    if abs(from_440_cents) < _REMARKABLE_CENTS:
        return ()
    near = min(standards, key=lambda s: abs(cents_from_ratio(pitch.a4_hz / s.a4_hz)), default=None)
    sentence = (
        f"The whole instrument stands {abs(from_440_cents):.0f} cents "
        f"{'above' if from_440_cents > 0 else 'below'} 440 Hz, at A4 = {pitch.a4_hz:.1f} Hz"
    )
    if near is not None and abs(cents_from_ratio(pitch.a4_hz / near.a4_hz)) < _NEAR_STANDARD_CENTS:
        sentence += f", close to {near.title} ({near.a4_hz:g} Hz)"
    sentence += ". That is a pitch of its own, not a fault: decide whether it stays."
    return (Finding("instrument", sentence, Severity.NOTE, evidence),)


def _spelling_findings(offsets: Sequence[ReedOffset]) -> tuple[Finding, ...]:
    """Say where enharmonic notes of one octave are tuned apart."""
    found = []
    for sharp, flat in (("D#", "Eb"), ("G#", "Ab")):
        gaps = []
        by_note: dict[str, list[float]] = {}
        for offset in offsets:
            if offset.offset_cents is not None:
                by_note.setdefault(offset.target.note.name, []).append(offset.offset_cents)
        for octave in range(10):
            lower, upper = by_note.get(f"{sharp}{octave}"), by_note.get(f"{flat}{octave}")
            if lower and upper:
                gaps.append(median(upper) - median(lower))
        if not gaps or abs(median(gaps)) < _TUNED_APART_CENTS:
            continue
        gap_cents = median(gaps)
        printed = sharp.replace("#", "♯"), flat.replace("b", "♭")
        found.append(
            Finding(
                "instrument",
                f"{printed[1]} lies {abs(gap_cents):.0f} cents "
                f"{'above' if gap_cents > 0 else 'below'} {printed[0]}: the two were tuned "
                "apart, as meantone tunings do. That is not a fault.",
                Severity.NOTE,
                f"median over {len(gaps)} octaves",
            )
        )
    return tuple(found)
