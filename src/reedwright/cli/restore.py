"""``reedwright restore``: bring a backup back."""

import argparse
from pathlib import Path

from reedwright.cli.options import add_json, add_workshop
from reedwright.cli.plain import print_json
from reedwright.cli.progress import progress_bar
from reedwright.cli.tools import Tools

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.add_argument("backup", type=Path, metavar="BACKUP", help="the backup to bring back")
    add_workshop(parser)
    parser.add_argument(
        "--overwrite",
        action="store_true",
        help="put it in the place of the workshop file there is; that one is set aside, not lost",
    )
    add_json(parser)


def run(arguments: argparse.Namespace, tools: Tools) -> int:
    """Verify the backup, put it in place, and say where the old file went."""
    location = tools.workshop_location(arguments.workshop)
    with progress_bar("Restoring") as progress:
        set_aside = tools.workshop_files().restore_workshop(
            str(arguments.backup), location, overwrite=arguments.overwrite, progress=progress
        )
    if arguments.json:
        print_json({"workshop": location, "set_aside": set_aside})
        return 0
    print(f"{location} is the backup {arguments.backup} now.")
    if set_aside is not None:
        print(f"What was there before lies in {set_aside}.")
    return 0
