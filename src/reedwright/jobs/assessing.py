"""From a survey and a choice of target to what each reed should do: offsets and findings."""

from collections.abc import Sequence
from dataclasses import dataclass

from reedwright.errors import InputError
from reedwright.instrument.finding import Finding
from reedwright.instrument.layout import Layout
from reedwright.instrument.reading import Survey
from reedwright.instrument.target import ReedOffset, Target
from reedwright.tuning import (
    OverallPitch,
    PitchStandard,
    Scheme,
    Temperament,
    Tolerance,
    findings_of,
    overall_pitch,
    reed_offsets,
    targets_of,
)

__all__ = ["Assessment", "Choice", "assess", "assess_again"]

_FEWEST_REEDS = 5


@dataclass(frozen=True, slots=True)
class Choice:
    """What repairer and owner chose: ``a4_hz`` is None to keep the instrument's own pitch.

    ``pitch_standard`` names the standard ``a4_hz`` was taken from, if it was.
    """

    a4_hz: float | None
    pitch_standard: str | None
    temperament: Temperament
    reference: str
    tolerance: Tolerance


@dataclass(frozen=True, slots=True)
class Assessment:
    """A survey held against a choice.

    ``overall`` is the pitch of the instrument as a whole in equal temperament, None
    where fewer than five reeds were heard; ``findings`` are what that says.
    """

    layout: Layout
    survey: Survey
    scheme: Scheme
    pitch_standard: str | None
    tolerance: Tolerance
    targets: tuple[Target, ...]
    offsets: tuple[ReedOffset, ...]
    overall: OverallPitch | None
    findings: tuple[Finding, ...]


def assess(
    layout: Layout,
    survey: Survey,
    choice: Choice,
    *,
    equal: Temperament,
    standards: Sequence[PitchStandard],
) -> Assessment:
    """Hold a survey against a choice of pitch and temperament.

    ``equal`` is equal temperament, against which the instrument as a whole is seen,
    so that another temperament shows as a pattern; ``standards`` are the pitches it
    may be named by.

    Raises
    ------
    InputError
        If the instrument's own pitch is asked for and too few reeds were heard, or
        the layout belongs to another instrument than the survey.
    """
    _belong_together(layout, survey)
    scheme = Scheme(_chosen_a4_hz(layout, survey, choice), choice.temperament, choice.reference)
    return assess_again(
        layout,
        survey,
        scheme,
        tolerance=choice.tolerance,
        pitch_standard=choice.pitch_standard,
        equal=equal,
        standards=standards,
    )


def assess_again(
    layout: Layout,
    survey: Survey,
    scheme: Scheme,
    *,
    tolerance: Tolerance,
    pitch_standard: str | None,
    equal: Temperament,
    standards: Sequence[PitchStandard],
) -> Assessment:
    """Hold a survey against a scheme that was settled before, as ``assess`` does."""
    _belong_together(layout, survey)
    overall: OverallPitch | None = None
    findings: tuple[Finding, ...] = ()
    if _reeds_heard(survey) >= _FEWEST_REEDS:
        overall, findings = _as_a_whole(layout, survey, equal, standards)
    targets = targets_of(layout, scheme)
    return Assessment(
        layout=layout,
        survey=survey,
        scheme=scheme,
        pitch_standard=pitch_standard,
        tolerance=tolerance,
        targets=targets,
        offsets=reed_offsets(layout, survey, targets, tolerance=tolerance),
        overall=overall,
        findings=findings,
    )


def _belong_together(layout: Layout, survey: Survey) -> None:
    if survey.layout != layout.layout:
        raise InputError(
            f"survey and layout must belong together, got a survey by {survey.layout!r} and "
            f"the layout {layout.layout!r}; name the layout the survey was made with"
        )


def _reeds_heard(survey: Survey) -> int:
    return len({(reading.key, reading.direction) for reading in survey.readings})


def _as_a_whole(
    layout: Layout, survey: Survey, equal: Temperament, standards: Sequence[PitchStandard]
) -> tuple[OverallPitch, tuple[Finding, ...]]:
    at_440 = Scheme(440.0, equal)
    offsets = reed_offsets(layout, survey, targets_of(layout, at_440), tolerance=Tolerance())
    pitch = overall_pitch(offsets, at_440)
    return pitch, findings_of(offsets, pitch, standards)


def _chosen_a4_hz(layout: Layout, survey: Survey, choice: Choice) -> float:
    """Return the chosen A4, or the instrument's own in the chosen temperament."""
    if choice.a4_hz is not None:
        return choice.a4_hz
    heard = _reeds_heard(survey)
    if heard < _FEWEST_REEDS:
        raise InputError(
            f"the instrument's own pitch needs at least {_FEWEST_REEDS} reeds, {heard} were "
            "heard; give the pitch in hertz"
        )
    at_440 = Scheme(440.0, choice.temperament, choice.reference)
    offsets = reed_offsets(layout, survey, targets_of(layout, at_440), tolerance=choice.tolerance)
    return overall_pitch(offsets, at_440).a4_hz
