"""Killed at any moment, the program loses nothing it said it had kept.

What is killed is the process. That a commit also survives the power going off is
SQLite's promise for ``synchronous=FULL``, and cannot be tried here.
"""

import random
import subprocess
import sys
import time
from pathlib import Path

import pytest

from reedwright.store import check_workshop, open_workshop
from reedwright.store.migrations import MIGRATIONS

_SOURCES = str(Path(__file__).parents[2])

#: Keeps action after action, a job with a recording of its own, and says when each is kept.
_WRITER = """
import random, sys
from reedwright.store import open_workshop
with open_workshop(sys.argv[1]) as workshop:
    number = int(sys.argv[2])
    while True:
        number += 1
        with workshop.atomic():
            job = workshop.add_job(name=str(number), opened_on="2026-11-25")
            workshop.add_recording(
                [random.Random(number).randbytes(number % 7 * 300_000 + 1)],
                original_name=str(number),
                media_type="audio/wav",
                added_at="2026-11-25T14:03:00+00:00",
            )
            workshop.update_job(job)
        print(number, flush=True)
"""

#: Migrates, and stops half-way for good.
_MIGRATOR = """
import sys, time
from sqlalchemy import text
from reedwright.store.database import Database
from reedwright.store.migration import migrate
from reedwright.store.migrations import MIGRATIONS, Migration
def run(connection):
    connection.execute(text("CREATE TABLE extra (extra_id INTEGER PRIMARY KEY)"))
    connection.execute(text("UPDATE jobs SET name = 'spoilt'"))
    print("half-way", flush=True)
    time.sleep(60)
migrate(Database(sys.argv[1]), migrations=(*MIGRATIONS, Migration(len(MIGRATIONS) + 1, "x", run)))
"""

#: Says when everything is loaded, begins a workshop, and waits.
_BEGINNER = """
import sys, time
from reedwright.store import open_workshop
print("ready", flush=True)
open_workshop(sys.argv[1], create=True)
time.sleep(60)
"""


def _start(script: str, *arguments: str) -> subprocess.Popen[str]:
    return subprocess.Popen(  # noqa: S603 -- our own script
        [sys.executable, "-c", script, *arguments],
        stdout=subprocess.PIPE,
        text=True,
        cwd=_SOURCES,
    )


def test_nothing_acknowledged_is_lost_when_killed(workshop_path: Path) -> None:
    """Five times in the middle of writing: every action told is there whole, and no half one."""
    chance = random.Random(7)  # noqa: S311 -- when to kill, no secret
    open_workshop(workshop_path, create=True).close()
    told: list[int] = []
    for _ in range(5):
        with _start(_WRITER, str(workshop_path), str(told[-1] if told else 0)) as writer:
            assert writer.stdout is not None
            first = writer.stdout.readline()
            time.sleep(chance.uniform(0.0, 0.3))
            writer.kill()
            told += [int(line) for line in (first + writer.stdout.read()).split()]
        with open_workshop(workshop_path) as workshop:
            kept = [int(job.name) for job in workshop.jobs()]
            # One more may have been kept and killed before it could say so.
            assert kept[: len(told)] == told
            assert len(kept) <= len(told) + 1
            told = kept
            assert {job.version for job in workshop.jobs()} == {2}
            recordings = workshop.recordings()
            assert [int(recording.original_name) for recording in recordings] == kept
            for recording in recordings[-3:]:
                size = int(recording.original_name) % 7 * 300_000 + 1
                content = random.Random(int(recording.original_name)).randbytes(size)  # noqa: S311
                pieces = workshop.recording_pieces(recording.recording_id)
                assert b"".join(pieces) == content
    assert len(told) >= 5
    assert check_workshop(workshop_path).problems == ()


def test_a_migration_killed_half_way_never_happened(workshop_path: Path) -> None:
    """The file opens as before, at the old schema; the copy made before stays beside it."""
    with open_workshop(workshop_path, create=True) as workshop:
        job = workshop.add_job(name="kept", opened_on="2026-11-25")
    with _start(_MIGRATOR, str(workshop_path)) as migrator:
        assert migrator.stdout is not None
        assert migrator.stdout.readline() == "half-way\n"
        migrator.kill()
    with open_workshop(workshop_path) as workshop:
        assert workshop.jobs() == (job,)
    report = check_workshop(workshop_path)
    assert (report.schema, report.problems) == (len(MIGRATIONS), ())
    assert "extra" not in dict(report.records)
    (copy,) = workshop_path.parent.glob("*.before-schema-*")
    assert check_workshop(copy).problems == ()


@pytest.mark.parametrize("at_s", [0.0, 0.02, 0.1])
def test_killed_while_it_begins_a_workshop_begins_again(workshop_path: Path, at_s: float) -> None:
    """Whatever is left of a workshop that was being begun can be begun, or is one already."""
    with _start(_BEGINNER, str(workshop_path)) as beginner:
        assert beginner.stdout is not None
        beginner.stdout.readline()
        time.sleep(at_s)
        beginner.kill()
    with open_workshop(workshop_path, create=True) as workshop:
        assert workshop.jobs() == ()
    assert check_workshop(workshop_path).problems == ()
