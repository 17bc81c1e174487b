"""How long the workshop file takes: open, keep, read back, check, back up.

``python -m benchmarks.store [LOCATION]`` prints a table as markdown: medians of
several runs, wall-clock milliseconds, each thing kept being forced to the disk. The
instrument has 48 keys and 96 reeds, a trace of 150 points for each; the recording is
50 MB of noise. LOCATION is a folder for the files (a temporary one if none is given,
which may lie in memory), or the address of an empty PostgreSQL database.
"""

import argparse
import random
import tempfile
import time
from collections.abc import Callable
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path
from statistics import median

from benchmarks.invented_records import (
    invented_layout,
    invented_plans,
    invented_survey,
    invented_targets,
)
from reedwright.store import Workshop, backup_workshop, check_workshop, open_workshop
from reedwright.tuning.model import Kind, Scheme, Temperament, Tolerance

__all__ = ["main", "timings"]

_NOW = "2026-11-25T14:03:00+00:00"
_RECORDING_BYTES = 50_000_000
_CHUNK_BYTES = 65_536
_TEMPERAMENT = Temperament("equal", "Equal", Kind.REGULAR, 700.0, (), "definition")


def timings(location: str, folder: Path) -> dict[str, list[float]]:
    """Return, by what was done, the milliseconds of each run; ``location`` holds nothing yet."""
    times: dict[str, list[float]] = {}

    def timed(what: str, work: Callable[[], object], runs: int = 7) -> None:
        for _ in range(runs):
            start = time.perf_counter()
            work()
            times.setdefault(what, []).append(1e3 * (time.perf_counter() - start))

    def reopen() -> None:
        with open_workshop(location) as workshop:
            workshop.jobs()

    timed("begin a workshop", lambda: open_workshop(location, create=True).close(), runs=1)
    timed("open it and list the jobs", reopen)
    with open_workshop(location) as workshop:
        survey_id = _time_records(workshop, timed)
        _time_recordings(workshop, timed)
    timed(
        f"check it all ({len(times['keep a 50 MB recording'])} recordings)",
        lambda: check_workshop(location),
        runs=3,
    )
    names = (folder / f"backup-{number}.reedwright" for number in range(3))
    timed("back it up and check the copy", lambda: backup_workshop(location, next(names)), runs=3)
    with open_workshop(folder / "backup-0.reedwright") as copy:
        assert len(copy.survey(survey_id).survey.readings) == 94
    return times


def _time_records(workshop: Workshop, timed: Callable[..., None]) -> int:
    layout = invented_layout()
    survey, targets, plans = (
        invented_survey(layout),
        invented_targets(layout),
        invented_plans(layout),
    )
    job = workshop.add_job(name="one", opened_on="2026-11-25")
    timed("keep a job", lambda: workshop.add_job(name="one", opened_on="2026-11-25"), 50)
    instrument = workshop.add_instrument(
        job.job_id, title="x", layout=layout, metal="steel", frame_metal="brass"
    ).instrument_id
    timed("read an instrument with its layout", lambda: workshop.instrument(instrument))
    kept = workshop.save_survey(instrument, survey, recording_id=None, made_at=_NOW)
    timed(
        "keep a survey of 94 readings, read it back",
        lambda: workshop.save_survey(instrument, survey, recording_id=None, made_at=_NOW),
    )
    timed("read that survey", lambda: workshop.survey(kept.survey_id))
    target_set = workshop.save_targets(
        instrument,
        targets,
        scheme=Scheme(440.0, _TEMPERAMENT),
        tolerance=Tolerance(),
        made_at=_NOW,
    ).target_set_id
    timed(
        "keep 96 plans with their steps, read them back",
        lambda: workshop.save_plans(
            plans, survey_id=kept.survey_id, target_set_id=target_set, made_at=_NOW
        ),
    )
    return kept.survey_id


def _time_recordings(workshop: Workshop, timed: Callable[..., None]) -> None:
    contents = iter(
        [random.Random(seed).randbytes(_RECORDING_BYTES) for seed in range(3)]  # noqa: S311
    )

    def keep(content: bytes) -> None:
        chunks = (
            content[at : at + _CHUNK_BYTES] for at in range(0, _RECORDING_BYTES, _CHUNK_BYTES)
        )
        workshop.add_recording(chunks, original_name="a.wav", media_type="audio/wav", added_at=_NOW)

    timed("keep a 50 MB recording", lambda: keep(next(contents)), 3)
    recording = workshop.recordings()[0]
    again = b"".join(workshop.recording_pieces(recording.recording_id))
    timed("hand the same 50 MB in again", lambda: keep(again), 3)
    timed(
        "read a 50 MB recording, checked",
        lambda: sum(map(len, workshop.recording_pieces(recording.recording_id))),
        3,
    )


def main() -> None:
    """Measure and print the table."""
    parser = argparse.ArgumentParser(description="Time the workshop file.")
    parser.add_argument("location", nargs="?", help="a folder, or an address of PostgreSQL")
    wanted = parser.parse_args().location
    is_server = wanted is not None and "://" in wanted
    place: AbstractContextManager[str] = (
        nullcontext(wanted) if wanted and not is_server else tempfile.TemporaryDirectory()
    )
    with place as folder:
        location = wanted if is_server else str(Path(folder) / "workshop.reedwright")
        times = timings(location, Path(folder))
        if not is_server:
            size = Path(location).stat().st_size / 1e6
            print(f"Workshop file at the end: {size:.0f} MB.\n")
    print("| what | median ms | worst ms |\n|---|---:|---:|")
    for what, runs in times.items():
        print(f"| {what} | {median(runs):.1f} | {max(runs):.1f} |")


if __name__ == "__main__":
    main()
