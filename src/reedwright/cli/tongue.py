"""``reedwright tongue``: what a tongue of given sections sounds, and where to file it."""

import argparse
from pathlib import Path

from reedwright.cli.options import add_json
from reedwright.cli.plain import plain, print_json
from reedwright.cli.tools import Tools
from reedwright.reedwork import examine_tongue

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.add_argument(
        "--profile",
        type=Path,
        required=True,
        metavar="FILE",
        help="TOML with youngs_modulus_pa, density_kg_m3, [[station]] tables of x_mm, "
        "thickness_mm, width_mm from root to tip, and optionally tip_mass_mg",
    )
    add_json(parser)


def run(arguments: argparse.Namespace, tools: Tools) -> int:
    """Solve the beam and print its frequencies and its neutral point."""
    modes = examine_tongue(tools.tongue(arguments.profile))
    if arguments.json:
        result = plain(modes)
        assert isinstance(result, dict)  # noqa: S101 - a dataclass becomes a dict
        print_json(result)
        return 0
    first = modes.frequencies_hz[0]
    for number, frequency_hz in enumerate(modes.frequencies_hz, start=1):
        print(f"mode {number}: {frequency_hz:10.2f} Hz   {frequency_hz / first:7.3f} of the first")
    print(
        f"Metal off at {modes.neutral_point_fraction:.3f} of the length from the root "
        f"({modes.neutral_point_mm:.1f} mm) leaves the pitch unchanged; nearer the tip raises it, "
        "nearer the root lowers it."
    )
    return 0
