"""``reedwright scrape``: log what was filed off a reed, and hear what to do next."""

import argparse
from dataclasses import replace
from pathlib import Path

from reedwright.cli.bench_options import add_bench, bench_of_job, reed_named
from reedwright.cli.plain import plain, print_json
from reedwright.cli.tables import print_table
from reedwright.cli.tools import Tools
from reedwright.drawing.numbers import print_number, print_offset
from reedwright.errors import InputError, NotFound
from reedwright.instrument.layout import Reed
from reedwright.jobs.filing_work import ScrapeEntry, log_scrape
from reedwright.jobs.keeping import find_instrument, find_job
from reedwright.jobs.ports import InstrumentRecord, ScrapeRecord, WorkshopStore
from reedwright.jobs.reed_picture import ReedPicture, reed_picture
from reedwright.reedwork.model import Zone
from reedwright.reedwork.scrapes import Scrape

__all__ = ["add_arguments", "run"]

#: The doubt of a reading taken by hand at the bench (common practice, no source).
_HAND_DOUBT_CENTS = 0.3


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    add_bench(parser)
    parser.add_argument("--reed", metavar="KEY:DIRECTION", help="which reed, such as L2.3:press")
    parser.add_argument("--zone", choices=[each.value for each in Zone], help="where it was filed")
    parser.add_argument("--strokes", type=int, metavar="N", help="how many strokes")
    parser.add_argument("--tool", metavar="NAME", help="with what, such as fine-file (tools.toml)")
    parser.add_argument(
        "--before-cents",
        type=float,
        metavar="CENTS",
        help="where it stood re its target before (default: where it was last known to stand)",
    )
    parser.add_argument(
        "--after-cents", type=float, metavar="CENTS", help="where it stood afterwards"
    )
    parser.add_argument(
        "--doubt-cents",
        type=float,
        default=_HAND_DOUBT_CENTS,
        metavar="CENTS",
        help=f"one-sigma doubt of these readings (default: {_HAND_DOUBT_CENTS})",
    )
    parser.add_argument(
        "--minutes",
        type=float,
        metavar="MIN",
        help="how long after filing it was read; a warm tongue reads flat (default: it was cold)",
    )
    parser.add_argument("--comment", default="", help="a remark to keep with it")
    parser.add_argument(
        "--withdraw", type=int, metavar="ID", help="withdraw a scrape that was logged in error"
    )
    parser.add_argument(
        "--draw", type=Path, metavar="FILE", help="draw the reed and its history, .svg or .pdf"
    )


def run(arguments: argparse.Namespace, tools: Tools) -> int:
    """Log a scrape if one is given, and say what is known of the reed and what to do."""
    with tools.workshop(arguments.workshop) as store:
        instrument = find_instrument(store, find_job(store, arguments.job))
        if arguments.withdraw is not None:
            return _withdrawn(arguments, store, instrument)
        if arguments.reed is None:
            raise InputError("a scrape is of one reed, none is named; give --reed KEY:DIRECTION")
        reed = reed_named(arguments.reed, instrument.layout)
        state, source = bench_of_job(arguments, tools, store, instrument)
        logged = None
        entry = _entry(arguments, reed)
        if entry is not None:
            logged = log_scrape(store, instrument, state, entry, now=tools.now()).record
            state, source = bench_of_job(arguments, tools, store, instrument)
        picture = reed_picture(state, instrument.layout, reed, source=source)
    drawn = None if arguments.draw is None else tools.write_reed(picture, arguments.draw)
    if arguments.json:
        print_json(
            {
                "job": arguments.job,
                "logged": plain(logged),
                "reed": plain(reed),
                "advice": plain(picture.advice),
                "rate": plain(picture.rate),
                "scrapes": plain(picture.scrapes),
                "picture": None if drawn is None else str(drawn),
            }
        )
        return 0
    _print_picture(picture, logged)
    if drawn is not None:
        print(f"Drawn: {drawn}")
    return 0


def _entry(arguments: argparse.Namespace, reed: Reed) -> ScrapeEntry | None:
    """Return the scrape that the options tell of, None if they tell of none."""
    needed = {
        "--zone": arguments.zone,
        "--strokes": arguments.strokes,
        "--tool": arguments.tool,
        "--after-cents": arguments.after_cents,
    }
    missing = [option for option, value in needed.items() if value is None]
    if len(missing) == len(needed):
        return None
    if missing:
        raise InputError(f"a scrape needs all of {', '.join(needed)}, {missing[0]} is not given")
    return ScrapeEntry(
        reed=reed,
        zone=Zone(arguments.zone),
        tool=arguments.tool,
        strokes=arguments.strokes,
        before_cents=arguments.before_cents,
        after_cents=arguments.after_cents,
        doubt_cents=arguments.doubt_cents,
        minutes_since_filing=arguments.minutes,
        comment=arguments.comment,
    )


def _withdrawn(
    arguments: argparse.Namespace, store: WorkshopStore, instrument: InstrumentRecord
) -> int:
    record = store.scrape(arguments.withdraw)
    if record.instrument_id != instrument.instrument_id:
        raise NotFound(
            f"a scrape is withdrawn from its own job, number {arguments.withdraw} is of another; "
            "name that job"
        )
    kept = store.update_scrape(replace(record, is_withdrawn=True))
    if arguments.json:
        print_json({"job": arguments.job, "withdrawn": plain(kept)})
    else:
        print(f"Scrape {kept.scrape_id} withdrawn: it teaches nothing any more.")
    return 0


def _print_picture(picture: ReedPicture, logged: ScrapeRecord | None) -> None:
    if picture.scrapes:
        print_table(
            ("strokes", "tool", "end", "before cents", "after cents", "foretold cents",
             "found cents"),
            [_row(scrape) for scrape in picture.scrapes],
        )  # fmt: skip
    if logged is not None:
        print(f"Kept as scrape {logged.scrape_id}.")
    rate = picture.rate
    if rate is not None:
        low, high = rate.low_cents_per_stroke, rate.high_cents_per_stroke
        print(
            f"A stroke of {rate.tool} at the {rate.zone} of this reed: "
            f"{print_number(rate.cents_per_stroke, decimals=2)} cents "
            f"({print_number(low, decimals=2)} to {print_number(high, decimals=2)})."
        )
    print(picture.advice.sentence)


def _row(scrape: Scrape) -> tuple[str, ...]:
    foretold = ""
    if scrape.predicted_cents is not None and scrape.predicted_doubt_cents is not None:
        foretold = str(print_offset(scrape.predicted_cents, scrape.predicted_doubt_cents))
    doubt = (scrape.before.doubt_cents**2 + scrape.after.doubt_cents**2) ** 0.5
    return (
        str(scrape.strokes),
        scrape.tool,
        scrape.zone.value,
        print_offset(scrape.before.offset_cents, scrape.before.doubt_cents).value,
        print_offset(scrape.after.offset_cents, scrape.after.doubt_cents).value,
        foretold,
        str(print_offset(scrape.shift_cents, doubt)),
    )
