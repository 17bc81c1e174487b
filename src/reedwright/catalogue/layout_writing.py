"""Layouts written out as files that the user can edit and that read back as they are."""

from collections.abc import Sequence
from pathlib import Path

from reedwright.catalogue.layout_file import NO_REED
from reedwright.errors import Conflict, LayoutError
from reedwright.instrument.layout import (
    Action,
    Direction,
    Key,
    Layout,
    Row,
    Side,
    System,
    key_identifier,
)

__all__ = ["layout_toml", "write_layout"]

_HOW_ROWS_LIE = {
    System.ENGLISH: (
        "# Row 1 is nearest the thumb; a row runs from the player's side (low) away from it (high)."
    ),
    System.ANGLO: (
        "# Row 1 is nearest the hand rail; a row runs from left to right as the end lies fretwork\n"
        "# up with the player's side down."
    ),
}
_HOW_ROWS_LIE[System.DUET] = _HOW_ROWS_LIE[System.ANGLO]


def layout_toml(layout: Layout) -> str:
    """Return the layout as the text of a layout file.

    Raises
    ------
    LayoutError
        If a key is not named by its place, or a row has gaps: the file form
        names keys by the place they are written in.
    """
    lines = [
        _HOW_ROWS_LIE[layout.system],
        f"layout = {_quoted(layout.layout)}",
        f"title = {_quoted(layout.title)}",
        f"system = {_quoted(layout.system)}",
        f"action = {_quoted(layout.action)}",
        f"sides = {layout.sides}",
        f"air_button = {_quoted(layout.air_button or 'none')}",
    ]
    if layout.home_keys:
        lines.append(f"home_keys = {_quoted(layout.home_keys)}")
    lines += [
        f"evidence_mark = {_quoted(layout.evidence_mark)}",
        f"confidence = {_quoted(layout.confidence)}",
        f"evidence = {_quoted(layout.evidence)}",
    ]
    for side in Side:
        for number in sorted({key.row for key in layout.side_keys(side)}):
            keys = sorted(
                (key for key in layout.side_keys(side) if key.row == number),
                key=lambda key: key.position,
            )
            lines += ["", *_row(layout, side, number, keys)]
    given = [side for side in Side if layout.chambers(side)]
    if given:
        lines += ["", "[chambers]"]
        lines += [f"{side.value} = {_list(layout.chambers(side))}" for side in given]
    return "\n".join(lines) + "\n"


def write_layout(layout: Layout, path: str | Path, *, overwrite: bool = False) -> None:
    """Write the layout to a file of its own.

    Raises
    ------
    Conflict
        If the file exists and ``overwrite`` is not asked for.
    LayoutError
        As ``layout_toml``; nothing is written then.
    """
    text = layout_toml(layout)
    try:
        with Path(path).open("w" if overwrite else "x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except FileExistsError:
        raise Conflict(
            f"a layout is written to a new file, {path} exists; "
            "give another name, or ask for it to be overwritten"
        ) from None


def _row(layout: Layout, side: Side, number: int, keys: list[Key]) -> list[str]:
    for position, key in enumerate(keys, start=1):
        place = key_identifier(side, number, position)
        if key.key != place:
            raise LayoutError(
                "a layout file names keys by their place, "
                f"key {key.key!r} of {layout.layout!r} would be {place}; rename it"
            )
    said = next(
        (row for row in layout.rows if (row.side, row.row) == (side, number)),
        Row(side, number, "", 0.0),
    )
    lines = ["[[row]]", f"side = {_quoted(side)}", f"row = {number}"]
    if said.title:
        lines.append(f"title = {_quoted(said.title)}")
    if said.start_spacings:
        lines.append(f"start = {said.start_spacings!r}")
    if all(key.press is None and key.draw is None for key in keys):
        lines.append(f"keys = {len(keys)}")
    elif layout.action is Action.SINGLE:
        lines.append(f"press = {_notes(keys, Direction.PRESS)}")
    elif all(key.press == key.draw for key in keys):
        lines.append(f"notes = {_notes(keys, Direction.PRESS)}")
    else:
        lines += [f"{way.value} = {_notes(keys, way)}" for way in Direction]
    return lines


def _notes(keys: list[Key], direction: Direction) -> str:
    return _list([str(key.note(direction) or NO_REED) for key in keys])


def _list(words: Sequence[str]) -> str:
    return "[" + ", ".join(_quoted(word) for word in words) + "]"


def _quoted(text: str) -> str:
    """Return a TOML basic string: quotes, backslashes and control characters escaped."""
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return (
        '"' + "".join(c if c >= " " and c != "\x7f" else f"\\u{ord(c):04x}" for c in escaped) + '"'
    )
