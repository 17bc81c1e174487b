"""``reedwright papers``: bench sheets, map and report of a job."""

import argparse
from pathlib import Path

from reedwright.cli.options import add_job, add_json
from reedwright.cli.plain import print_json
from reedwright.cli.tools import Tools
from reedwright.errors import NotFound
from reedwright.jobs.assessing import assess_again
from reedwright.jobs.keeping import find_instrument, find_job
from reedwright.jobs.papers import JobPapers

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.add_argument("folder", type=Path, metavar="FOLDER", help="where the papers go")
    add_job(parser, is_required=True)
    parser.add_argument("--page", choices=["a4", "letter"], default="a4", help="(default: a4)")
    parser.add_argument(
        "--order",
        choices=["instrument", "pan"],
        default="instrument",
        help="the lines of the bench sheet: by buttons or by chambers (default: instrument)",
    )
    parser.add_argument(
        "--from-inside", action="store_true", help="draw the ends as seen from inside"
    )
    add_json(parser)


def run(arguments: argparse.Namespace, tools: Tools) -> int:
    """Gather what the job's latest plan was made from, and write the papers."""
    with tools.workshop(arguments.workshop) as store:
        job = find_job(store, arguments.job)
        instrument = find_instrument(store, job)
        plans = store.latest_plans(instrument.instrument_id)
        if plans is None:
            raise NotFound(f"the job {job.name!r} has no plan yet; run 'plan' first")
        survey = store.survey(plans.survey_id)
        targets = store.target_set(plans.target_set_id)
    tunings = tools.tunings(None)
    assessment = assess_again(
        instrument.layout,
        survey.survey,
        targets.scheme,
        tolerance=targets.tolerance,
        pitch_standard=targets.pitch_standard,
        equal=tunings.temperament("equal"),
        standards=tunings.pitch_standards,
    )
    written = tools.write_papers(
        JobPapers(
            job=job.name,
            instrument=instrument.layout.title,
            owner=job.owner_reference or None,
            date=survey.made_at[:10],
            assessment=assessment,
            plans=plans.plans,
            page=arguments.page,
            order=arguments.order,
            is_from_inside=arguments.from_inside,
            notice=None,
        ),
        arguments.folder,
    )
    if arguments.json:
        print_json({"papers": [str(path) for path in written]})
        return 0
    for path in written:
        print(f"Written: {path}")
    return 0
