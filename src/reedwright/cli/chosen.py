"""What the options of the tuning commands choose, as values."""

import argparse
import re

from reedwright.cli.tools import Tools, TuningsList
from reedwright.drawing.numbers import print_number
from reedwright.errors import InputError
from reedwright.instrument.layout import Layout
from reedwright.instrument.reading import Survey
from reedwright.jobs.assessing import Assessment, Choice, assess
from reedwright.tuning import Tolerance, with_own_notes

__all__ = ["assess_by_options", "choice_of", "chosen_layout", "print_findings"]

FOUND = "found"
_HERTZ = re.compile(r"[0-9]+(\.[0-9]+)?")


def chosen_layout(arguments: argparse.Namespace, tools: Tools) -> Layout:
    """Return the layout that the options name, with its changes."""
    row_order = None
    if arguments.row_order is not None:
        words = arguments.row_order.split(",")
        if not all(word.strip().isdigit() for word in words):
            raise InputError(
                f"a row order is row numbers with commas, got {arguments.row_order!r}; write it "
                "like 1,3,2,4"
            )
        row_order = [int(word) for word in words]
    return tools.layout(arguments.layout, home_keys=arguments.home_keys, row_order=row_order)


def choice_of(arguments: argparse.Namespace, tunings: TuningsList) -> Choice:
    """Return the choice that the options of ``add_scheme`` make."""
    temperament = tunings.temperament(arguments.temperament)
    if arguments.note:
        temperament = with_own_notes(temperament, dict(_note_moves(arguments.note)))
    a4_hz, pitch_standard = None, None
    if _HERTZ.fullmatch(arguments.pitch):
        a4_hz = float(arguments.pitch)
    elif arguments.pitch != FOUND:
        pitch_standard = arguments.pitch
        a4_hz = tunings.pitch_standard(arguments.pitch).a4_hz
    return Choice(
        a4_hz=a4_hz,
        pitch_standard=pitch_standard,
        temperament=temperament,
        reference=arguments.reference,
        tolerance=Tolerance(arguments.tolerance_cents, arguments.outer_tolerance_cents),
    )


def assess_by_options(
    arguments: argparse.Namespace, tools: Tools, layout: Layout, survey: Survey
) -> Assessment:
    """Hold a survey against what the options choose."""
    tunings = tools.tunings(arguments.tunings)
    return assess(
        layout,
        survey,
        choice_of(arguments, tunings),
        equal=tools.tunings(None).temperament("equal"),
        standards=tunings.pitch_standards,
    )


def print_findings(assessment: Assessment) -> None:
    """Print the pitch of the whole and what the survey says, in plain words."""
    overall = assessment.overall
    if overall is not None:
        doubt = print_number(max(overall.doubt_cents, 0.1), decimals=1)
        print(
            f"As a whole: A4 = {overall.a4_hz:.2f} Hz, doubt {doubt} cents, "
            f"reeds scattered by {print_number(overall.spread_cents, decimals=1)} cents."
        )
    for finding in assessment.findings:
        print(finding.statement)


def _note_moves(written: list[str]) -> list[tuple[str, float]]:
    moves = []
    for word in written:
        name, _, cents = word.partition("=")
        try:
            moves.append((name.strip(), float(cents)))
        except ValueError:
            raise InputError(
                f"a moved note is written NOTE=CENTS, got {word!r}; write it like F#=+3"
            ) from None
    return moves
