"""``reedwright asfound``: what pitch and temperament the instrument was once given."""

import argparse
from dataclasses import fields
from pathlib import Path

from reedwright.cli.chosen import chosen_layout
from reedwright.cli.options import add_job, add_json, add_layout_changes
from reedwright.cli.plain import plain, print_json
from reedwright.cli.tables import print_table
from reedwright.cli.tools import Tools
from reedwright.drawing.numbers import print_number
from reedwright.errors import InputError
from reedwright.instrument.layout import Layout
from reedwright.jobs.keeping import find_instrument, find_job, latest_survey
from reedwright.tuning import AsFound, HeardReed, as_found, heard_reeds, remarks_of, verdict_of

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.add_argument(
        "survey",
        type=Path,
        nargs="?",
        metavar="SURVEY",
        help="what 'survey --json' printed, as a file (or name a job)",
    )
    parser.add_argument(
        "--layout", metavar="NAME", help="the layout the survey was made with (see 'layouts')"
    )
    add_layout_changes(parser)
    add_job(parser, is_required=False)
    parser.add_argument(
        "--tunings", type=Path, metavar="FILE", help="your own pitch standards and temperaments"
    )
    add_json(parser)


def run(arguments: argparse.Namespace, tools: Tools) -> int:
    """Find the tuning, say how sure it is, and list the reeds that do not fit."""
    tunings = tools.tunings(arguments.tunings)
    found = as_found(
        _readings(arguments, tools),
        temperaments=tunings.temperaments,
        standards=tunings.pitch_standards,
    )
    verdict, remarks = verdict_of(found), remarks_of(found)
    if arguments.json:
        result = {field.name: plain(getattr(found, field.name)) for field in fields(found)}
        print_json({**result, "verdict": verdict, "remarks": plain(remarks)})
        return 0
    print(verdict)
    for remark in remarks:
        print(remark)
    _print_misfits(found)
    return 0


def _readings(arguments: argparse.Namespace, tools: Tools) -> tuple[HeardReed, ...]:
    if (arguments.survey is None) == (arguments.job is None):
        raise InputError("the tuning is told from one survey; give either its file or --job")
    if arguments.survey is None:
        with tools.workshop(arguments.workshop) as store:
            instrument = find_instrument(store, find_job(store, arguments.job))
            return heard_reeds(latest_survey(store, instrument).survey)
    if arguments.layout is None:
        raise InputError("a survey file needs its layout; give --layout with the layout's name")
    layout = chosen_layout(arguments, tools)
    survey = tools.survey_file(arguments.survey)
    _belong_together(survey.layout, survey.readings, layout)
    return survey.readings


def _belong_together(named: str | None, readings: tuple[HeardReed, ...], layout: Layout) -> None:
    if named is not None and named != layout.layout:
        raise InputError(
            f"survey and layout must belong together, got a survey by {named!r} and the layout "
            f"{layout.layout!r}; name the layout the survey was made with"
        )
    known = {layout.note(reed) for reed in layout.reeds()}
    for reading in readings:
        if reading.note not in known:
            raise InputError(
                f"every note of the survey must be one of the layout's, {layout.layout!r} has no "
                f"{reading.note.name}; name the layout the survey was made with"
            )


def _print_misfits(found: AsFound) -> None:
    if not found.misfits:
        return
    print_table(
        ("key", "note", "way", "off the tuning found cents", "stands as"),
        [
            (
                misfit.key or "",
                misfit.note.printed,
                misfit.direction.value,
                print_number(misfit.offset_cents, decimals=0, is_offset=True),
                misfit.fits_as.printed if misfit.fits_as is not None else "",
            )
            for misfit in found.misfits
        ],
        title="Reeds that do not fit",
    )
