"""The front door: which command is asked for, and what is said when it refuses."""

import argparse
import sys
from collections.abc import Sequence
from importlib import import_module
from typing import TYPE_CHECKING, Protocol

from reedwright import __version__
from reedwright.cli import COMMANDS
from reedwright.errors import Conflict, FileError, InputError, NotFound, ReedwrightError

if TYPE_CHECKING:
    from reedwright.cli.tools import Tools

__all__ = ["CommandModule", "run_command"]

_EXIT_CODES: tuple[tuple[type[ReedwrightError], int], ...] = (
    (InputError, 2),
    (NotFound, 3),
    (Conflict, 4),
    (FileError, 5),
)


class CommandModule(Protocol):
    """What each command's module holds."""

    def add_arguments(self, parser: argparse.ArgumentParser) -> None:
        """Declare the command's own arguments."""
        ...

    def run(self, arguments: argparse.Namespace, tools: "Tools") -> int:
        """Do the work and return the exit code."""
        ...


def run_command(words: Sequence[str], tools: "Tools | None") -> int:
    """Run the command that ``words`` ask for and return its exit code.

    ``tools`` may be None when only help or the version is asked for.
    """
    asked = next((c for c in COMMANDS if words and c.command == words[0]), None)
    if asked is None:
        _top_parser().parse_args(list(words) or ["--help"])
        return 0
    module: CommandModule = import_module(f"reedwright.cli.{asked.module}")
    parser = argparse.ArgumentParser(prog=f"reedwright {asked.command}", description=asked.summary)
    module.add_arguments(parser)
    arguments = parser.parse_args(list(words[1:]))
    assert tools is not None, "a command needs its tools"  # noqa: S101 - a mistake of ours
    try:
        return module.run(arguments, tools)
    except ReedwrightError as error:
        print(f"reedwright {asked.command}: {error}", file=sys.stderr)
        return next((code for kind, code in _EXIT_CODES if isinstance(error, kind)), 1)
    except BrokenPipeError:
        # The reader of our output went away (``| head``): nothing is wrong.
        sys.stderr.close()
        return 0


def _top_parser() -> argparse.ArgumentParser:
    width = max(len(command.command) for command in COMMANDS)
    listed = "\n".join(f"  {c.command:<{width}}  {c.summary}" for c in COMMANDS)
    parser = argparse.ArgumentParser(
        prog="reedwright",
        description="The concertina repairer's workshop tool.",
        epilog=f"commands:\n{listed}\n\n'reedwright COMMAND --help' says more of each.",
        formatter_class=argparse.RawDescriptionHelpFormatter,
        usage="reedwright COMMAND ...",
    )
    parser.add_argument("--version", action="version", version=f"reedwright {__version__}")
    parser.add_argument(
        "command", choices=[c.command for c in COMMANDS], metavar="COMMAND", help="see below"
    )
    return parser
