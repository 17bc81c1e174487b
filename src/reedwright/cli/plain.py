"""Results as plain JSON values: the same names, unrounded, nothing left out."""

import json
import math
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from enum import Enum

from reedwright.instrument.note import SpelledNote
from reedwright.instrument.reading import Missing, Reading, Survey, Tone

__all__ = ["plain", "plain_listen", "plain_survey", "print_json"]

Plain = None | bool | int | float | str | list["Plain"] | dict[str, "Plain"]


def plain(value: object) -> Plain:  # noqa: PLR0911 - one return per kind of value
    """Return a result as JSON values: notes by name, enums by word, dataclasses by field.

    A float that is no number becomes null, since JSON has none.
    """
    match value:
        case None | bool() | int() | str() if not isinstance(value, Enum):
            return value
        case float():
            return float(value) if math.isfinite(value) else None
        case Enum():
            return plain(value.value)
        case SpelledNote():
            return value.name
        case Mapping():
            return {str(plain(key)): plain(item) for key, item in value.items()}
        case tuple() | list():
            return [plain(item) for item in value]
        case _ if is_dataclass(value):
            return {field.name: plain(getattr(value, field.name)) for field in fields(value)}
        case _:
            raise TypeError(f"no plain form for {type(value).__name__}")


def plain_survey(survey: Survey) -> dict[str, Plain]:
    """Return a survey with each reading's tone on the same level as its reed."""
    return {
        **_without(survey, "readings", "missing", "unplaced"),
        "readings": [_reading(reading) for reading in survey.readings],
        "missing": [_missing(missing) for missing in survey.missing],
        "unplaced": [_tone(tone) for tone in survey.unplaced],
    }


def plain_listen(tones: tuple[Tone, ...], cautions: tuple[str, ...]) -> dict[str, Plain]:
    """Return single notes in order of time."""
    return {"notes": [_tone(tone) for tone in tones], "cautions": list(cautions)}


def print_json(value: Mapping[str, Plain]) -> None:
    """Print one JSON object and nothing else."""
    print(json.dumps(value, ensure_ascii=False))


def _reading(reading: Reading) -> dict[str, Plain]:
    budget = reading.doubt_budget
    return {
        **_without(reading, "tone"),
        **_tone(reading.tone),
        "doubt_cents": budget.total_cents,
        "own_doubt_cents": budget.own_cents,
    }


def _missing(missing: Missing) -> dict[str, Plain]:
    return _without(missing)


def _tone(tone: Tone) -> dict[str, Plain]:
    return {
        **_without(tone),
        "second_frequency_hz": tone.second.frequency_hz if tone.second is not None else None,
    }


def _without(value: Survey | Reading | Missing | Tone, *left_out: str) -> dict[str, Plain]:
    return {
        field.name: plain(getattr(value, field.name))
        for field in fields(value)
        if field.name not in left_out
    }
