"""``reedwright layouts``: list, show, check or learn layouts."""

import argparse
from pathlib import Path

from reedwright.cli.chosen import chosen_layout
from reedwright.cli.options import add_json, add_layout_changes
from reedwright.cli.plain import plain, print_json
from reedwright.cli.tables import print_table
from reedwright.cli.tools import Tools
from reedwright.errors import InputError, RecordingError
from reedwright.instrument.layout import Layout, Side
from reedwright.instrument.note import SpelledNote
from reedwright.instrument.orders import SURVEY_ORDERS
from reedwright.instrument.teach import teach_layout, teaching_order, tones_in_order
from reedwright.listening import listen

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.add_argument(
        "layout",
        nargs="?",
        metavar="NAME",
        help="a shipped layout, one in other home keys such as anglo-30-a-gd, or your own .toml "
        "file, which is checked; without a name all are listed",
    )
    add_layout_changes(parser)
    parser.add_argument(
        "--write", type=Path, metavar="FILE", help="write the layout as a file to edit"
    )
    parser.add_argument(
        "--learn",
        type=Path,
        metavar="RECORDING",
        help="fill the blank form NAME from a recording of every button by row, left end first, "
        "each press then draw; needs --write",
    )
    parser.add_argument(
        "--a4-hz", type=float, default=440.0, metavar="HZ",
        help="with --learn: the A4 the instrument stands at (default: 440)",
    )  # fmt: skip
    parser.add_argument(
        "--silent", default="", metavar="KEY:DIRECTION,...",
        help="with --learn: the reeds that did not speak",
    )  # fmt: skip
    add_json(parser)


def run(arguments: argparse.Namespace, tools: Tools) -> int:
    """List all, or show, write or fill the one that is named."""
    if arguments.layout is None:
        if arguments.write or arguments.learn:
            raise InputError("--write and --learn need a layout; name one, such as anglo-20")
        return _list(tools, is_json=arguments.json)
    layout = chosen_layout(arguments, tools)
    doubts: tuple[str, ...] = ()
    if arguments.learn:
        layout, doubts = _learnt(arguments, tools, layout)
    if arguments.write:
        tools.write_layout(layout, arguments.write)
    if arguments.json:
        print_json({"layout": plain(layout), "doubts": list(doubts)})
        return 0
    _show(layout)
    for doubt in doubts:
        print(doubt)
    if arguments.write:
        print(f"Written to {arguments.write}.")
    return 0


def _list(tools: Tools, *, is_json: bool) -> int:
    layouts = [tools.layout(name) for name in tools.layout_names()]
    if is_json:
        print_json({"layouts": [plain(layout) for layout in layouts]})
        return 0
    print_table(
        ("layout", "what it is", "keys n", "reeds n", "action", "how sure"),
        [
            (
                layout.layout,
                layout.title,
                str(len(layout.keys)),
                str(len(layout.reeds())) if layout.reeds() else "blank",
                layout.action.value,
                f"{layout.confidence.value}: {layout.evidence_mark.value}",
            )
            for layout in layouts
        ],
    )
    print("A layout says what is usual, never what your instrument must be.")
    return 0


def _show(layout: Layout) -> None:
    print(f"{layout.title} ({layout.layout}), {layout.action.value} action")
    print(layout.evidence)
    rows = sorted(
        {(key.side, key.row) for key in layout.keys}, key=lambda r: (r[0] != Side.LEFT, r[1])
    )
    for side, row in rows:
        notes = [
            _notes(key.press, key.draw) for key in layout.keys if (key.side, key.row) == (side, row)
        ]
        print(f"  {side.value:5} row {row}:  {'  '.join(notes)}")
    print("Survey orders:")
    for order, explanation in SURVEY_ORDERS.items():
        print(f"  {order}: {explanation}")


def _notes(press: SpelledNote | None, draw: SpelledNote | None) -> str:
    if press == draw:
        return press.printed if press is not None else "·"
    return "/".join(note.printed if note is not None else "·" for note in (press, draw))


def _learnt(
    arguments: argparse.Namespace, tools: Tools, form: Layout
) -> tuple[Layout, tuple[str, ...]]:
    """Return the form filled from a recording in the teaching order, and what is in doubt."""
    if not arguments.write:
        raise InputError("a learnt layout must be written; name the file with --write")
    places = teaching_order(form)
    silent = {word.strip() for word in arguments.silent.split(",") if word.strip()}
    unknown = silent - {f"{reed.key}:{reed.direction.value}" for reed in places}
    if unknown:
        raise InputError(
            f"a silent reed is written KEY:DIRECTION, got {', '.join(sorted(unknown))}; "
            f"{form.layout} has keys such as {places[0].key}"
        )
    with tools.spread(arguments.learn) as spread, tools.recording(arguments.learn, "mix") as sound:
        tones = list(listen(sound, spread=spread))
    sounding = [reed for reed in places if f"{reed.key}:{reed.direction.value}" not in silent]
    if len(tones) != len(sounding):
        raise RecordingError(
            f"to learn {form.layout} one note for each place is needed, {len(sounding)} in all, "
            f"{len(tones)} were heard; play each once by row, left end first, press then draw, "
            "and name those that do not speak with --silent"
        )
    heard = iter(tones)
    frequencies = [next(heard).frequency_hz if reed in set(sounding) else None for reed in places]
    taught = teach_layout(
        form,
        tones_in_order(form, frequencies),
        a4_hz=arguments.a4_hz,
        layout=arguments.write.stem,
        title=f"{form.title}, as learnt",
    )
    return taught.layout, taught.doubts
