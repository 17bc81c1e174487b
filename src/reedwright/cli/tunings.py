"""``reedwright tunings``: the pitch standards and temperaments that can be named."""

import argparse
from pathlib import Path

from reedwright.cli.options import add_json
from reedwright.cli.plain import plain, print_json
from reedwright.cli.tables import print_table
from reedwright.cli.tools import Tools
from reedwright.drawing.numbers import print_number
from reedwright.tuning import shown_table
from reedwright.units import cents_from_ratio

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.add_argument(
        "--tunings", type=Path, metavar="FILE", help="your own pitch standards and temperaments"
    )
    parser.add_argument(
        "--reference", default="A", metavar="NOTE", help="the note shown as zero (default: A)"
    )
    add_json(parser)


def run(arguments: argparse.Namespace, tools: Tools) -> int:
    """List them, with the evidence each rests on and the trap some carry."""
    tunings = tools.tunings(arguments.tunings)
    tables = [
        (temperament, shown_table(temperament, reference=arguments.reference))
        for temperament in tunings.temperaments
    ]
    if arguments.json:
        print_json(
            {
                "pitch_standards": plain(tunings.pitch_standards),
                "temperaments": [
                    {
                        "temperament": temperament.temperament,
                        "title": temperament.title,
                        "kind": temperament.kind.value,
                        "fifth_cents": temperament.fifth_cents,
                        "cents_from_equal": dict(table),
                        "evidence": temperament.evidence,
                        "caution": temperament.caution,
                    }
                    for temperament, table in tables
                ],
            }
        )
        return 0
    print_table(
        ("pitch", "A4 Hz", "from 440 cents", "what it is", "evidence"),
        [
            (
                s.pitch_standard,
                f"{s.a4_hz:g}",
                print_number(cents_from_ratio(s.a4_hz / 440.0), decimals=1, is_offset=True),
                s.title,
                s.evidence,
            )
            for s in tunings.pitch_standards
        ],
    )
    print()
    names = [name.replace("#", "♯").replace("b", "♭") for name, _ in tables[0][1]]
    print_table(
        ("temperament, cents from equal", *names),
        [
            (
                temperament.temperament,
                *(print_number(cents, decimals=1, is_offset=True) for _, cents in table),
            )
            for temperament, table in tables
        ],
    )
    for temperament, _ in tables:
        if temperament.caution:
            print(f"{temperament.temperament}: {temperament.caution}")
    return 0
