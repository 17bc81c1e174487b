"""Options of the commands at the bench: reeds, measured tongues, tools, grades."""

import argparse
from collections.abc import Sequence
from pathlib import Path

from reedwright.cli.options import add_job, add_json
from reedwright.cli.tools import Tools
from reedwright.errors import InputError
from reedwright.instrument.layout import Direction, Layout, Reed
from reedwright.jobs.filing_work import TongueSource, job_bench
from reedwright.jobs.ports import InstrumentRecord, WorkshopStore
from reedwright.reedwork.bench_kit import BenchKit
from reedwright.reedwork.model import Tongue
from reedwright.reedwork.visit import BenchState
from reedwright.tuning import Tolerance

__all__ = [
    "add_bench",
    "add_profiles",
    "bench_of_job",
    "kit_of",
    "measured_tongues",
    "reed_named",
    "tongue_source",
]


def add_bench(parser: argparse.ArgumentParser) -> None:
    """Add the job, the grade of tolerance, measured tongues and own files of tools and habits."""
    add_job(parser, is_required=True)
    parser.add_argument(
        "--grade",
        metavar="NAME",
        help="a grade of tolerance, such as usual (2 cents) or fine (1 cent); default: the "
        "tolerance kept with the targets",
    )
    add_profiles(parser)
    parser.add_argument(
        "--tools", type=Path, metavar="FILE", help="your own files and scrapers (tools.toml)"
    )
    parser.add_argument(
        "--bench-rules", type=Path, metavar="FILE", help="your own bench habits (bench_rules.toml)"
    )
    add_json(parser)


def add_profiles(parser: argparse.ArgumentParser) -> None:
    """Add the measured tongues."""
    parser.add_argument(
        "--profile",
        action="append",
        default=[],
        metavar="KEY:DIRECTION=FILE",
        help="a measured tongue, such as L2.3:press=tongue.toml; may be given several times",
    )


def reed_named(word: str, layout: Layout) -> Reed:
    """Return the reed written as KEY:DIRECTION."""
    key, _, direction = word.partition(":")
    if direction not in set(Direction):
        raise InputError(f"a reed is written KEY:DIRECTION, got {word!r}; write it like L2.3:press")
    reed = Reed(key, Direction(direction))
    if reed not in layout.reeds():
        raise InputError(
            f"a reed must be one of the layout, {layout.layout!r} has no {key} {direction}; "
            f"'layouts {layout.layout}' lists them"
        )
    return reed


def measured_tongues(written: Sequence[str], tools: Tools, layout: Layout) -> dict[Reed, Tongue]:
    """Return the tongues of ``--profile`` by their reeds."""
    tongues = {}
    for word in written:
        place, _, file = word.partition("=")
        if not file:
            raise InputError(
                f"a measured tongue is given as KEY:DIRECTION=FILE, got {word!r}; "
                "write it like L2.3:press=tongue.toml"
            )
        tongues[reed_named(place, layout)] = tools.tongue(Path(file))
    return tongues


def kit_of(arguments: argparse.Namespace, tools: Tools) -> BenchKit:
    """Return tools and habits, the user's own or the shipped."""
    return tools.bench_kit(arguments.tools, arguments.bench_rules)


def tongue_source(
    arguments: argparse.Namespace, tools: Tools, instrument: InstrumentRecord
) -> TongueSource:
    """Return where the tongues of an instrument come from."""
    return TongueSource(
        metal=tools.metal(instrument.metal),
        scale=tools.tongue_scale(),
        rules=tools.filing_rules(),
        measured=measured_tongues(arguments.profile, tools, instrument.layout),
    )


def bench_of_job(
    arguments: argparse.Namespace,
    tools: Tools,
    store: WorkshopStore,
    instrument: InstrumentRecord,
) -> tuple[BenchState, TongueSource]:
    """Return the bench of a job as it stands now, and where its tongues come from."""
    kit = kit_of(arguments, tools)
    tolerance = None
    if arguments.grade is not None:
        grade = kit.grade(arguments.grade)
        tolerance = Tolerance(grade.tolerance_cents, grade.outer_tolerance_cents)
    source = tongue_source(arguments, tools, instrument)
    return job_bench(store, instrument, kit=kit, source=source, tolerance=tolerance), source
