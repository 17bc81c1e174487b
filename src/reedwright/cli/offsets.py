"""``reedwright offsets``: how the closed instrument reads against the bench, reed by reed."""

import argparse

from reedwright.cli.bench_options import add_bench, kit_of
from reedwright.cli.plain import plain, print_json
from reedwright.cli.tables import print_table
from reedwright.cli.tools import Tools
from reedwright.drawing.numbers import print_number, print_offset, print_target_frequency
from reedwright.instrument.layout import Layout, Reed
from reedwright.jobs.bench_offsets import bench_targets_hz, job_offsets, keep_pairs, pair_of_surveys
from reedwright.jobs.filing_work import latest_targets
from reedwright.jobs.keeping import find_instrument, find_job
from reedwright.reedwork.bench_offset import BenchOffset, PlacedReed

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    add_bench(parser)
    parser.add_argument(
        "--bench-survey",
        type=int,
        metavar="N",
        help="the survey made with --on-bench (default: the latest of them)",
    )
    parser.add_argument(
        "--instrument-survey",
        type=int,
        metavar="N",
        help="the survey made closed, end on (default: the latest of them)",
    )


def run(arguments: argparse.Namespace, tools: Tools) -> int:
    """Pair two surveys, keep the pairs, and print what all pairs of the job teach."""
    with tools.workshop(arguments.workshop) as store:
        instrument = find_instrument(store, find_job(store, arguments.job))
        targets = latest_targets(store, instrument)
        pair = pair_of_surveys(
            store,
            instrument,
            bench_survey_id=arguments.bench_survey,
            instrument_survey_id=arguments.instrument_survey,
        )
        kept = keep_pairs(store, instrument, pair, now=tools.now())
        places = [
            PlacedReed(Reed(target.key, target.direction), target.frequency_hz)
            for target in targets.targets
        ]
        offsets = job_offsets(store, instrument, places, rules=kit_of(arguments, tools).offsets)
    bench_hz = bench_targets_hz(targets.targets, offsets)
    if arguments.json:
        print_json(
            {
                "job": arguments.job,
                "pairs": plain(kept),
                "offsets": plain(offsets),
                "bench_targets_hz": plain(bench_hz),
            }
        )
        return 0
    _print(instrument.layout, offsets, bench_hz)
    print(
        f"{len(kept.pairs)} reeds paired from surveys {kept.bench_survey_id} (bench) and "
        f"{kept.instrument_survey_id} (closed). The seating, new each time, is "
        f"{print_number(offsets[0].seating_cents, decimals=1)} cents of every doubt."
    )
    return 0


def _print(layout: Layout, offsets: tuple[BenchOffset, ...], bench_hz: tuple[float, ...]) -> None:
    print_table(
        ("key", "note", "way", "pairs n", "closed minus bench cents", "target on the bench Hz"),
        [
            (
                offset.reed.key,
                layout.note(offset.reed).printed,
                offset.reed.direction.value,
                str(offset.pairs),
                str(print_offset(offset.offset_cents, offset.doubt_cents)),
                print_target_frequency(hertz),
            )
            for offset, hertz in zip(offsets, bench_hz, strict=True)
        ],
    )
