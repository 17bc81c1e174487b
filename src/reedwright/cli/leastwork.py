"""``reedwright leastwork``: which pitch and temperament ask least of the reeds."""

import argparse
from collections.abc import Mapping, Sequence
from pathlib import Path

from reedwright.cli.options import add_job, add_json
from reedwright.cli.plain import plain, print_json
from reedwright.cli.tables import print_table
from reedwright.cli.tools import Tools, TuningsList
from reedwright.drawing.numbers import print_number
from reedwright.errors import InputError
from reedwright.instrument.note import SpelledNote
from reedwright.instrument.reading import Survey
from reedwright.jobs.keeping import find_instrument, find_job, latest_survey
from reedwright.jobs.least_work import Goal, LeastWork, aim_of_scheme, least_work
from reedwright.jobs.ports import WorkshopStore
from reedwright.jobs.shared_target import Meeting, SharedWork, aim_of_instrument, meet
from reedwright.jobs.work_estimate import (
    ReedsAtHand,
    WorkEstimate,
    WorkTimes,
    notes_of,
    reeds_at_hand,
)
from reedwright.tuning import (
    AsFound,
    NotePitch,
    Scheme,
    Temperament,
    Tolerance,
    as_found,
    heard_reeds,
    note_pitches,
    regular,
    verdict_of,
)
from reedwright.units import cents_from_ratio

__all__ = ["add_arguments", "run"]

#: What is compared unless others are named.
_TEMPERAMENTS = ("equal", "sixth-comma", "fifth-comma", "quarter-comma")
#: Pitch standards further than a semitone from the pitch as found are left out.
_FAR_CENTS = 100.0


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    add_job(parser, is_required=True)
    parser.add_argument(
        "--pitch", action="append", default=[], metavar="PITCH",
        help="A4 in hertz or a pitch standard's name, several times (default: the standards "
        "within a semitone of the pitch as found, and that pitch)",
    )  # fmt: skip
    parser.add_argument(
        "--temperament", action="append", default=[], metavar="NAME",
        help=f"several times (default: {', '.join(_TEMPERAMENTS)})",
    )  # fmt: skip
    parser.add_argument(
        "--match", action="append", default=[], metavar="JOB",
        help="the instrument of another job as a target, note by note",
    )  # fmt: skip
    parser.add_argument(
        "--share", action="append", default=[], metavar="JOB",
        help="the instruments of other jobs, to meet this one between them",
    )  # fmt: skip
    parser.add_argument(
        "--least", type=Goal, choices=list(Goal), default=Goal.HOURS,
        help="what is to be least (default: hours)",
    )  # fmt: skip
    parser.add_argument(
        "--tolerance-cents", type=float, default=2.0, metavar="CENTS",
        help="a reed this near its target is left alone (default: 2; common practice)",
    )  # fmt: skip
    parser.add_argument(
        "--outer-tolerance-cents", type=float, default=3.0, metavar="CENTS",
        help="the same in the top half-octave and the lowest octave (default: 3)",
    )  # fmt: skip
    usual = WorkTimes()
    for option, minutes, meaning in (
        ("reed", usual.minutes_per_reed, "for each reed that is touched"),
        ("cent", usual.minutes_per_cent, "for each cent it has to go"),
        ("tip-weight", usual.minutes_per_tip_weight, "for solder at the tip"),
        ("new-tongue", usual.minutes_per_new_tongue, "for a new tongue"),
    ):
        parser.add_argument(
            f"--minutes-per-{option}", type=float, default=minutes, metavar="MINUTES",
            help=f"{meaning} (default: {minutes:g}; common practice, no source)",
        )  # fmt: skip
    parser.add_argument(
        "--tunings", type=Path, metavar="FILE", help="your own pitch standards and temperaments"
    )
    parser.add_argument("--svg", type=Path, metavar="FILE", help="draw it, as an .svg file")
    add_json(parser)


def run(arguments: argparse.Namespace, tools: Tools) -> int:
    """Weigh the targets, print them side by side, and draw them if asked."""
    tunings = tools.tunings(arguments.tunings)
    temperaments = [
        tunings.temperament(name) for name in arguments.temperament or list(_TEMPERAMENTS)
    ]
    asked = _schemes(dict(_pitch(word, tunings) for word in arguments.pitch), temperaments)
    if arguments.job in {*arguments.match, *arguments.share}:
        raise InputError(
            f"a job cannot be matched to itself, {arguments.job!r} is named twice; name another"
        )
    times = WorkTimes(
        arguments.minutes_per_reed,
        arguments.minutes_per_cent,
        arguments.minutes_per_tip_weight,
        arguments.minutes_per_new_tongue,
    )
    with tools.workshop(arguments.workshop) as store:
        survey, own = _instrument(arguments.job, times, arguments, tools, store)
        others = {
            name: _instrument(name, times, arguments, tools, store)
            for name in dict.fromkeys([*arguments.match, *arguments.share])
        }
    found = _found(survey, tunings)
    notes = notes_of([own, *(other for _, other in others.values())])
    pitches = {arguments.job: _pitches(survey, found, notes)}
    for name, (other_survey, _) in others.items():
        pitches[name] = _pitches(other_survey, _found(other_survey, tunings), notes)
    aims = [
        *(
            aim_of_scheme(title, scheme, notes)
            for title, scheme in asked or _usual_schemes(temperaments, found, tunings)
        ),
        *(aim_of_instrument(f"as {name} is", pitches[name]) for name in arguments.match),
    ]
    work = least_work(own, aims, drawn=temperaments, goal=arguments.least)
    shared: list[SharedWork] = []
    if arguments.share:
        together = [own, *(others[name][1] for name in dict.fromkeys(arguments.share))]
        shared = [meet(together, meeting, pitches=pitches) for meeting in Meeting]
    if arguments.svg is not None:
        tools.write_least_work(
            work, arguments.svg, standards=tunings.pitch_standards, found_a4_hz=found.a4_hz
        )
    if arguments.json:
        print_json(
            {
                "job": arguments.job,
                "as_found": {**_short(found), "verdict": verdict_of(found)},
                "goal": work.goal.value,
                "free_optimum": plain(work.free_optimum),
                "estimates": plain(work.estimates),
                "curves": plain(work.curves),
                "reeds": work.reeds,
                "not_counted": plain(work.not_counted),
                "times": plain(work.times),
                "shared": plain(shared),
            }
        )
        return 0
    print(verdict_of(found))
    _print_work(work)
    for each in shared:
        _print_shared(each)
    if arguments.svg is not None:
        print(f"Drawn: {arguments.svg}")
    return 0


def _instrument(
    job: str, times: WorkTimes, arguments: argparse.Namespace, tools: Tools, store: WorkshopStore
) -> tuple[Survey, ReedsAtHand]:
    """Return the latest survey of a job and its reeds with what moving them costs."""
    instrument = find_instrument(store, find_job(store, job))
    survey = latest_survey(store, instrument).survey
    reeds = reeds_at_hand(
        instrument.layout,
        survey,
        title=job,
        equal=tools.tunings(None).temperament("equal"),
        tolerance=Tolerance(arguments.tolerance_cents, arguments.outer_tolerance_cents),
        times=times,
        metal=tools.metal(instrument.metal),
        scale=tools.tongue_scale(),
        rules=tools.filing_rules(),
        tongues={},
    )
    return survey, reeds


def _found(survey: Survey, tunings: TuningsList) -> AsFound:
    return as_found(
        heard_reeds(survey),
        temperaments=tunings.temperaments,
        standards=tunings.pitch_standards,
    )


def _pitches(survey: Survey, found: AsFound, notes: Sequence[SpelledNote]) -> tuple[NotePitch, ...]:
    return note_pitches(heard_reeds(survey), found, notes)


def _schemes(
    pitches_hz: Mapping[str, float], temperaments: Sequence[Temperament]
) -> list[tuple[str, Scheme]]:
    """Return every pitch with every temperament, with a title."""
    return [
        (f"{name}, {each.title}", Scheme(a4_hz, each))
        for name, a4_hz in pitches_hz.items()
        for each in temperaments
    ]


def _usual_schemes(
    temperaments: Sequence[Temperament], found: AsFound, tunings: TuningsList
) -> list[tuple[str, Scheme]]:
    """Return the standards near the pitch as found, that pitch, and the tuning as found."""
    pitches_hz = {
        standard.pitch_standard: standard.a4_hz
        for standard in tunings.pitch_standards
        if abs(cents_from_ratio(standard.a4_hz / found.a4_hz)) <= _FAR_CENTS
    }
    fifth = regular(
        "as-found", "fifths as found", fifth_cents=found.fifth_cents, evidence="this survey"
    )
    return [
        *_schemes({**pitches_hz, "as found": found.a4_hz}, temperaments),
        ("pitch and fifths as found", Scheme(found.a4_hz, fifth)),
    ]


def _pitch(word: str, tunings: TuningsList) -> tuple[str, float]:
    try:
        return f"{float(word):g} Hz", float(word)
    except ValueError:
        return word, tunings.pitch_standard(word).a4_hz


def _short(found: AsFound) -> dict[str, float | str]:
    return {
        "a4_hz": found.a4_hz,
        "a4_standard_error_cents": found.a4_standard_error_cents,
        "fifth_cents": found.fifth_cents,
        "fifth_standard_error_cents": found.fifth_standard_error_cents,
        "family": found.family.value,
    }


def _print_work(work: LeastWork) -> None:
    print_table(
        (
            "target", "A4 Hz", "fifth cents", "to touch n", "left alone n", "metal mg",
            "hours n", "past limit n", "furthest cents",
        ),
        [_row(estimate) for estimate in (work.free_optimum, *work.estimates)],
    )  # fmt: skip
    if work.not_counted:
        print(f"Not counted, not heard or in doubt: {len(work.not_counted)} reeds.")
    for past in work.estimates[0].past_limit:
        print(
            f"Past its limit even for {work.estimates[0].title}: {past.key} {past.note.printed} "
            f"{past.direction}, {print_number(past.move_cents, decimals=0, is_offset=True)} "
            f"cents: {past.verdict}."
        )
    print(
        "Hours are common practice, not measured; metal is for tongues as they usually are. "
        "Good for choosing, not for a quotation."
    )


def _print_shared(shared: SharedWork) -> None:
    print_table(
        ("meeting", "instrument", "A4 Hz", "fifth cents", "to touch n", "metal mg", "hours n"),
        [
            (shared.aim.title, title, *_row(estimate)[1:4], *_row(estimate)[5:7])
            for title, estimate in shared.estimates
        ],
    )


def _row(estimate: WorkEstimate) -> tuple[str, ...]:
    return (
        estimate.title,
        "" if estimate.a4_hz is None else print_number(estimate.a4_hz, decimals=1),
        "" if estimate.fifth_cents is None else print_number(estimate.fifth_cents, decimals=1),
        str(estimate.reeds_to_touch),
        str(estimate.reeds_left_alone),
        print_number(estimate.metal_mg, decimals=0),
        print_number(estimate.hours, decimals=1),
        str(len(estimate.past_limit)),
        print_number(estimate.furthest_move_cents, decimals=0, is_offset=True),
    )
