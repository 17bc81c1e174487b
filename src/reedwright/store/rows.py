"""Frozen dataclasses to database rows and back, equal to what went in.

A field is a column of the field's own name. Numbers, text and choices stand in it
as they are, floats bit for bit (but SQLite has one zero only, so -0.0 comes out as 0.0,
which is equal); a note as its ASCII name; a tuple or a nested dataclass as compact
JSON. JSON has no infinity, so there it is the text ``inf`` or ``-inf``; what is
no number at all (NaN) is refused, since it would never come out equal.

A field a dataclass gained since the row was written takes its default.
"""

import json
import math
import types
from collections.abc import Callable, Collection
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from functools import cache
from typing import Any, TypeVar, Union, cast, get_args, get_origin, get_type_hints

from sqlalchemy import RowMapping

from reedwright.errors import InputError
from reedwright.instrument.note import SpelledNote

__all__ = ["checked_date", "checked_moment", "from_json", "from_row", "to_json", "to_row"]

_Record = TypeVar("_Record")


def to_row(record: object, *, prefix: str = "", without: Collection[str] = ()) -> dict[str, Any]:
    """Return a dataclass as column values, each name led by ``prefix``.

    Raises
    ------
    InputError
        If a number is NaN, or a text cannot be kept in a database.
    """
    row: dict[str, Any] = {}
    for name in _hints(type(record)):
        if name in without:
            continue
        value = getattr(record, name)
        try:
            row[prefix + name] = to_json(value) if _is_json(value) else _column(value)
        except InputError as mistake:
            raise InputError(f"{name} of a {type(record).__name__}: {mistake}") from None
    return row


def from_row(
    kind: type[_Record], row: RowMapping, *, prefix: str = "", **others: object
) -> _Record:
    """Return the dataclass kept in a row; ``others`` gives the fields that are kept elsewhere."""
    values: dict[str, Any] = dict(others)
    for name, hint in _hints(kind).items():
        if name in others or prefix + name not in row:
            continue
        value = row[prefix + name]
        if value is not None and _is_json_type(hint):
            value = json.loads(value)
        values[name] = _reader(hint)(value)
    return kind(**values)


def to_json(value: object) -> str:
    """Return a value as compact JSON text; InputError as for ``to_row``."""
    return json.dumps(_plain(value), ensure_ascii=False, separators=(",", ":"), allow_nan=False)


def from_json(kind: type[_Record], text: str) -> _Record:
    """Return the dataclass that ``to_json`` wrote."""
    value = _reader(kind)(json.loads(text))
    if not isinstance(value, kind):
        raise TypeError(f"a {kind.__name__} was kept, got a {type(value).__name__}")
    return value


def checked_date(value: str, name: str) -> str:
    """Return ``value`` if it is a date like 2026-11-25, else raise InputError."""
    try:
        date.fromisoformat(value)
    except ValueError:
        raise InputError(
            f"{name} must be a date, got {value!r}; write it like 2026-11-25"
        ) from None
    return value


def checked_moment(value: str, name: str) -> str:
    """Return ``value`` if it is a time with its offset from UTC, else raise InputError."""
    try:
        is_moment = datetime.fromisoformat(value).tzinfo is not None
    except ValueError:
        is_moment = False
    if not is_moment:
        raise InputError(
            f"{name} must be a date and time with its offset from UTC, got {value!r}; "
            "write it like 2026-11-25T14:03:00+00:00"
        )
    return value


def _is_json(value: object) -> bool:
    return isinstance(value, tuple) or (is_dataclass(value) and not isinstance(value, SpelledNote))


def _column(value: object) -> float | int | str | None:
    """Return a scalar as the drivers of both databases take it."""
    value = _scalar(value)
    return int(value) if isinstance(value, bool) else value


def _plain(value: object) -> object:
    """Return a value as what JSON knows."""
    if isinstance(value, float):
        number = _number(value)
        return str(number) if math.isinf(number) else number
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    if _is_json(value):
        return {name: _plain(getattr(value, name)) for name in _hints(type(value))}
    return _scalar(value)


def _scalar(value: object) -> float | int | bool | str | None:
    match value:
        case float():
            return _number(value)
        case str():
            return _text(str(value))
        case SpelledNote():
            SpelledNote.parse(value.name)  # an octave of two digits could not be read back
            return value.name
        case None | bool() | int():
            return value
    raise TypeError(f"the store knows no way to keep a {type(value).__name__}")


def _number(value: float) -> float:
    if math.isnan(value):
        raise InputError("a number must be kept, got NaN; leave the value out or read again")
    return float(value)


def _text(value: str) -> str:
    if "\0" in value or any("\ud800" <= letter <= "\udfff" for letter in value):
        raise InputError(
            f"text must be writable as UTF-8 without a zero byte, got {value!r}; "
            "rename it or retype it"
        )
    return value


def _find_hints(kind: type[object]) -> dict[str, Any]:
    """Return the fields of a dataclass and their types, in order."""
    hints = get_type_hints(kind)
    return {field.name: hints[field.name] for field in fields(cast(Any, kind))}


_hints: Callable[[Any], dict[str, Any]] = cache(_find_hints)


def _is_json_type(hint: object) -> bool:
    kind = _without_none(hint)
    return get_origin(kind) is tuple or (is_dataclass(kind) and kind is not SpelledNote)


def _without_none(hint: object) -> object:
    if get_origin(hint) in (Union, types.UnionType):
        (hint,) = (choice for choice in get_args(hint) if choice is not type(None))
    return hint


def _make_reader(hint: object) -> Callable[[Any], object]:
    """Return the function that turns a column value or parsed JSON into a ``hint``."""
    kind = _without_none(hint)
    if kind is not hint:
        read = _reader(kind)
        return lambda value: None if value is None else read(value)
    if get_origin(kind) is tuple:
        return _tuple_reader(get_args(kind))
    if kind is SpelledNote:
        return SpelledNote.parse
    if isinstance(kind, type) and is_dataclass(kind):
        readers = {name: _reader(field_hint) for name, field_hint in _hints(kind).items()}
        return lambda value: kind(**{name: readers[name](item) for name, item in value.items()})
    return cast(Callable[[Any], object], kind)


_reader: Callable[[object], Callable[[Any], object]] = cache(_make_reader)


def _tuple_reader(hints: tuple[Any, ...]) -> Callable[[Any], tuple[object, ...]]:
    if hints[-1] is Ellipsis:
        read = _reader(hints[0])
        return lambda value: tuple(map(read, value))
    readers = [_reader(hint) for hint in hints]
    return lambda value: tuple(read(item) for read, item in zip(readers, value, strict=True))
