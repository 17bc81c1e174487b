"""``reedwright enter``: take the typed bench table back into the job."""

import argparse
from pathlib import Path

from reedwright.cli.options import add_job, add_json
from reedwright.cli.plain import plain, print_json
from reedwright.cli.tools import Tools
from reedwright.jobs.keeping import find_instrument, find_job

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.add_argument(
        "table",
        type=Path,
        metavar="TABLE",
        help="the bench table that 'papers' wrote, with your numbers typed in",
    )
    parser.add_argument("--comment", default="", help="a remark to keep with it")
    add_job(parser, is_required=True)
    add_json(parser)


def run(arguments: argparse.Namespace, tools: Tools) -> int:
    """Read the table, keep it, and say how much was typed."""
    with tools.workshop(arguments.workshop) as store:
        instrument = find_instrument(store, find_job(store, arguments.job))
        rows = tools.typed_rows(arguments.table, instrument.layout)
        targets = store.latest_targets(instrument.instrument_id)
        record = store.save_typed_table(
            instrument.instrument_id,
            rows,
            typed_at=tools.now(),
            target_set_id=targets.target_set_id if targets else None,
            comment=arguments.comment,
        )
    if arguments.json:
        print_json({"job": arguments.job, "typed_at": record.typed_at, "rows": plain(record.rows)})
        return 0
    typed = sum(
        value is not None
        for row in record.rows
        for value in (row.after_1_cents, row.after_2_cents, row.final_cents)
    )
    ticked = sum(row.is_ticked for row in record.rows)
    print(
        f"{len(record.rows)} reeds taken back: {typed} numbers typed after filing, {ticked} ticked."
    )
    return 0
