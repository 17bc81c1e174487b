"""``reedwright survey``: a recording of the whole instrument, every reed named."""

import argparse

from reedwright.cli.chosen import chosen_layout
from reedwright.cli.options import (
    add_clock,
    add_job,
    add_json,
    add_layout,
    add_recording,
)
from reedwright.cli.plain import plain_survey, print_json
from reedwright.cli.progress import progress_bar
from reedwright.cli.tables import print_survey
from reedwright.cli.tools import Tools
from reedwright.instrument.reading import Conditions
from reedwright.jobs.keeping import keep_survey
from reedwright.jobs.ports import BenchPass
from reedwright.jobs.surveying import take_survey

__all__ = ["add_arguments", "run"]

AS_THEY_COME = "as-they-come"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    add_recording(parser)
    add_layout(parser)
    parser.add_argument(
        "--order",
        default="ascending",
        metavar="ORDER",
        help="the order the reeds were played in: ascending (each key press then draw), "
        "press-then-draw, by-row, a file of your own with one 'KEY press' or 'KEY draw' a line, or "
        f"{AS_THEY_COME} for no order (default: ascending; 'layouts NAME' explains them)",
    )
    parser.add_argument(
        "--a4-hz",
        type=float,
        metavar="HZ",
        help="roughly where the instrument's A4 lies; needed within 50 cents when the order is "
        f"{AS_THEY_COME}, found by itself otherwise",
    )
    add_clock(parser)
    parser.add_argument(
        "--temperature-c",
        type=float,
        metavar="DEGREES",
        help="temperature of the reeds; with --metal, readings are brought to 20 degrees",
    )
    parser.add_argument(
        "--metal",
        metavar="NAME",
        help="the tongues' metal, such as steel or brass (default with --job: steel)",
    )
    parser.add_argument(
        "--bellows-pressure-pa", type=float, metavar="PA", help="bellows pressure, to be remembered"
    )
    parser.add_argument("--on-bench", action="store_true", help="played on the tuning bench")
    parser.add_argument("--end-off", action="store_true", help="played with the end off")
    add_job(parser, is_required=False)
    parser.add_argument(
        "--frame-metal", default="brass", metavar="NAME", help="to be remembered (default: brass)"
    )
    parser.add_argument(
        "--pass",
        dest="bench_pass",
        choices=[each.value for each in BenchPass],
        default=BenchPass.FOUND.value,
        help="how far the work was when this was recorded (default: found)",
    )
    add_json(parser)


def run(arguments: argparse.Namespace, tools: Tools) -> int:
    """Listen, name the reeds, keep the survey if a job is named, and print it."""
    layout = chosen_layout(arguments, tools)
    order = None if arguments.order == AS_THEY_COME else tools.order(arguments.order, layout)
    metal = tools.metal(arguments.metal) if arguments.metal else None
    conditions = Conditions(
        clock_ppm=arguments.clock_ppm,
        clock_doubt_ppm=arguments.clock_doubt_ppm,
        temperature_c=arguments.temperature_c,
        metal=arguments.metal,
        bellows_pressure_pa=arguments.bellows_pressure_pa,
        is_on_bench=arguments.on_bench,
        is_end_on=None if arguments.on_bench else not arguments.end_off,
    )
    with (
        tools.spread(arguments.recording) as spread,
        tools.recording(arguments.recording, arguments.channel) as sound,
        progress_bar("Listening") as progress,
    ):
        survey = take_survey(
            sound,
            layout,
            order,
            conditions=conditions,
            metal=metal,
            a4_hz=arguments.a4_hz,
            file_cautions=sound.cautions,
            spread=spread,
            progress=progress,
        )
    if arguments.job is not None:
        with tools.workshop(arguments.workshop, create=True) as store:
            keep_survey(
                store,
                survey,
                job_name=arguments.job,
                layout=layout,
                metal=arguments.metal or "steel",
                frame_metal=arguments.frame_metal,
                recording=tools.handed_in(arguments.recording),
                now=tools.now(),
                bench_pass=BenchPass(arguments.bench_pass),
            )
    if arguments.json:
        print_json(plain_survey(survey))
    else:
        print_survey(survey)
        if arguments.job is not None:
            print(
                f"Kept as job {arguments.job!r} in {tools.workshop_location(arguments.workshop)}."
            )
    return 0
