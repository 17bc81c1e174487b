"""The only place that knows every part: hands each command what it needs."""

import os
from collections.abc import Sequence

from reedwright.cli.front import run_command

__all__ = ["run"]


def run(words: Sequence[str]) -> int:
    """Run one command and return its exit code."""
    if not words or words[0].startswith("-"):
        return run_command(words, None)
    # The arrays here are small: threads inside the linear algebra only get in each other's
    # way, and in that of our own processes. Must be said before numpy is imported.
    os.environ.setdefault("OMP_NUM_THREADS", "1")
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    from reedwright.wiring.workbench import Workbench

    return run_command(words, Workbench())
