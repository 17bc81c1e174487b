"""``reedwright backup``: copy the workshop file, and prove the copy."""

import argparse
from pathlib import Path

from reedwright.cli.check import print_report
from reedwright.cli.options import add_json, add_workshop
from reedwright.cli.progress import progress_bar
from reedwright.cli.tools import Tools

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.add_argument("target", type=Path, metavar="TARGET", help="the new file to write")
    add_workshop(parser)
    add_json(parser)


def run(arguments: argparse.Namespace, tools: Tools) -> int:
    """Write the copy and report on it."""
    with progress_bar("Copying") as progress:
        report = tools.workshop_files().backup_workshop(
            tools.workshop_location(arguments.workshop), str(arguments.target), progress=progress
        )
    print_report(report, is_json=arguments.json)
    return 0
