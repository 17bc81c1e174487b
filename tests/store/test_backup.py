"""Backup and restore: verified, never over something, and back as it was."""

import sqlite3
import threading
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from benchmarks.invented_records import fill_workshop
from sqlalchemy import insert, select, update

from reedwright.errors import FileError, NotFound
from reedwright.jobs.ports import WorkshopFiles
from reedwright.store import (
    Workshop,
    backup_workshop,
    check_workshop,
    files,
    open_workshop,
    restore_workshop,
)
from reedwright.store.columns import METADATA
from reedwright.store.recordings import RECORDING_PIECES


def rows(location: str | Path) -> dict[str, list[tuple[object, ...]]]:
    """Return every row of every table."""
    with open_workshop(location) as workshop, workshop.snapshot() as connection:
        return {
            name: sorted(tuple(row) for row in connection.execute(select(table)))
            for name, table in METADATA.tables.items()
        }


def names(folder: Path) -> set[str]:
    """Return what lies in a folder, hidden files too."""
    return {path.name for path in folder.iterdir()}


def test_the_store_is_what_wiring_hands_out() -> None:
    """The package itself has the calls of WorkshopFiles, as the type checker confirms."""
    import reedwright.store  # noqa: PLC0415 -- the module as a value

    store: WorkshopFiles = reedwright.store
    calls = [name for name in dir(WorkshopFiles) if not name.startswith("_")]
    assert all(callable(getattr(store, name)) for name in calls)


def test_a_backup_is_the_same_workshop(location: str, workshop: Workshop, tmp_path: Path) -> None:
    """Made while the workshop is open, from either database: one sound file, every row equal."""
    fill_workshop(workshop)
    target = tmp_path / "backups" / "monday.reedwright"
    target.parent.mkdir()
    shares: list[float] = []
    report = backup_workshop(location, target, progress=shares.append)
    assert report.problems == ()
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
    assert names(target.parent) == {"monday.reedwright"}
    assert rows(target) == rows(location)
    assert all(rows(target).values())


def test_a_backup_needs_nothing_beside_it(tmp_path: Path, workshop_path: Path) -> None:
    """What still lies in the log of an open workshop is in the one file of the backup."""
    with open_workshop(workshop_path, create=True) as workshop:
        job = workshop.add_job(name="in the log", opened_on="2026-11-25")
        assert workshop_path.with_name(workshop_path.name + "-wal").stat().st_size > 0
        target = tmp_path / "copy"
        backup_workshop(workshop_path, target)
        with closing(sqlite3.connect(target)) as connection:
            assert connection.execute("PRAGMA journal_mode").fetchone() == ("delete",)
        moved = tmp_path / "elsewhere"
        moved.write_bytes(target.read_bytes())
        with open_workshop(moved) as copy:
            assert copy.jobs() == (job,)


def test_a_backup_never_overwrites(workshop_path: Path, tmp_path: Path) -> None:
    """A name that is taken, by the workshop itself or by anything, is refused untouched."""
    with open_workshop(workshop_path, create=True) as workshop:
        fill_workshop(workshop)
    before = workshop_path.read_bytes()
    taken = tmp_path / "taken"
    taken.write_text("mine")
    log = tmp_path / "free-wal"
    log.write_text("mine too")
    for target in (taken, workshop_path, tmp_path / "free"):
        with pytest.raises(FileError, match=r"nothing is overwritten, and .* exists already"):
            backup_workshop(workshop_path, target)
    assert (taken.read_text(), log.read_text()) == ("mine", "mine too")
    assert workshop_path.read_bytes() == before
    assert names(tmp_path) == {"taken", "free-wal", workshop_path.name}


def test_a_name_taken_meanwhile_is_not_overwritten(tmp_path: Path) -> None:
    """Even when the name was free at first, the last step does not replace a file."""
    partial, target = tmp_path / ".partial", tmp_path / "target"
    partial.write_text("new")
    target.write_text("old")
    with pytest.raises(FileError, match="nothing is overwritten"):
        files.published(partial, target)
    assert target.read_text() == "old"
    assert not partial.exists()


def test_a_backup_to_nowhere_is_refused(workshop_path: Path, tmp_path: Path) -> None:
    """A folder that is not there is named."""
    open_workshop(workshop_path, create=True).close()
    with pytest.raises(FileError, match="stick is none; make it or connect its disk"):
        backup_workshop(workshop_path, tmp_path / "stick" / "copy")


def test_a_backup_of_nothing_is_not_found(tmp_path: Path) -> None:
    """No workshop, no backup, and no file is left over."""
    with pytest.raises(NotFound, match="there is none at"):
        backup_workshop(tmp_path / "none", tmp_path / "copy")
    assert names(tmp_path) == set()


def test_a_backup_that_breaks_off_leaves_nothing(workshop_path: Path, tmp_path: Path) -> None:
    """When the copy cannot be finished, no half of it lies there under any name."""
    with open_workshop(workshop_path, create=True) as workshop:
        fill_workshop(workshop)
    before = names(tmp_path)

    def break_off(_share: float) -> None:
        raise OSError("no room")

    with pytest.raises((FileError, OSError), match="no room"):
        backup_workshop(workshop_path, tmp_path / "copy", progress=break_off)
    assert names(tmp_path) == before


def test_a_damaged_workshop_is_backed_up_and_told(workshop_path: Path, tmp_path: Path) -> None:
    """The copy is made, since it may be the best there is, and says what is wrong with it."""
    with open_workshop(workshop_path, create=True) as workshop:
        fill_workshop(workshop)
        with workshop.atomic() as connection:
            connection.execute(update(RECORDING_PIECES).values(piece=b"x"))
    report = backup_workshop(workshop_path, tmp_path / "copy")
    assert [problem.subject for problem in report.problems] == ["recording 1"]
    assert (tmp_path / "copy").exists()


def test_a_backup_while_others_write_is_of_one_moment(workshop_path: Path, tmp_path: Path) -> None:
    """Others write on during the copy; what is in it is whole and none of their halves."""
    with open_workshop(workshop_path, create=True) as workshop:
        fill_workshop(workshop)
        done = threading.Event()

        def write() -> None:
            while not done.is_set():
                with workshop.atomic():
                    job = workshop.add_job(name="half", opened_on="2026-11-25")
                    workshop.update_job(job)

        writer = threading.Thread(target=write)
        writer.start()
        try:
            for number in range(5):
                assert backup_workshop(workshop_path, tmp_path / f"{number}").problems == ()
        finally:
            done.set()
            writer.join()
    for number in range(5):
        with open_workshop(tmp_path / f"{number}") as copy:
            _one, *others = copy.jobs()
            assert {job.version for job in others} <= {2}


def test_a_backup_comes_back(location: str, workshop: Workshop, tmp_path: Path) -> None:
    """Restored under a new name, it is the workshop again, and takes new records."""
    fill_workshop(workshop)
    backup_workshop(location, tmp_path / "copy")
    back = tmp_path / "back.reedwright"
    assert restore_workshop(tmp_path / "copy", back) is None
    assert rows(back) == rows(location)
    with open_workshop(back) as restored:
        assert restored.add_job(name="two", opened_on="2026-11-25").job_id == 2


def test_a_restore_keeps_the_old_file_beside(workshop_path: Path, tmp_path: Path) -> None:
    """Only when told so is a workshop replaced; the old one stays, whole, under another name."""
    with open_workshop(workshop_path, create=True) as workshop:
        workshop.add_job(name="monday", opened_on="2026-11-23")
    backup_workshop(workshop_path, tmp_path / "copy")
    with open_workshop(workshop_path) as workshop:
        workshop.add_job(name="tuesday", opened_on="2026-11-24")
    with pytest.raises(FileError, match="nothing is overwritten"):
        restore_workshop(tmp_path / "copy", workshop_path)
    aside = restore_workshop(tmp_path / "copy", workshop_path, overwrite=True)
    assert aside == f"{workshop_path}.before-restore"
    again = restore_workshop(tmp_path / "copy", workshop_path, overwrite=True)
    assert again == f"{workshop_path}.before-restore-2"
    for path, expected in {
        str(workshop_path): ["monday"],
        aside: ["monday", "tuesday"],
        again: ["monday"],
    }.items():
        with open_workshop(path) as workshop:
            assert [job.name for job in workshop.jobs()] == expected


def test_a_log_left_behind_does_not_poison_the_restored_file(
    workshop_path: Path, tmp_path: Path
) -> None:
    """A killed program's log goes aside with its file and is not taken for the new file's."""
    with open_workshop(workshop_path, create=True) as workshop:
        backup_workshop(workshop_path, tmp_path / "copy")
        workshop.add_job(name="in the log", opened_on="2026-11-25")
        killed = tmp_path / "killed"
        killed.mkdir()
        for part in ("", "-wal"):
            left = killed / f"w{part}"
            left.write_bytes(workshop_path.with_name(workshop_path.name + part).read_bytes())
    aside = restore_workshop(tmp_path / "copy", killed / "w", overwrite=True)
    assert aside is not None
    with open_workshop(killed / "w") as restored, open_workshop(aside) as old:
        assert restored.jobs() == ()
        assert [job.name for job in old.jobs()] == ["in the log"]


def test_a_workshop_in_use_is_not_replaced(workshop_path: Path, tmp_path: Path) -> None:
    """While a program has it open, it would go on writing into the file set aside: refused."""
    with open_workshop(workshop_path, create=True) as workshop:
        backup_workshop(workshop_path, tmp_path / "copy")
        workshop.add_job(name="kept", opened_on="2026-11-25")
        with pytest.raises(FileError, match=r"another program has .* open; close it there first"):
            restore_workshop(tmp_path / "copy", workshop_path, overwrite=True)
        assert [job.name for job in workshop.jobs()] == ["kept"]
    assert names(tmp_path) == {workshop_path.name, "copy"}


def test_a_damaged_file_can_be_replaced(workshop_path: Path, tmp_path: Path) -> None:
    """What is no database any more is set aside as it lies, for whoever may still save it."""
    open_workshop(workshop_path, create=True).close()
    backup_workshop(workshop_path, tmp_path / "copy")
    workshop_path.write_bytes(b"burnt" * 100)
    workshop_path.with_name(workshop_path.name + "-wal").write_bytes(b"its log" * 100)
    aside = restore_workshop(tmp_path / "copy", workshop_path, overwrite=True)
    assert aside is not None
    assert Path(aside).read_bytes() == b"burnt" * 100
    assert Path(f"{aside}-wal").read_bytes() == b"its log" * 100
    assert check_workshop(workshop_path).problems == ()


def test_a_log_without_its_file_goes_aside(workshop_path: Path, tmp_path: Path) -> None:
    """Where only a log is left, it is not overwritten, and not taken for the restored file's."""
    open_workshop(workshop_path, create=True).close()
    backup_workshop(workshop_path, tmp_path / "copy")
    log = workshop_path.with_name(workshop_path.name + "-wal")
    workshop_path.unlink()
    log.write_bytes(b"of a file that is gone")
    with pytest.raises(FileError, match="-wal exists already"):
        restore_workshop(tmp_path / "copy", workshop_path)
    aside = restore_workshop(tmp_path / "copy", workshop_path, overwrite=True)
    assert Path(f"{aside}-wal").read_bytes() == b"of a file that is gone"
    assert not log.exists()
    assert check_workshop(workshop_path).problems == ()


def _spoil_recording(path: Path) -> None:
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("UPDATE recording_pieces SET piece = x'00'")
        connection.commit()


def _spoil_text(path: Path) -> None:
    path.write_text("this is no backup at all\n" * 100)


@pytest.mark.parametrize("spoil", [_spoil_recording, _spoil_text])
def test_a_spoilt_backup_is_not_restored(
    workshop_path: Path, tmp_path: Path, spoil: Callable[[Path], None]
) -> None:
    """It is verified before anything is touched: the workshop stays where it is, as it is."""
    with open_workshop(workshop_path, create=True) as workshop:
        fill_workshop(workshop)
    backup_workshop(workshop_path, tmp_path / "copy")
    spoil(tmp_path / "copy")
    before = rows(workshop_path)
    with pytest.raises(FileError, match=r"only a sound backup is restored|not a workshop file"):
        restore_workshop(tmp_path / "copy", workshop_path, overwrite=True)
    assert rows(workshop_path) == before
    assert names(tmp_path) == {workshop_path.name, "copy"}


def test_a_backup_moves_into_an_empty_database(
    request: pytest.FixtureRequest, workshop_path: Path
) -> None:
    """From a file to a server: every row under its number, counting on from there, once."""
    address = request.getfixturevalue("server").new_database()
    with open_workshop(workshop_path, create=True) as file:
        fill_workshop(file)
    assert restore_workshop(workshop_path, address) is None
    assert rows(address) == rows(workshop_path)
    with open_workshop(address) as workshop:
        assert workshop.add_job(name="two", opened_on="2026-11-25").job_id == 2
    with pytest.raises(FileError, match=r"only carried over into an empty one, .* has jobs"):
        restore_workshop(workshop_path, address, overwrite=True)


def test_a_carry_over_is_whole_or_nothing(
    request: pytest.FixtureRequest, workshop_path: Path
) -> None:
    """A row that does not arrive takes the others back with it."""
    address = request.getfixturevalue("server").new_database()
    with open_workshop(workshop_path, create=True) as file:
        fill_workshop(file)
    with closing(sqlite3.connect(workshop_path)) as connection:
        connection.execute("UPDATE typed_rows SET is_ticked = 9223372036854775807")
        connection.commit()
    with pytest.raises(Exception, match=r"(?i)out of range"):
        restore_workshop(workshop_path, address)
    with open_workshop(address) as workshop:
        assert workshop.jobs() == ()


def test_a_server_is_no_backup(request: pytest.FixtureRequest, tmp_path: Path) -> None:
    """What is restored is a file; a database on a server is backed up first."""
    address = request.getfixturevalue("server").new_database()
    with pytest.raises(FileError, match="a backup is a file"):
        restore_workshop(address, tmp_path / "back")


def test_rows_can_be_told_apart(location: str, workshop: Workshop) -> None:
    """The comparison of these tests sees a single changed value."""
    fill_workshop(workshop)
    before = rows(location)
    with workshop.atomic() as connection:
        piece = {"recording_id": 1, "number": 7, "piece": b"x"}
        connection.execute(insert(RECORDING_PIECES).values(piece))
    assert rows(location) != before
