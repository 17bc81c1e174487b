"""Readings: what was heard of a reed, its doubt, how and when.

A ``Tone`` is a note as the ear of the program heard it, before anyone says which
reed it was. A ``Reading`` ties a tone to a reed of a layout. A ``Survey`` is all
readings of one recording, what is missing, and what could not be placed.

Conventions: times in seconds from the start of the recording; frequencies in
hertz as the recorder's clock counts them unless ``clock_ppm`` says otherwise;
levels in decibels re full scale. ``*_standard_error_*`` is the estimator's own
error; ``doubt_cents`` is the honest one-sigma doubt that is printed.
"""

import math
from dataclasses import dataclass

from reedwright.instrument.layout import Direction, Side
from reedwright.instrument.note import SpelledNote

__all__ = [
    "Conditions",
    "DoubtBudget",
    "Missing",
    "NoiseBand",
    "Partial",
    "Reading",
    "SecondReed",
    "Survey",
    "Tone",
    "Trace",
]


@dataclass(frozen=True, slots=True)
class Partial:
    """One partial: its number (1 = fundamental), amplitude re full scale, and error of it."""

    number: int
    amplitude: float
    amplitude_standard_error: float


@dataclass(frozen=True, slots=True)
class Trace:
    """Pitch and level over the note, sampled at ``times_s``.

    ``offsets_cents`` are re the tone's ``frequency_hz``; all tuples are of one length.
    """

    times_s: tuple[float, ...]
    offsets_cents: tuple[float, ...]
    standard_errors_cents: tuple[float, ...]
    levels_db: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class NoiseBand:
    """Breath noise in one band: power re the power of all partials, decibels."""

    low_hz: float
    high_hz: float
    ratio_db: float


@dataclass(frozen=True, slots=True)
class SecondReed:
    """A second reed sounding at the same time, heard by its beating.

    ``frequency_hz`` is None when it beats but the two cannot be told apart;
    ``level_db`` is re the first reed.
    """

    beat_hz: float
    frequency_hz: float | None
    standard_error_cents: float | None
    level_db: float


@dataclass(frozen=True, slots=True)
class Tone:
    """One note as heard.

    ``frequency_hz`` is the unweighted time mean of the fundamental between
    ``measured_from_s`` and ``measured_to_s``, and ``standard_error_cents`` is
    that mean's, by the estimator alone; the 95 % interval is
    ``interval_low_hz`` to ``interval_high_hz``.

    ``steadiness_cents`` is the standard deviation of the trace.
    ``drift_cents_per_s`` and ``drift_cents_per_db`` (pitch against level, None
    when the level hardly moved) carry their standard errors.
    ``rise_time_s`` is 10 to 90 % of the settled amplitude; ``speaking_delay_s``
    runs from the click of the button, None where no click was heard.
    ``hum_hz`` is 50 or 60 when mains hum was found and rejected, else None.
    ``clipped_fraction`` is the share of samples at the rails.
    ``cautions`` are sentences for the reader, such as that the note was short.
    """

    start_s: float
    end_s: float
    measured_from_s: float
    measured_to_s: float
    frequency_hz: float
    standard_error_cents: float
    interval_low_hz: float
    interval_high_hz: float
    trace: Trace
    partials: tuple[Partial, ...]
    level_dbfs: float
    steadiness_cents: float
    drift_cents_per_s: float
    drift_cents_per_s_standard_error: float
    drift_cents_per_db: float | None
    drift_cents_per_db_standard_error: float | None
    rise_time_s: float | None
    speaking_delay_s: float | None
    noise_bands: tuple[NoiseBand, ...]
    hum_hz: float | None
    clipped_fraction: float
    second: SecondReed | None
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class DoubtBudget:
    """Where the doubt of a reading comes from; one-sigma each, in cents.

    ``clock_cents`` and ``temperature_cents`` are common to all readings of a
    recording; the others are the reed's own.
    """

    estimator_cents: float
    drift_cents: float
    pressure_cents: float
    repeatability_cents: float
    clock_cents: float
    temperature_cents: float

    @property
    def own_cents(self) -> float:
        """The doubt of this reed against the others of the recording."""
        return math.hypot(
            self.estimator_cents,
            self.drift_cents,
            self.pressure_cents,
            self.repeatability_cents,
        )

    @property
    def total_cents(self) -> float:
        """The doubt of this reed against the world."""
        return math.hypot(self.own_cents, self.clock_cents, self.temperature_cents)


@dataclass(frozen=True, slots=True)
class Reading:
    """What was heard of one reed.

    ``confidence`` (0 to 1) is that of the assignment, not of the pitch; ``doubt``
    is None or a sentence for a person to settle, with ``also_possible`` naming
    the other reeds, as (key, direction), that it may have been.
    """

    key: str
    side: Side
    note: SpelledNote
    direction: Direction
    tone: Tone
    confidence: float
    doubt: str | None
    also_possible: tuple[tuple[str, Direction], ...]
    doubt_budget: DoubtBudget


@dataclass(frozen=True, slots=True)
class Missing:
    """A reed of the layout that no sound was found for."""

    key: str
    side: Side
    note: SpelledNote
    direction: Direction


@dataclass(frozen=True, slots=True)
class Conditions:
    """Under what conditions a recording was made; None where nobody said.

    ``clock_ppm`` > 0 means that the recorder's clock runs fast, so that readings
    were raised by that much; ``clock_doubt_ppm`` is its one-sigma doubt.
    ``metal`` names the tongue metal by which readings were brought from
    ``temperature_c`` to ``reference_temperature_c``; with no temperature given
    they were left as heard. ``is_end_on`` is None on the tuning bench.
    """

    clock_ppm: float = 0.0
    clock_doubt_ppm: float = 50.0
    temperature_c: float | None = None
    reference_temperature_c: float = 20.0
    metal: str | None = None
    bellows_pressure_pa: float | None = None
    is_on_bench: bool = False
    is_end_on: bool | None = True


@dataclass(frozen=True, slots=True)
class Survey:
    """One recording of an instrument, listened to.

    ``readings`` are in order of time; a reed played several times has several.
    ``unplaced`` are tones heard that belong to no reed of the layout as far as
    can be told. ``shift_cents`` is the pitch of the whole instrument re A4 = 440
    Hz equal temperament, as the alignment found it. ``cautions`` concern the
    recording as a whole; ``conditions`` say how it was made.
    """

    layout: str
    order: str
    duration_s: float
    sample_rate_hz: float
    shift_cents: float
    readings: tuple[Reading, ...]
    missing: tuple[Missing, ...]
    unplaced: tuple[Tone, ...]
    cautions: tuple[str, ...]
    conditions: Conditions = Conditions()
