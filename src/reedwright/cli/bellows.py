"""``reedwright bellows``: from wanted sizes to parts, air, templates, and whether it folds."""

import argparse
from dataclasses import replace
from pathlib import Path

from reedwright.bellows import compare_folds, design_bellows
from reedwright.bellows.model import (
    BellowsDesign,
    BellowsFigures,
    FoldsCompared,
    Layers,
    PeakRuns,
    Slack,
    WantedBellows,
)
from reedwright.bellows.summary import summary_lines
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
from reedwright.errors import InputError

__all__ = ["add_arguments", "print_design", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.add_argument("--sides", type=int, required=True, metavar="N", help="4 to 12")
    parser.add_argument("--folds", type=int, required=True, metavar="K", help="peaks of one side")
    parser.add_argument(
        "--across-flats-mm", type=float, required=True, metavar="MM", help="of the closed peaks"
    )
    parser.add_argument(
        "--depth-mm", type=float, required=True, metavar="MM", help="of a card, peak to valley"
    )
    parser.add_argument(
        "--opening-deg",
        type=float,
        metavar="DEGREES",
        help="one card's tilt at full opening, half the angle of a fold (default: 45, as "
        "traditional moulds have; 35 is cautious)",
    )
    parser.add_argument(
        "--slack",
        choices=[slack.value for slack in Slack],
        default=Slack.PEAK.value,
        help="where a corner takes up its slack (default: peak)",
    )
    parser.add_argument(
        "--peak-runs",
        choices=[runs.value for runs in PeakRuns],
        default=PeakRuns.SIDE.value,
        help="leather over the peaks in a piece for each side, or one round each fold "
        "(default: side)",
    )
    parser.add_argument(
        "--packing-mm", type=float, default=0.0, metavar="MM",
        help="what half a closed fold keeps beyond its layers (default: 0)",
    )  # fmt: skip
    parser.add_argument(
        "--chambers-l", type=float, default=0.0, metavar="L",
        help="air of chambers and wells, shut in with that of the bellows (default: 0)",
    )  # fmt: skip
    parser.add_argument(
        "--compare", metavar="FOLDS", help="set other numbers of folds beside it, such as 5,6,7"
    )
    parser.add_argument(
        "--plot", type=Path, metavar="FILE", help="with --compare: draw it, as .svg or .pdf"
    )
    add_layers(parser)
    add_outputs(parser)


def run(arguments: argparse.Namespace, tools: Tools) -> int:
    """Design it, write what is asked for, print it."""
    figures = tools.bellows_figures(arguments.figures)
    wanted = WantedBellows(
        sides=arguments.sides,
        folds=arguments.folds,
        across_flats_mm=arguments.across_flats_mm,
        depth_mm=arguments.depth_mm,
        layers=_packed(arguments, figures),
        allowances=chosen_allowances(arguments, figures),
        opening_deg=figures.usual_opening_deg
        if arguments.opening_deg is None
        else arguments.opening_deg,
        slack=Slack(arguments.slack),
        peak_runs=PeakRuns(arguments.peak_runs),
        chambers_l=arguments.chambers_l,
    )
    design = design_bellows(
        wanted, compared_deg=(figures.usual_opening_deg, figures.cautious_opening_deg)
    )
    compared = (
        compare_folds(wanted, _folds(arguments.compare), figures) if arguments.compare else ()
    )
    written = write_outputs(arguments, tools, design, figures)
    playing = (
        f"a chord of {figures.chord_notes:g} notes at {figures.air_l_s_per_note:g} L/s each, "
        f"{100.0 * figures.stroke_share:.0f} % of the stroke"
    )
    if arguments.plot:
        if not compared:
            raise InputError("a plot sets folds side by side, got none; add --compare 5,6,7")
        written.append(tools.write_fold_plot(compared, arguments.plot, playing=playing))
    if arguments.json:
        result = plain(design)
        assert isinstance(result, dict)  # noqa: S101 - a dataclass becomes a dict
        files = [str(path) for path in written]
        print_json({**result, "compared": plain(compared), "written": plain(files)})
        return 0
    print_design(design)
    if compared:
        _print_comparison(compared, playing)
    for path in written:
        print(f"Written: {path}")
    return 0


def print_design(design: BellowsDesign) -> None:
    """Print a design: the main lines, the openings, the parts, and what to look out for."""
    for name, words in summary_lines(design):
        print(f"{name:>15}: {words}")
    print()
    print_table(
        ("opening", "open length mm", "stroke mm", "corner must give mm", "air a stroke L"),
        [
            (
                f"{choice.opening_deg:.4g}°",
                print_number(choice.open_length_mm, decimals=1),
                print_number(choice.stroke_mm, decimals=1),
                print_number(choice.corner_demand_mm, decimals=2),
                print_number(choice.air_per_stroke_l, decimals=2),
            )
            for choice in design.choices
        ],
    )
    print()
    print_table(
        ("part", "pieces n", "size mm", "material", "area cm²"),
        [
            (
                part.title,
                str(part.count),
                f"{part.length_mm:.2f} × {part.width_mm:.2f}",
                part.material,
                print_number(part.area_all_cm2, decimals=0),
            )
            for part in design.parts
        ],
    )
    for caution in design.cautions:
        print(f"Look out ({caution.caution}): {caution.sentence}.")


def _print_comparison(compared: tuple[FoldsCompared, ...], playing: str) -> None:
    print()
    print_table(
        ("folds", "closed mm", "open mm", "stroke mm", "air L", "plays s", "cards n", "hours"),
        [
            (
                str(row.folds),
                print_number(row.closed_length_mm, decimals=1),
                print_number(row.open_length_mm, decimals=1),
                print_number(row.stroke_mm, decimals=1),
                print_number(row.air_per_stroke_l, decimals=2),
                print_number(row.seconds_per_stroke, decimals=1),
                str(row.cards),
                f"{row.hours_low:.0f} to {row.hours_high:.0f}",
            )
            for row in compared
        ],
    )
    print(f"Seconds: {playing}. Hours are a range from memory.")


def _packed(arguments: argparse.Namespace, figures: BellowsFigures) -> Layers:
    return replace(chosen_layers(arguments, figures), packing_mm=arguments.packing_mm)


def _folds(words: str) -> tuple[int, ...]:
    try:
        return tuple(int(word) for word in words.split(","))
    except ValueError:
        raise InputError(
            f"folds to compare are whole numbers and commas, got {words!r}; write 5,6,7"
        ) from None
