"""``reedwright jobs``: what lies in the workshop file."""

import argparse

from reedwright.cli.options import add_json, add_workshop
from reedwright.cli.plain import Plain, print_json
from reedwright.cli.tables import print_table
from reedwright.cli.tools import Tools

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    add_workshop(parser)
    add_json(parser)


def run(arguments: argparse.Namespace, tools: Tools) -> int:
    """List the jobs, the oldest first."""
    listed: list[Plain] = []
    with tools.workshop(arguments.workshop) as store:
        for job in store.jobs():
            for instrument in store.instruments(job.job_id):
                surveys = store.surveys(instrument.instrument_id)
                plans = store.latest_plans(instrument.instrument_id)
                listed.append(
                    {
                        "job": job.name,
                        "opened_on": job.opened_on,
                        "layout": instrument.layout.layout,
                        "metal": instrument.metal,
                        "surveys": len(surveys),
                        "latest_survey": surveys[-1].made_at if surveys else None,
                        "latest_plan": plans.made_at if plans else None,
                    }
                )
    if arguments.json:
        print_json({"jobs": listed})
        return 0
    columns = ("job", "opened_on", "layout", "metal", "surveys", "latest_survey", "latest_plan")
    print_table(
        [column.replace("_", " ") for column in columns],
        [
            [str(job[column] if job[column] is not None else "") for column in columns]
            for job in listed
            if isinstance(job, dict)
        ],
    )
    print(f"Workshop file: {tools.workshop_location(arguments.workshop)}")
    return 0
