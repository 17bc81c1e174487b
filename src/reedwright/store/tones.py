"""Tones: what was heard, before and after anyone says which reed it was."""

from collections.abc import Sequence

from sqlalchemy import Connection

from reedwright.instrument.reading import SecondReed, Tone
from reedwright.store.columns import number, pointer, table, text, whole
from reedwright.store.records import add_children, children
from reedwright.store.rows import from_row, to_row

__all__ = ["TONES", "add_tones", "tones_of"]

TONES = table(
    "tones",
    pointer("survey_id", "surveys.survey_id", primary_key=True),
    whole("number", primary_key=True),
    number("start_s"),
    number("end_s"),
    number("measured_from_s"),
    number("measured_to_s"),
    number("frequency_hz"),
    number("standard_error_cents"),
    number("interval_low_hz"),
    number("interval_high_hz"),
    text("trace"),
    text("partials"),
    number("level_dbfs"),
    number("steadiness_cents"),
    number("drift_cents_per_s"),
    number("drift_cents_per_s_standard_error"),
    number("drift_cents_per_db", nullable=True),
    number("drift_cents_per_db_standard_error", nullable=True),
    number("rise_time_s", nullable=True),
    number("speaking_delay_s", nullable=True),
    text("noise_bands"),
    number("hum_hz", nullable=True),
    number("clipped_fraction"),
    number("second_beat_hz", nullable=True),
    number("second_frequency_hz", nullable=True),
    number("second_standard_error_cents", nullable=True),
    number("second_level_db", nullable=True),
    text("cautions"),
)

_SECOND = "second_"
_NO_SECOND = {column.name: None for column in TONES.columns if column.name.startswith(_SECOND)}


def add_tones(connection: Connection, survey_id: int, tones: Sequence[Tone]) -> None:
    """Add the tones of a survey; their numbers are their places in ``tones``."""
    rows = [
        to_row(tone, without={"second"})
        | (_NO_SECOND if tone.second is None else to_row(tone.second, prefix=_SECOND))
        for tone in tones
    ]
    add_children(connection, TONES, rows, survey_id=survey_id)


def tones_of(connection: Connection, survey_id: int) -> list[Tone]:
    """Return the tones of a survey in their order."""
    return [
        from_row(
            Tone,
            row,
            second=None
            if row["second_beat_hz"] is None
            else from_row(SecondReed, row, prefix=_SECOND),
        )
        for row in children(connection, TONES, survey_id=survey_id)
    ]
