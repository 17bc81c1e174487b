"""Options that the commands of bellows share: layers, gaps, and what to write."""

import argparse
from dataclasses import replace
from pathlib import Path

from reedwright.bellows.model import Allowances, BellowsDesign, BellowsFigures, Layers
from reedwright.cli.options import add_json
from reedwright.cli.tools import Tools
from reedwright.errors import InputError

__all__ = [
    "add_layers",
    "add_outputs",
    "chosen_allowances",
    "chosen_layers",
    "write_outputs",
]

_ALLOWANCES = (
    ("peak_gap_mm", "left open at a peak corner at full opening"),
    ("valley_gap_mm", "left at a closed valley corner beyond the cards' thickness"),
    ("strip_margin_mm", "how far strips and hinges are glued on each card"),
    ("gusset_margin_mm", "how far gussets are glued on each card"),
    ("strip_overlap_mm", "added to the length of each strip"),
    ("end_run_on_frame_mm", "how far an end run reaches on to the frame"),
    ("frame_wall_mm", "thickness of the frame's wood in plan"),
    ("frame_depth_mm", "depth of the frame along the bellows"),
)


def add_layers(parser: argparse.ArgumentParser) -> None:
    """Add the thicknesses, the gaps and margins, and the file their defaults come from."""
    for name, what in (
        ("card", "card"),
        ("cloth", "hinge cloth"),
        ("strip", "strip leather"),
        ("gusset", "gusset leather"),
    ):
        parser.add_argument(
            f"--{name}-mm", type=float, metavar="MM", help=f"thickness of the {what}"
        )
    for name, what in _ALLOWANCES:
        parser.add_argument(f"--{name.replace('_', '-')}", type=float, metavar="MM", help=what)
    parser.add_argument(
        "--figures",
        type=Path,
        metavar="FILE",
        help="your own materials and allowances, in the form of the shipped bellows.toml, which "
        "holds every default left out here",
    )


def add_outputs(parser: argparse.ArgumentParser) -> None:
    """Add the files to write, and ``--json``."""
    parser.add_argument(
        "--template",
        type=Path,
        metavar="FILE",
        help="write the templates at true size, as .pdf, .dxf or .svg",
    )
    parser.add_argument(
        "--page",
        choices=["a4", "letter", "a3"],
        default="a4",
        help="the printer's sheet; larger templates come in tiles (default: a4)",
    )
    parser.add_argument(
        "--packed",
        metavar="WIDTHxHEIGHT",
        help="with --template: all pieces packed on sheets of this size in mm, such as 297x420, "
        "the grain along the longer side, in place of one of each",
    )
    parser.add_argument(
        "--gap-mm",
        type=float,
        default=2.0,
        metavar="MM",
        help="with --packed: between pieces (default: 2)",
    )
    parser.add_argument(
        "--picture", type=Path, metavar="FILE", help="draw the bellows in space, as .svg or .pdf"
    )
    parser.add_argument(
        "--at-deg",
        type=float,
        metavar="DEGREES",
        help="with --picture: how far it is open (default: full)",
    )
    add_json(parser)


def chosen_layers(arguments: argparse.Namespace, figures: BellowsFigures) -> Layers:
    """Return the layers asked for, the others from the figures."""
    given = {
        name: getattr(arguments, name)
        for name in ("card_mm", "cloth_mm", "strip_mm", "gusset_mm")
        if getattr(arguments, name) is not None
    }
    return replace(figures.layers, **given)


def chosen_allowances(arguments: argparse.Namespace, figures: BellowsFigures) -> Allowances:
    """Return the gaps and margins asked for, the others from the figures."""
    given = {
        name: getattr(arguments, name)
        for name, _ in _ALLOWANCES
        if getattr(arguments, name) is not None
    }
    return replace(figures.allowances, **given)


def write_outputs(
    arguments: argparse.Namespace, tools: Tools, design: BellowsDesign, figures: BellowsFigures
) -> list[Path]:
    """Write the files asked for and return where they are."""
    written = []
    if arguments.packed and not arguments.template:
        raise InputError(
            "packed sheets are written to a file, got --packed alone; add --template FILE"
        )
    if arguments.template:
        written.append(
            tools.write_bellows_templates(
                design,
                figures,
                arguments.template,
                page=arguments.page,
                packed_mm=_sheet(arguments.packed),
                gap_mm=arguments.gap_mm,
            )
        )
    if arguments.picture:
        opening_deg = design.wanted.opening_deg if arguments.at_deg is None else arguments.at_deg
        written.append(
            tools.write_bellows_picture(design, arguments.picture, opening_deg=opening_deg)
        )
    return written


def _sheet(words: str | None) -> tuple[float, float] | None:
    if words is None:
        return None
    try:
        width_mm, height_mm = (float(word) for word in words.lower().split("x"))
    except ValueError:
        raise InputError(
            f"a sheet is written WIDTHxHEIGHT in mm, got {words!r}; A3 is 297x420"
        ) from None
    return width_mm, height_mm
