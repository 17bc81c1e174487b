"""``reedwright parts``: count and weigh the parts of an instrument."""

import argparse

from reedwright.cli.chosen import chosen_layout
from reedwright.cli.options import add_json, add_layout
from reedwright.cli.plain import plain, print_json
from reedwright.cli.tables import print_table
from reedwright.cli.tools import Tools
from reedwright.drawing.numbers import print_with_doubt

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    add_layout(parser)
    parser.add_argument(
        "--frame-metal", choices=["brass", "aluminium"], default="brass", help="(default: brass)"
    )
    parser.add_argument(
        "--folds", type=int, default=6, metavar="N", help="folds of the bellows (default: 6)"
    )
    add_json(parser)


def run(arguments: argparse.Namespace, tools: Tools) -> int:
    """Print every kind of part, how many on each end, and what they weigh."""
    parts = tools.parts(
        chosen_layout(arguments, tools), frame_metal=arguments.frame_metal, folds=arguments.folds
    )
    if arguments.json:
        result = plain(parts)
        assert isinstance(result, dict)  # noqa: S101 - a dataclass becomes a dict
        print_json({**result, "pieces": parts.pieces, "pieces_per_key": parts.pieces_per_key})
        return 0
    print_table(
        ("part", "left n", "right n", "other n", "all n", "mass g", "evidence", "working"),
        [
            (
                line.title,
                *(str(count) if count else "" for count in (line.left, line.right, line.shared)),
                str(line.total),
                f"{line.mass_g:.1f}",
                line.evidence_mark.value,
                line.working,
            )
            for line in parts.lines
        ],
    )
    mass = print_with_doubt(parts.mass_g, parts.mass_doubt_g)
    print(
        f"{parts.pieces} pieces, {parts.pieces_per_key:.0f} of action and reeds for each key; "
        f"{mass} g by estimate. Every figure is a default to be edited."
    )
    return 0
