"""A survey as a JSON file: what ``reedwright survey --json`` prints, or less.

Of each reading only note, direction, frequency, standard error and doubt are needed;
whatever else the file holds is left alone.
"""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

from pydantic import ConfigDict, Field

from reedwright.catalogue.checked_file import Form, checked, file_text
from reedwright.errors import InputError
from reedwright.instrument.layout import Direction
from reedwright.instrument.note import SpelledNote
from reedwright.tuning import HeardReed

__all__ = ["SurveyFile", "read_survey_file"]


class _Reading(Form):
    model_config = ConfigDict(extra="ignore")

    key: str | None = None
    note: str
    # JSON has no enums: the word is taken for one.
    direction: Annotated[Direction, Field(strict=False)]
    frequency_hz: float = Field(gt=0.0, allow_inf_nan=False)
    standard_error_cents: float = Field(ge=0.0, allow_inf_nan=False)
    doubt: str | None = None


class _Survey(Form):
    model_config = ConfigDict(extra="ignore")

    layout: str | None = None
    readings: list[_Reading]


@dataclass(frozen=True, slots=True)
class SurveyFile:
    """The readings of a survey file; ``layout`` is None if the file does not name one."""

    layout: str | None
    readings: tuple[HeardReed, ...]


def read_survey_file(path: Path) -> SurveyFile:
    """Return the readings that a survey file holds.

    Raises
    ------
    NotFound
        If there is no such file.
    InputError
        If it is not JSON, not a survey, or a reading in it cannot be one; the message
        names the reading.
    """
    text = file_text(path, error=InputError)
    try:
        table = json.loads(text)
    except (json.JSONDecodeError, RecursionError) as reason:
        raise InputError(
            f"{path.name}: a survey is JSON as 'survey --json' prints it, this is not: {reason}; "
            "make the file again"
        ) from None
    if not isinstance(table, dict):
        raise InputError(
            f"{path.name}: a survey is a JSON object with readings, this is a "
            f"{type(table).__name__}; give what 'survey --json' printed"
        )
    form = checked(_Survey, table, place=path.name, error=InputError)
    return SurveyFile(form.layout, _heard(form.readings, path.name))


def _heard(readings: Sequence[_Reading], place: str) -> tuple[HeardReed, ...]:
    heard = []
    for number, reading in enumerate(readings, start=1):
        try:
            note = SpelledNote.parse(reading.note)
        except InputError as reason:
            raise InputError(f"{place}, reading {number}: {reason}") from None
        heard.append(
            HeardReed(
                key=reading.key,
                note=note,
                direction=reading.direction,
                frequency_hz=reading.frequency_hz,
                standard_error_cents=reading.standard_error_cents,
                doubt=reading.doubt,
            )
        )
    return tuple(heard)
