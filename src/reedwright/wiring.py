"""The only place that knows every part: hands each command what it needs."""

from collections.abc import Sequence

__all__ = ["run"]


def run(arguments: Sequence[str]) -> int:
    """Run one command and return its exit code."""
    from reedwright.cli import parser

    parser().parse_args(list(arguments))
    return 0
