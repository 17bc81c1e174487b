"""``reedwright demo``: the whole chain on an invented instrument."""

import argparse
from pathlib import Path

from reedwright.cli.chosen import print_findings
from reedwright.cli.options import add_json
from reedwright.cli.plain import print_json
from reedwright.cli.progress import progress_bar
from reedwright.cli.tools import Tools
from reedwright.errors import InputError
from reedwright.instrument.reading import Conditions
from reedwright.jobs.assessing import Choice, assess
from reedwright.jobs.keeping import keep_plans, keep_survey, keep_targets
from reedwright.jobs.papers import JobPapers
from reedwright.jobs.planning import plan_reeds
from reedwright.jobs.surveying import take_survey
from reedwright.reedwork.model import Verdict
from reedwright.tuning import Tolerance

__all__ = ["add_arguments", "run"]

_JOB = "Demonstration (invented instrument)"
_LAYOUT = "english-treble-48"
_RATE_HZ = 44_100
_NOTICE = "Demonstration: instrument, faults and recording are invented."


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.add_argument(
        "folder", type=Path, metavar="FOLDER", help="a new folder for the workshop file and papers"
    )
    add_json(parser)


def run(arguments: argparse.Namespace, tools: Tools) -> int:
    """Invent, record, survey, choose, plan, keep, print; say plainly that it is a demo."""
    folder: Path = arguments.folder
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise InputError(
            f"the demonstration needs a new or empty folder, {folder} is not; name another or "
            "remove it"
        )
    folder.mkdir(parents=True, exist_ok=True)
    layout = tools.layout(_LAYOUT)
    order = tools.order("ascending", layout)
    conditions = Conditions(temperature_c=20.0, metal="steel")
    sound_path = folder / "invented-recording.flac"
    invented = tools.invent(layout, order, sample_rate_hz=_RATE_HZ)
    tools.write_recording(sound_path, invented.samples, sample_rate_hz=_RATE_HZ)
    with (
        tools.spread(sound_path) as spread,
        tools.recording(sound_path, "mix") as sound,
        progress_bar("Listening") as progress,
    ):
        survey = take_survey(
            sound,
            layout,
            order,
            conditions=conditions,
            metal=tools.metal("steel"),
            a4_hz=None,
            file_cautions=sound.cautions,
            spread=spread,
            progress=progress,
        )
    tunings = tools.tunings(None)
    equal = tunings.temperament("equal")
    assessment = assess(
        layout,
        survey,
        Choice(None, None, equal, "A", Tolerance()),
        equal=equal,
        standards=tunings.pitch_standards,
    )
    plans = plan_reeds(
        assessment,
        metal=tools.metal("steel"),
        scale=tools.tongue_scale(),
        rules=tools.filing_rules(),
        tongues={},
    )
    now = tools.now()
    with tools.workshop(folder / "workshop.reedwright", create=True) as store, store.atomic():
        kept = keep_survey(
            store,
            survey,
            job_name=_JOB,
            layout=layout,
            metal="steel",
            frame_metal="brass",
            recording=tools.handed_in(sound_path),
            now=now,
        )
        targets = keep_targets(store, kept, assessment, now=now)
        keep_plans(store, plans, survey=kept, targets=targets, now=now)
    papers = JobPapers(
        job=_JOB,
        instrument=layout.title,
        owner=None,
        date=now[:10],
        assessment=assessment,
        plans=plans,
        page="a4",
        order="instrument",
        is_from_inside=False,
        notice=_NOTICE,
    )
    written = tools.write_papers(papers, folder)
    to_file = sum(plan.verdict is Verdict.FILE for plan in plans)
    doubtful = sum(reading.doubt is not None for reading in survey.readings)
    if arguments.json:
        print_json(
            {
                "is_demo": True,
                "folder": str(folder),
                "invented_faults": [f"{reed}: {fault}" for reed, fault in invented.faults],
                "readings": len(survey.readings),
                "missing": len(survey.missing),
                "to_settle": doubtful,
                "reeds_to_file": to_file,
                "papers": [str(path) for path in written],
            }
        )
        return 0
    print("This is a demonstration: the instrument, its faults and its recording are invented.")
    print("Invented: " + "; ".join(f"{reed} {fault}" for reed, fault in invented.faults) + ".")
    print(
        f"Heard: {len(survey.readings)} readings, {doubtful} to settle, "
        f"{len(survey.missing)} reeds not heard."
    )
    print_findings(assessment)
    print(f"Planned: {to_file} reeds to file, to the instrument's own pitch.")
    for path in (sound_path, folder / "workshop.reedwright", *written):
        print(f"Left for you: {path}")
    return 0
