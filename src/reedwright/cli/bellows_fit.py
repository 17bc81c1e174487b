"""``reedwright bellows-fit``: the design that explains an existing bellows."""

import argparse

from reedwright.bellows.fit import fit_bellows
from reedwright.bellows.fitted import MeasuredBellows
from reedwright.bellows.summary import fit_lines
from reedwright.cli.bellows import print_design
from reedwright.cli.bellows_options import (
    add_layers,
    add_outputs,
    chosen_allowances,
    chosen_layers,
    write_outputs,
)
from reedwright.cli.plain import plain, print_json
from reedwright.cli.tables import print_table
from reedwright.cli.tools import Tools
from reedwright.drawing.numbers import print_number

__all__ = ["add_arguments", "run"]

_MEASURED = (
    ("--card-long-edge-mm", "edge of a card at the peak"),
    ("--card-short-edge-mm", "edge of a card at the valley"),
    ("--depth-mm", "depth of a card, peak to valley"),
    ("--closed-length-mm", "between the frames, closed"),
    ("--open-length-mm", "between the frames, as far as it opens"),
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.add_argument("--sides", type=int, required=True, metavar="N", help="4 to 12")
    parser.add_argument("--folds", type=int, required=True, metavar="K", help="peaks of one side")
    for option, what in _MEASURED:
        parser.add_argument(option, type=float, required=True, metavar="MM", help=what)
    parser.add_argument(
        "--across-flats-mm", type=float, metavar="MM", help="of the closed peaks, if measured"
    )
    for option, default, what in (
        ("--edge-doubt-mm", 0.3, "edges and depth of a card"),
        ("--across-flats-doubt-mm", 1.0, "the across flats"),
        ("--closed-length-doubt-mm", 1.0, "the closed length"),
        ("--open-length-doubt-mm", 3.0, "the open length"),
    ):
        parser.add_argument(
            option,
            type=float,
            default=default,
            metavar="MM",
            help=f"one-sigma doubt of {what} (default: {default:g})",
        )
    add_layers(parser)
    add_outputs(parser)


def run(arguments: argparse.Namespace, tools: Tools) -> int:
    """Find the design, write what is asked for, print it with its misfit."""
    figures = tools.bellows_figures(arguments.figures)
    fit = fit_bellows(
        MeasuredBellows(
            sides=arguments.sides,
            folds=arguments.folds,
            card_long_edge_mm=arguments.card_long_edge_mm,
            card_short_edge_mm=arguments.card_short_edge_mm,
            depth_mm=arguments.depth_mm,
            closed_length_mm=arguments.closed_length_mm,
            open_length_mm=arguments.open_length_mm,
            across_flats_mm=arguments.across_flats_mm,
            layers=chosen_layers(arguments, figures),
            allowances=chosen_allowances(arguments, figures),
            edge_doubt_mm=arguments.edge_doubt_mm,
            across_flats_doubt_mm=arguments.across_flats_doubt_mm,
            closed_length_doubt_mm=arguments.closed_length_doubt_mm,
            open_length_doubt_mm=arguments.open_length_doubt_mm,
        )
    )
    written = write_outputs(arguments, tools, fit.design, figures)
    if arguments.json:
        result = plain(fit)
        assert isinstance(result, dict)  # noqa: S101 - a dataclass becomes a dict
        print_json({**result, "written": plain([str(path) for path in written])})
        return 0
    for line in fit_lines(fit):
        print(line)
    print()
    print_table(
        ("measured or usual", "measured mm", "explained mm", "off mm", "doubt mm"),
        [
            (
                misfit.quantity,
                print_number(misfit.measured_mm, decimals=2),
                print_number(misfit.explained_mm, decimals=2),
                print_number(misfit.difference_mm, decimals=2, is_offset=True),
                print_number(misfit.doubt_mm, decimals=1),
            )
            for misfit in fit.misfits
        ],
    )
    print()
    print_design(fit.design)
    for path in written:
        print(f"Written: {path}")
    return 0
