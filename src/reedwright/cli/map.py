"""``reedwright map``: draw both ends or the reed pans, with a job's cents if one is named."""

import argparse
from pathlib import Path

from reedwright.cli.chosen import assess_by_options, chosen_layout
from reedwright.cli.options import add_job, add_json, add_layout_changes, add_scheme
from reedwright.cli.plain import print_json
from reedwright.cli.tools import Tools
from reedwright.errors import InputError
from reedwright.instrument.target import ReedOffset
from reedwright.jobs.keeping import find_instrument, find_job, latest_survey
from reedwright.tuning import Tolerance

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.add_argument(
        "picture", type=Path, metavar="PICTURE", help="the .svg file to write (two for the pans)"
    )
    parser.add_argument("--layout", metavar="NAME", help="draw this layout, with no readings")
    add_layout_changes(parser)
    parser.add_argument("--pan", action="store_true", help="the reed pans instead of the ends")
    parser.add_argument(
        "--from-inside", action="store_true", help="mirrored, as seen from inside the instrument"
    )
    add_job(parser, is_required=False)
    add_scheme(parser)
    add_json(parser)


def run(arguments: argparse.Namespace, tools: Tools) -> int:
    """Write the drawings and say where they are and what they show."""
    if (arguments.layout is None) == (arguments.job is None):
        raise InputError("a map is drawn of one thing; give either --layout or --job")
    offsets: tuple[ReedOffset, ...] = ()
    if arguments.job is None:
        layout = chosen_layout(arguments, tools)
    else:
        with tools.workshop(arguments.workshop) as store:
            instrument = find_instrument(store, find_job(store, arguments.job))
            survey = latest_survey(store, instrument).survey
        layout = instrument.layout
        offsets = assess_by_options(arguments, tools, layout, survey).offsets
    written = tools.write_map(
        layout,
        offsets,
        arguments.picture,
        tolerance=Tolerance(arguments.tolerance_cents, arguments.outer_tolerance_cents),
        is_pan=arguments.pan,
        is_from_inside=arguments.from_inside,
    )
    if arguments.json:
        print_json({"pictures": [str(path) for path in written]})
        return 0
    for path in written:
        print(f"Drawn: {path}")
    return 0
