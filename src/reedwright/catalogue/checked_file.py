"""A data file of the user's or ours: read, decoded, parsed and checked against its form."""

import tomllib
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ConfigDict, ValidationError

from reedwright.errors import InputError, NotFound

__all__ = ["Form", "checked", "file_text", "toml_table"]

FormType = TypeVar("FormType", bound="Form")


class Form(BaseModel):
    """The form of a table in a file: known fields only, no conversion of types."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)


def file_text(path: Path, *, error: type[InputError]) -> str:
    """Return the text of a file, refusing one that is absent or not UTF-8 text."""
    try:
        content = path.read_bytes()
    except FileNotFoundError:
        raise NotFound(
            f"the file must exist, {path} does not; check the name and the folder"
        ) from None
    except OSError as reason:
        raise error(
            f"the file must be readable, {path} is not ({reason.strerror}); "
            "check that it is a file and that you may read it"
        ) from None
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as reason:
        raise error(
            f"{path}: the file must be UTF-8 text, byte {reason.start + 1} is not; "
            "save it again as UTF-8"
        ) from None


def toml_table(text: str, *, place: str, error: type[InputError]) -> dict[str, Any]:
    """Return the table a TOML text holds; ``place`` names the file in messages."""
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as reason:
        raise error(
            f"{place}: the file must be TOML, and it is not: {reason}; correct that line"
        ) from None
    if not table:
        raise error(f"{place}: the file must not be empty; write its fields, or give another file")
    return table


def checked(
    form: type[FormType],
    table: dict[str, Any],
    *,
    place: str,
    error: type[InputError],
    named: Callable[[Sequence[str | int]], str] | None = None,
) -> FormType:
    """Return the table as a checked form, or raise ``error`` naming the first field at fault.

    ``named`` turns the path of a field inside the table into words; by default
    list entries are counted from 1.
    """
    try:
        return form.model_validate(table)
    except ValidationError as reason:
        fault = reason.errors(include_url=False)[0]
        location = fault["loc"]
        where = (named or _in_words)(location)
        if fault["type"] == "extra_forbidden":
            known = ", ".join(_fields(form, location[:-1]))
            remedy = f"the fields are {known}" if known else "correct its name or remove it"
            message = f"only known fields may be given, {location[-1]!r} is not one; {remedy}"
        elif fault["type"] == "missing":
            message = f"the field {location[-1]!r} must be given, and it is not; add it"
        elif fault["type"] == "value_error":
            message = str(fault["ctx"]["error"])
        else:
            rule = fault["msg"][0].lower() + fault["msg"][1:]
            message = f"{rule}, got {fault['input']!r}; correct it"
        more = len(reason.errors()) - 1
        others = f" ({more} more to correct after this one)" if more else ""
        raise error(f"{place}{where}: {message}{others}") from None


def _in_words(location: Sequence[str | int]) -> str:
    """Return ``, row 3, notes 4`` for ``("row", 2, "notes", 3)``."""
    words = ""
    for step in location:
        words += f" {step + 1}" if isinstance(step, int) else f", {step}"
    return words


def _fields(form: type[Form], location: Sequence[str | int]) -> list[str]:
    """Return the field names of the form nested at a location, none where kinds are mixed."""
    current: type[BaseModel] = form
    for step in location:
        if isinstance(step, str):
            annotation = current.model_fields[step].annotation if step in _names(current) else None
            candidates = (annotation, *getattr(annotation, "__args__", ()))
            forms = [a for a in candidates if isinstance(a, type) and issubclass(a, BaseModel)]
            if len(forms) != 1:
                return []
            current = forms[0]
    return _names(current)


def _names(form: type[BaseModel]) -> list[str]:
    return list(form.model_fields)
