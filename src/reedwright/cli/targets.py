"""``reedwright targets``: how far each reed of a job is from what it should do."""

import argparse

from reedwright.cli.chosen import assess_by_options, print_findings
from reedwright.cli.options import add_job, add_json, add_scheme
from reedwright.cli.plain import plain, print_json
from reedwright.cli.tables import print_offsets
from reedwright.cli.tools import Tools
from reedwright.jobs.keeping import find_instrument, find_job, keep_targets, latest_survey

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    add_job(parser, is_required=True)
    add_scheme(parser)
    add_json(parser)


def run(arguments: argparse.Namespace, tools: Tools) -> int:
    """Assess the latest survey, keep the targets, print the offsets and the findings."""
    with tools.workshop(arguments.workshop) as store:
        instrument = find_instrument(store, find_job(store, arguments.job))
        survey = latest_survey(store, instrument)
        assessment = assess_by_options(arguments, tools, instrument.layout, survey.survey)
        keep_targets(store, survey, assessment, now=tools.now())
    if arguments.json:
        print_json(
            {
                "job": arguments.job,
                "scheme": plain(assessment.scheme),
                "pitch_standard": assessment.pitch_standard,
                "tolerance": plain(assessment.tolerance),
                "overall": plain(assessment.overall),
                "findings": plain(assessment.findings),
                "offsets": plain(assessment.offsets),
            }
        )
    else:
        print_offsets(assessment.offsets)
        print_findings(assessment)
    return 0
