"""``reedwright work``: the tuning work of a job in order, and how long it may take."""

import argparse
import math

from reedwright.cli.bench_options import add_bench, bench_of_job, kit_of
from reedwright.cli.plain import plain, print_json
from reedwright.cli.tables import print_table
from reedwright.cli.tools import Tools
from reedwright.drawing.numbers import print_number
from reedwright.jobs.keeping import find_instrument, find_job
from reedwright.reedwork.work_order import Opening, Pass, PassKind, WorkOrder, order_work

__all__ = ["add_arguments", "run"]

_TITLES = {
    PassKind.ROUGH: "Rough, on the bench",
    PassKind.SETTLE: "Close it, let it settle, survey it again",
    PassKind.FINE: "Fine",
}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    add_bench(parser)


def run(arguments: argparse.Namespace, tools: Tools) -> int:
    """Put the work on a job's reeds in order and print it."""
    with tools.workshop(arguments.workshop) as store:
        instrument = find_instrument(store, find_job(store, arguments.job))
        state, _ = bench_of_job(arguments, tools, store, instrument)
    order = order_work(state, instrument.layout, minutes=kit_of(arguments, tools).minutes)
    if arguments.json:
        print_json({"job": arguments.job, "order": plain(order)})
    else:
        _print(order)
    return 0


def _print(order: WorkOrder) -> None:
    for number, each in enumerate(order.passes, start=1):
        _print_pass(number, each)
    for advice in order.not_decided:
        print(f"{advice.reed.key} {advice.reed.direction}: {advice.sentence}")
    to_file = {item.reed for each in order.passes for opening in each.openings
               for item in opening.items}  # fmt: skip
    days = f" and {order.days:g} days to settle" if order.days else ""
    print(
        f"{len(to_file)} reeds to file, {len(order.left_alone)} to leave alone, "
        f"{len(order.not_decided)} others; {order.openings} times an end comes off; about "
        f"{_hours(order.minutes)} at the bench{days}."
    )


def _print_pass(number: int, each: Pass) -> None:
    title = f"{number}. {_TITLES[each.kind]}"
    if each.days:
        print(f"{title}: {each.days:g} days, then about {_hours(each.minutes)}.\n")
        return
    print(f"{title}: about {_hours(each.minutes)}.")
    for opening in each.openings:
        _print_opening(opening)


def _print_opening(opening: Opening) -> None:
    print_table(
        ("key", "note", "way", "visits n", "minutes n", "now"),
        [
            (
                item.reed.key,
                item.note.printed,
                item.reed.direction.value,
                print_number(item.visits, decimals=1),
                print_number(item.minutes, decimals=0),
                "by what it reads after settling" if item.advice is None else item.advice.sentence,
            )
            for item in opening.items
        ],
        title=f"\n{opening.side.value.capitalize()} end off, {_hours(opening.minutes)}: "
        f"{len(opening.items)} reeds, in the order of the chambers",
    )
    print()


def _hours(minutes: float) -> str:
    if minutes < 90.0:
        return f"{math.ceil(minutes):d} minutes"
    return f"{print_number(minutes / 60.0, decimals=1)} hours"
