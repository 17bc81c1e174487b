"""``reedwright check``: prove the workshop file whole."""

import argparse

from reedwright.cli.options import add_json, add_workshop
from reedwright.cli.plain import plain, print_json
from reedwright.cli.progress import progress_bar
from reedwright.cli.tools import Tools
from reedwright.jobs.ports import CheckReport

__all__ = ["add_arguments", "print_report", "run"]

_PROBLEMS_FOUND = 5


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    add_workshop(parser)
    add_json(parser)


def run(arguments: argparse.Namespace, tools: Tools) -> int:
    """Read everything, change nothing, and say what is wrong."""
    with progress_bar("Checking") as progress:
        report = tools.workshop_files().check_workshop(
            tools.workshop_location(arguments.workshop), progress=progress
        )
    print_report(report, is_json=arguments.json)
    return _PROBLEMS_FOUND if report.problems else 0


def print_report(report: CheckReport, *, is_json: bool) -> None:
    """Print the health of a workshop file."""
    if is_json:
        result = plain(report)
        assert isinstance(result, dict)  # noqa: S101 - a dataclass becomes a dict
        print_json({**result, "records": dict(report.records)})
        return
    for problem in report.problems:
        print(f"{problem.subject}: {problem.statement} {problem.remedy}")
    counted = ", ".join(f"{count} {table}" for table, count in report.records if count)
    state = f"{len(report.problems)} problems" if report.problems else "whole"
    print(f"{report.workshop}: {state}; schema {report.schema}; {counted or 'empty'}.")
