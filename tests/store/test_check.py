"""The check: a sound workshop passes, every kind of damage is told, nothing is changed."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest
from benchmarks.invented_records import fill_workshop
from sqlalchemy import delete, insert, update

from reedwright.errors import NotFound
from reedwright.jobs.ports import Problem
from reedwright.store import Workshop, check_workshop, open_workshop
from reedwright.store.columns import METADATA
from reedwright.store.migrations import MIGRATIONS
from reedwright.store.recordings import RECORDING_PIECES
from reedwright.store.surveys import SURVEYS


@contextmanager
def tampering(path: Path) -> Iterator[sqlite3.Connection]:
    """Yield a connection of no scruples to a closed workshop file."""
    with closing(sqlite3.connect(path)) as connection:
        yield connection
        connection.commit()


@pytest.fixture
def filled_path(workshop_path: Path) -> Path:
    """Return the path of a closed workshop file with something in every table."""
    with open_workshop(workshop_path, create=True) as workshop:
        fill_workshop(workshop)
    return workshop_path


def test_a_sound_workshop_has_no_problems(location: str, workshop: Workshop) -> None:
    """With something in every table the check counts it all and finds nothing wrong."""
    fill_workshop(workshop)
    shares: list[float] = []
    report = check_workshop(location, progress=shares.append)
    assert report.problems == ()
    assert report.schema == len(MIGRATIONS)
    counts = dict(report.records)
    assert counts.keys() == METADATA.tables.keys()
    assert all(counts.values())
    assert counts["recording_pieces"] == 3
    assert shares == sorted(shares)
    assert shares[-1] == 1.0


@pytest.mark.parametrize("damage", ["a byte", "a piece lost", "a piece too many"])
def test_a_damaged_recording_is_named(location: str, workshop: Workshop, damage: str) -> None:
    """One byte, one piece fewer, one more: the recording is named, with what to do."""
    fill_workshop(workshop)
    piece = RECORDING_PIECES.c.number == 2
    changes = {
        "a byte": update(RECORDING_PIECES).where(piece).values(piece=b"x"),
        "a piece lost": delete(RECORDING_PIECES).where(piece),
        "a piece too many": insert(RECORDING_PIECES).values(recording_id=1, number=9, piece=b"x"),
    }
    with workshop.atomic() as connection:
        connection.execute(changes[damage])
    (problem,) = check_workshop(location).problems
    assert problem.subject == "recording 1"
    expected = "1 pieces belong to no recording" if damage == "a piece too many" else "its checksum"
    assert expected in problem.statement
    assert "backup" in problem.remedy


def test_a_record_that_does_not_read_back_is_named(location: str, workshop: Workshop) -> None:
    """A value no record can hold is found by reading, where the database sees only text."""
    fill_workshop(workshop)
    with workshop.atomic() as connection:
        connection.execute(update(SURVEYS).values(cautions="{"))
    (problem,) = check_workshop(location).problems
    assert problem.subject == "surveys number 1"
    assert "does not read back" in problem.statement


def test_rows_that_point_nowhere_are_named(filled_path: Path) -> None:
    """Children without their parent are listed, row by row."""
    with tampering(filled_path) as connection:
        connection.execute("DELETE FROM jobs")
    problems = check_workshop(filled_path).problems
    assert problems == (
        Problem(
            "instruments row 1",
            "points to a row of jobs that is not there",
            "keep the file as it is and restore the last backup",
        ),
    )


def test_pieces_of_no_recording_are_named(filled_path: Path) -> None:
    """Sound that belongs to nothing is told, though nobody would miss it."""
    with tampering(filled_path) as connection:
        connection.execute("DELETE FROM recordings")
    statements = [problem.statement for problem in check_workshop(filled_path).problems]
    assert "3 pieces belong to no recording" in statements


@pytest.mark.parametrize(
    ("change", "subject"),
    [
        ("DROP TABLE typed_rows", "typed_rows"),
        ("ALTER TABLE typed_rows DROP COLUMN final_cents", "typed_rows.final_cents"),
    ],
)
def test_a_missing_table_or_column_is_named(filled_path: Path, change: str, subject: str) -> None:
    """A table that is gone is told as itself, and does not stop the check."""
    with tampering(filled_path) as connection:
        connection.execute(change)
    subjects = [problem.subject for problem in check_workshop(filled_path).problems]
    assert subject in subjects


def test_an_overwritten_page_is_told(filled_path: Path) -> None:
    """A stretch of the file overwritten with something else is damage, whatever it hits."""
    content = bytearray(filled_path.read_bytes())
    with tampering(filled_path) as connection:
        (root,) = connection.execute(
            "SELECT rootpage FROM sqlite_master WHERE name = 'tones'"
        ).fetchone()
    start = (root - 1) * 4096
    content[start : start + 4096] = b"\xa5" * 4096
    filled_path.write_bytes(content)
    problems = check_workshop(filled_path).problems
    assert any(
        "tones" in problem.statement or "damaged" in problem.statement for problem in problems
    )


def test_the_check_changes_nothing(filled_path: Path) -> None:
    """Not a byte of the file, and no other file is left."""
    before = filled_path.read_bytes()
    check_workshop(filled_path)
    assert filled_path.read_bytes() == before
    assert [path.name for path in filled_path.parent.iterdir()] == [filled_path.name]


def test_what_is_not_there_is_not_checked(workshop_path: Path) -> None:
    """No file, no check, and none is made by asking."""
    with pytest.raises(NotFound, match="there is none at"):
        check_workshop(workshop_path)
    assert not workshop_path.exists()
