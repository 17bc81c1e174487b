"""``reedwright plan``: where, and how much, metal to take off which reed."""

import argparse

from reedwright.cli.bench_options import add_profiles, measured_tongues
from reedwright.cli.chosen import assess_by_options, print_findings
from reedwright.cli.options import add_job, add_json, add_scheme
from reedwright.cli.plain import plain, print_json
from reedwright.cli.tables import print_plans
from reedwright.cli.tools import Tools
from reedwright.jobs.keeping import (
    find_instrument,
    find_job,
    keep_plans,
    keep_targets,
    latest_survey,
)
from reedwright.jobs.planning import plan_reeds

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    add_job(parser, is_required=True)
    add_scheme(parser)
    add_profiles(parser)
    add_json(parser)


def run(arguments: argparse.Namespace, tools: Tools) -> int:
    """Assess the latest survey, plan every reed, keep both, and print the work."""
    with tools.workshop(arguments.workshop) as store:
        instrument = find_instrument(store, find_job(store, arguments.job))
        survey = latest_survey(store, instrument)
        assessment = assess_by_options(arguments, tools, instrument.layout, survey.survey)
        plans = plan_reeds(
            assessment,
            metal=tools.metal(instrument.metal),
            scale=tools.tongue_scale(),
            rules=tools.filing_rules(),
            tongues=measured_tongues(arguments.profile, tools, instrument.layout),
        )
        with store.atomic():
            now = tools.now()
            targets = keep_targets(store, survey, assessment, now=now)
            keep_plans(store, plans, survey=survey, targets=targets, now=now)
    if arguments.json:
        print_json(
            {
                "job": arguments.job,
                "scheme": plain(assessment.scheme),
                "overall": plain(assessment.overall),
                "findings": plain(assessment.findings),
                "offsets": plain(assessment.offsets),
                "plans": plain(plans),
            }
        )
    else:
        print_plans(assessment.offsets, plans)
        print_findings(assessment)
    return 0
