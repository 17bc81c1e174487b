"""Layout files: the TOML a repairer can read and edit, turned into a Layout.

The form of the file is described in docs/layouts.md.
"""

import re
from collections.abc import Sequence
from dataclasses import replace
from importlib.resources import files
from pathlib import Path
from typing import Any, Literal

from pydantic import Field, field_validator, model_validator

from reedwright.catalogue.checked_file import Form, checked, file_text, toml_table
from reedwright.errors import InputError, LayoutError, NotFound
from reedwright.instrument.evidence import Confidence, EvidenceMark
from reedwright.instrument.layout import (
    Action,
    Key,
    Layout,
    Row,
    Side,
    System,
    key_identifier,
)
from reedwright.instrument.note import CONCERTINA_CHAIN, SpelledNote
from reedwright.instrument.rows import reorder_rows
from reedwright.instrument.transpose import HOME_KEYS, in_home_keys, on_concertina_chain

__all__ = ["NO_REED", "layout_from_toml", "layout_names", "load_layout"]

#: Written where a button has no reed in a direction, or none that is known yet.
NO_REED = "-"

_SHIPPED = files("reedwright.catalogue") / "layouts"
_HOME_KEYS = {pair.lower().replace("/", "").replace("#", "s"): pair for pair in HOME_KEYS}
_OCTAVES = {"": 0, "low": -1, "high": 1}


class _RowForm(Form):
    side: Literal["left", "right"]
    row: int = Field(ge=1, le=20)
    title: str = ""
    start: float = Field(default=0.0, ge=-20.0, le=20.0)
    notes: list[str] | None = None
    press: list[str] | None = None
    draw: list[str] | None = None
    keys: int | None = Field(default=None, ge=1, le=40)

    @model_validator(mode="after")
    def _has_one_kind_of_contents(self) -> "_RowForm":
        kinds = "notes (both directions alike), press and draw, press alone, or keys (blank form)"
        given = [
            name for name in ("notes", "press", "draw", "keys") if getattr(self, name) is not None
        ]
        if given not in (["notes"], ["press"], ["press", "draw"], ["keys"]):
            found = " and ".join(given) or "none"
            raise ValueError(f"a row is written with {kinds}, got {found}; keep one kind")
        if self.press is not None and self.draw is not None and len(self.press) != len(self.draw):
            raise ValueError(
                "press and draw list the same buttons, got "
                f"{len(self.press)} and {len(self.draw)}; write {NO_REED!r} where there is no reed"
            )
        if [] in (self.notes, self.press, self.draw):
            raise ValueError("a row has at least one button, got an empty list; remove the row")
        return self


class _ButtonForm(Form):
    key: str
    note: str | None = None
    press: str | None = None
    draw: str | None = None

    @model_validator(mode="after")
    def _says_something(self) -> "_ButtonForm":
        if self.note is None and self.press is None and self.draw is None:
            raise ValueError(f"a button gives note, press or draw, {self.key} gives none; add one")
        if self.note is not None and (self.press is not None or self.draw is not None):
            raise ValueError(
                f"a button gives note or else press and draw, {self.key} gives both; keep one"
            )
        return self


class _ChambersForm(Form):
    left: list[str] = Field(default_factory=list)
    right: list[str] = Field(default_factory=list)


class _LayoutForm(Form):
    layout: str
    title: str = Field(min_length=1)
    system: Literal["english", "anglo", "duet"]
    action: Literal["double", "single"]
    sides: int = Field(default=6, ge=4, le=12)
    air_button: Literal["left", "right", "none"] = "none"
    home_keys: Literal[HOME_KEYS] | None = None  # type: ignore[valid-type]
    evidence_mark: Literal["published", "common practice", "memory", "derived", "taught", "own"]
    confidence: Literal["high", "medium", "low"]
    evidence: str = Field(min_length=1)
    row_order: list[int] | None = None
    row: list[_RowForm] = Field(min_length=1)
    button: list[_ButtonForm] = Field(default_factory=list)
    chambers: _ChambersForm = Field(default_factory=_ChambersForm)

    @field_validator("layout")
    @classmethod
    def _is_a_slug(cls, name: str) -> str:
        if not re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", name):
            raise ValueError(
                "the name of a layout is small letters and digits with hyphens between, "
                f"got {name!r}; write it like english-treble-48"
            )
        return name


def layout_names() -> tuple[str, ...]:
    """Return the slugs of the layouts shipped with the program, in alphabetical order."""
    return tuple(
        sorted(
            entry.name.removesuffix(".toml")
            for entry in _SHIPPED.iterdir()
            if entry.name.endswith(".toml")
        )
    )


def load_layout(
    name_or_path: str | Path,
    *,
    home_keys: str | None = None,
    row_order: Sequence[int] | None = None,
) -> Layout:
    """Return a layout by its shipped name, or from a user's own file.

    A value that ends in ``.toml`` is a file; anything else is a name. An Anglo's
    name may carry other home keys than the table's: ``anglo-30-a-gd`` is G/D,
    ``anglo-30-a-bbf`` Bb/F, ``anglo-30-a-csgs`` C#/G#, and ``-low`` or ``-high``
    after it an octave below or above the nearest transposition.

    Parameters
    ----------
    home_keys : str, optional
        Such as ``G/D``, for an Anglo; the nearest transposition is taken.
    row_order : sequence of int, optional
        The table's row numbers from the thumb or the rail outwards, in place of
        the ``row_order`` of the file: see ``instrument.rows``.

    Raises
    ------
    NotFound
        If no layout has that name, or the file does not exist.
    LayoutError
        If the file does not describe an instrument; the message gives the place.
    InputError
        If the home keys cannot be had.
    """
    path = Path(name_or_path)
    octaves = 0
    if path.suffix == ".toml":
        text, place = file_text(path, error=LayoutError), path.name
    else:
        name, keys_of_name, octaves = _shipped_name(str(name_or_path))
        if home_keys and keys_of_name and home_keys != keys_of_name:
            raise InputError(
                f"home keys are given once, got {keys_of_name} in {str(name_or_path)!r} and "
                f"{home_keys}; leave one out"
            )
        home_keys = home_keys or keys_of_name
        shipped = _SHIPPED / f"{name}.toml"
        text, place = shipped.read_text("utf-8"), shipped.name
    layout = layout_from_toml(text, place=place, row_order=row_order)
    return in_home_keys(layout, home_keys, octaves=octaves) if home_keys else layout


def _shipped_name(name: str) -> tuple[str, str | None, int]:
    """Return the shipped layout, the home keys and the octaves that a slug asks for."""
    names = layout_names()
    if name in names:
        return name, None, 0
    for base in names:
        keys, _, height = name.removeprefix(f"{base}-").partition("-")
        if base.startswith("anglo") and keys in _HOME_KEYS and height in _OCTAVES:
            return base, _HOME_KEYS[keys], _OCTAVES[height]
    raise NotFound(
        f"a layout is named by its slug or by a .toml file, {name!r} is neither; "
        f"the layouts are {', '.join(names)}, and an Anglo's other home keys are written "
        "like anglo-30-a-gd"
    )


def layout_from_toml(text: str, *, place: str, row_order: Sequence[int] | None = None) -> Layout:
    """Return the layout that a TOML text describes; ``place`` names the file in messages.

    Raises
    ------
    LayoutError
        If the text is not TOML, has an unknown or missing field, a note that is
        not spelled, a row given twice, or no keys.
    """
    table = toml_table(text, place=place, error=LayoutError)
    form = checked(
        _LayoutForm, table, place=place, error=LayoutError, named=lambda at: _where(table, at)
    )
    keys: list[Key] = []
    for number, row in enumerate(form.row, start=1):
        where = f"{place}, row {number} ({row.side} {row.row})"
        if any(key.side.value == row.side and key.row == row.row for key in keys):
            raise LayoutError(
                f"{where}: each row may be written once, {row.side} row {row.row} is there "
                "already; renumber or remove one"
            )
        keys.extend(_row_keys(row, Action(form.action), where))
    order = row_order or form.row_order
    try:
        layout = Layout(
            layout=form.layout,
            title=form.title,
            action=Action(form.action),
            keys=tuple(keys),
            evidence=form.evidence.strip(),
            system=System(form.system),
            sides=form.sides,
            air_button=None if form.air_button == "none" else Side(form.air_button),
            home_keys=form.home_keys,
            rows=tuple(Row(Side(r.side), r.row, r.title, r.start) for r in form.row),
            evidence_mark=EvidenceMark(form.evidence_mark),
            confidence=Confidence(form.confidence),
        )
        layout = reorder_rows(layout, order) if order else layout
    except LayoutError as reason:
        raise LayoutError(f"{place}: {reason}") from None
    layout = _with_buttons(layout, form.button, place=place)
    try:
        return replace(
            layout,
            left_chambers=tuple(form.chambers.left),
            right_chambers=tuple(form.chambers.right),
        )
    except LayoutError as reason:
        raise LayoutError(f"{place}, chambers: {reason}") from None


def _row_keys(row: _RowForm, action: Action, where: str) -> list[Key]:
    side = Side(row.side)
    if row.keys is not None:
        press: list[SpelledNote | None] = [None] * row.keys
        draw = press
    elif row.notes is not None:
        press = _notes(row.notes, f"{where}, notes")
        draw = press
    else:
        press = _notes(row.press or [], f"{where}, press")
        draw = _notes(row.draw or [NO_REED] * len(press), f"{where}, draw")
    if action is Action.SINGLE and row.draw is None:
        draw = [None] * len(press)
    return [
        Key(key_identifier(side, row.row, position), side, row.row, position, pressed, drawn)
        for position, (pressed, drawn) in enumerate(zip(press, draw, strict=True), start=1)
    ]


def _with_buttons(layout: Layout, buttons: Sequence[_ButtonForm], *, place: str) -> Layout:
    """Return the layout with single buttons overridden."""
    changed = {key.key: key for key in layout.keys}
    written: set[str] = set()
    for number, button in enumerate(buttons, start=1):
        where = f"{place}, button {number} ({button.key})"
        if button.key not in changed:
            raise LayoutError(
                f"{where}: a button changes a key of the rows, {button.key!r} is none of them; "
                f"the keys are {', '.join(changed)}"
            )
        if button.key in written:
            raise LayoutError(
                f"{where}: each button may be changed once, {button.key} is changed twice; keep one"
            )
        written.add(button.key)
        key = changed[button.key]
        press, draw = key.press, key.draw
        if button.note is not None:
            press = _note(button.note, f"{where}, note")
            draw = press if layout.action is Action.DOUBLE else None
        if button.press is not None:
            press = _note(button.press, f"{where}, press")
        if button.draw is not None:
            draw = _note(button.draw, f"{where}, draw")
        changed[button.key] = replace(key, press=press, draw=draw)
    try:
        return replace(layout, keys=tuple(changed.values()))
    except LayoutError as reason:
        raise LayoutError(f"{place}: {reason}") from None


def _notes(written: Sequence[str], where: str) -> list[SpelledNote | None]:
    return [_note(text, f"{where} {number}") for number, text in enumerate(written, start=1)]


def _note(text: str, where: str) -> SpelledNote | None:
    if text.strip() == NO_REED:
        return None
    try:
        note = SpelledNote.parse(text)
    except InputError as reason:
        raise LayoutError(f"{where}: {reason}, or {NO_REED!r} where there is no reed") from None
    if note.pitch_class_name not in CONCERTINA_CHAIN:
        raise LayoutError(
            f"{where}: a note has one of the names {' '.join(CONCERTINA_CHAIN)}, got {text!r}; "
            f"write {on_concertina_chain(note)}"
        )
    return note


def _where(table: dict[str, Any], location: Sequence[str | int]) -> str:
    """Return the place of a fault in words: ``, row 3 (left 2), notes 4``."""
    words = ""
    for step in location:
        words += f" {step + 1}" if isinstance(step, int) else f", {step}"
        if isinstance(step, int) and location[:2] == ("row", step):
            row = table["row"][step]
            if isinstance(row, dict):
                words += f" ({row.get('side', 'no side')} {row.get('row', 'no number')})"
    return words
