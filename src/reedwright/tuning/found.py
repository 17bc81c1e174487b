"""What the tuning of an instrument as found is told from, and what is told."""

from dataclasses import dataclass

from reedwright.instrument.layout import Direction
from reedwright.instrument.note import SpelledNote
from reedwright.instrument.reading import Survey
from reedwright.tuning.families import Family
from reedwright.tuning.model import PitchStandard
from reedwright.units import cents_from_ratio

__all__ = [
    "AsFound",
    "FamilyProbability",
    "HeardReed",
    "Misfit",
    "TuningProbability",
    "heard_reeds",
]


@dataclass(frozen=True, slots=True)
class HeardReed:
    """One reading of one reed: its spelled note and what it sounds.

    ``key`` is None where the survey does not say. ``standard_error_cents`` is the
    reading's own. ``doubt`` is None, or a sentence for a person to settle.
    """

    key: str | None
    note: SpelledNote
    direction: Direction
    frequency_hz: float
    standard_error_cents: float
    doubt: str | None = None

    @property
    def offset_cents(self) -> float:
        """How far it is from equal temperament at 440 Hz."""
        return cents_from_ratio(self.frequency_hz / 440.0) - 100.0 * (self.note.semitone - 69)


def heard_reeds(survey: Survey) -> tuple[HeardReed, ...]:
    """Return a survey's readings, reduced to what the tuning is told from."""
    return tuple(
        HeardReed(
            reading.key,
            reading.note,
            reading.direction,
            reading.tone.frequency_hz,
            reading.tone.standard_error_cents,
            reading.doubt,
        )
        for reading in survey.readings
    )


@dataclass(frozen=True, slots=True)
class FamilyProbability:
    """How likely a family is; that of UNCLEAR says that the reeds follow none of them."""

    family: Family
    probability: float


@dataclass(frozen=True, slots=True)
class TuningProbability:
    """How likely one tuning is.

    ``temperament`` is None for one that has no name of its own; ``turned_fifths`` > 0
    is turned towards the sharps.
    """

    family: Family
    temperament: str | None
    title: str
    turned_fifths: int
    probability: float


@dataclass(frozen=True, slots=True)
class Misfit:
    """A reed that does not fit: ``offset_cents`` > 0 is sharp of the tuning found.

    ``fits_as`` is the other name of its note if the reed stands where that one should.
    """

    key: str | None
    note: SpelledNote
    direction: Direction
    offset_cents: float
    probability_astray: float
    fits_as: SpelledNote | None


@dataclass(frozen=True, slots=True)
class AsFound:
    """The tuning an instrument was given, as far as its reeds tell.

    ``fifth_cents`` is the slope along the chain of fifths, whatever the family.
    ``a4_hz`` is that line's A, or that of the circulating temperaments where these are
    all but certain. Intervals hold 95 %; standard errors are those that give them by
    1.96, Student's quantile being in them. Neither holds what all readings share, such as
    the error of the recorder's clock.

    ``scatter_cents`` is one sigma of the reeds that fit. ``reeds`` were used,
    ``set_aside`` readings were not, being in doubt. ``information`` is what one reed
    counts for, below 1 where the reeds of one note agree more than chance.
    ``temperament`` (with ``temperament_title`` and ``turned_fifths``) is None where no
    named one is sure enough. ``pitch_standard`` is one that is near, or None.
    """

    a4_hz: float
    a4_standard_error_cents: float
    a4_interval_hz: tuple[float, float]
    fifth_cents: float
    fifth_standard_error_cents: float
    fifth_interval_cents: tuple[float, float]
    scatter_cents: float
    reeds: int
    set_aside: int
    information: float
    family: Family
    temperament: str | None
    temperament_title: str | None
    turned_fifths: int | None
    family_probabilities: tuple[FamilyProbability, ...]
    tuning_probabilities: tuple[TuningProbability, ...]
    pitch_standard: PitchStandard | None
    misfits: tuple[Misfit, ...]

    def probability(self, family: Family) -> float:
        """Return how likely a family is."""
        return next(f.probability for f in self.family_probabilities if f.family is family)
