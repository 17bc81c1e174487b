"""What cannot be a workshop is refused in words: the rule, the value, the remedy."""

import os
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from reedwright.errors import FileError, NotFound
from reedwright.store import open_workshop
from reedwright.store.database import Database, sqlite_driver


def test_no_file_is_not_found_and_none_is_made(workshop_path: Path) -> None:
    """Opening does not begin a workshop by mistyping its name."""
    with pytest.raises(NotFound, match=r"there is none at .*workshop\.reedwright; check the path"):
        open_workshop(workshop_path)
    assert not workshop_path.exists()


def test_a_folder_is_refused(tmp_path: Path) -> None:
    """A folder is no file; the message names a file in it."""
    with pytest.raises(FileError, match=r"is a folder; name a file in it, such as .*reedwright"):
        open_workshop(tmp_path, create=True)


def test_a_missing_disk_is_refused(tmp_path: Path) -> None:
    """Where there is no folder, nothing is made, and none is made up."""
    place = tmp_path / "stick" / "workshop.reedwright"
    for create in (False, True):
        with pytest.raises(FileError, match=r"stick is none; make the folder, connect its disk"):
            open_workshop(place, create=create)
    assert not place.parent.exists()


@pytest.mark.parametrize("content", [b"key,note\nL1.1,C4\n" * 100, b"RIFF\0\0\0\0WAVE" * 50])
def test_another_kind_of_file_is_refused_untouched(workshop_path: Path, content: bytes) -> None:
    """A text or a sound named like a workshop is told from one and left alone."""
    workshop_path.write_bytes(content)
    with pytest.raises(FileError, match="is not a workshop file; name the right file"):
        open_workshop(workshop_path, create=True)
    assert workshop_path.read_bytes() == content


def test_a_torn_file_is_refused(workshop_path: Path) -> None:
    """Cut in the middle, or overwritten there, a file is told to be damaged when read."""
    with open_workshop(workshop_path, create=True) as workshop:
        for number in range(200):
            workshop.add_job(name=f"job {number}" * 20, opened_on="2026-11-25")
    whole = workshop_path.read_bytes()
    workshop_path.write_bytes(whole[: len(whole) // 2])
    with pytest.raises(FileError, match="is damaged; keep it, run the check"):
        open_workshop(workshop_path).jobs()


@pytest.mark.parametrize("which", ["file", "folder"])
def test_a_read_only_file_or_folder_is_refused(which: str) -> None:
    """What may not be written is said at once, not at the first thing to keep."""
    with _as_an_ordinary_user() as folder:
        path = folder / "workshop.reedwright"
        open_workshop(path, create=True).close()
        place = path if which == "file" else folder
        place.chmod(0o555)
        with pytest.raises(FileError, match=f"{place} is read-only; change its rights"):
            open_workshop(path)
        place.chmod(0o755)
        open_workshop(path).close()


@contextmanager
def _as_an_ordinary_user() -> Iterator[Path]:
    """Yield a folder of our own, not as root, to whom nothing is read-only."""
    folder = Path(tempfile.mkdtemp(prefix="reedwright-"))
    is_root = hasattr(os, "geteuid") and os.geteuid() == 0
    try:
        if is_root:
            os.chown(folder, 65534, -1)
            os.seteuid(65534)
        try:
            yield folder
        finally:
            if is_root:
                os.seteuid(0)
    finally:
        shutil.rmtree(folder)


@pytest.mark.parametrize("lock", ["BEGIN IMMEDIATE", "BEGIN EXCLUSIVE"])
def test_a_file_another_program_writes_is_refused_in_time(workshop_path: Path, lock: str) -> None:
    """After its patience a writer is told who is in the way; a reader is not held up."""
    with open_workshop(workshop_path, create=True, busy_timeout_ms=50) as workshop:
        job = workshop.add_job(name="first", opened_on="2026-11-25")
        other = sqlite3.connect(workshop_path, isolation_level=None)
        other.execute(lock)
        with pytest.raises(FileError, match=r"is being written by another program; wait"):
            workshop.add_job(name="second", opened_on="2026-11-25")
        assert workshop.jobs() == (job,)
        other.execute("ROLLBACK")
        other.close()
        workshop.add_job(name="second", opened_on="2026-11-25")
        assert len(workshop.jobs()) == 2


@pytest.mark.parametrize("within", ["one call", "atomic"])
def test_a_full_disk_is_said_and_loses_nothing(workshop_path: Path, within: str) -> None:
    """When there is no room the call is refused as a whole; what was kept before stays."""
    with open_workshop(workshop_path, create=True) as workshop:
        job = workshop.add_job(name="kept", opened_on="2026-11-25")
        with workshop.database.snapshot() as connection:
            pages = connection.exec_driver_sql("PRAGMA page_count").scalar_one()
            connection.exec_driver_sql(f"PRAGMA max_page_count={pages + 20}")

        def fill() -> None:
            workshop.add_job(name="lost", opened_on="2026-11-25")
            workshop.add_recording(
                [bytes(1 << 20)],
                original_name="a.wav",
                media_type="audio/wav",
                added_at="2026-11-25T14:03:00+00:00",
            )

        def fill_at_once() -> None:
            with workshop.atomic():
                fill()

        with pytest.raises(FileError, match="does not fit on the disk any more; make room"):
            (fill if within == "one call" else fill_at_once)()
        names = [kept.name for kept in workshop.jobs()]
        assert names == ([job.name] if within == "atomic" else [job.name, "lost"])
        assert workshop.recordings() == ()
        workshop.add_job(name="after", opened_on="2026-11-25")


def test_an_action_the_database_gave_up_is_not_half_kept(workshop_path: Path) -> None:
    """Whoever swallows the error of a full disk inside an action cannot keep the rest of it."""
    with open_workshop(workshop_path, create=True) as workshop:
        with workshop.database.snapshot() as connection:
            pages = connection.exec_driver_sql("PRAGMA page_count").scalar_one()
            connection.exec_driver_sql(f"PRAGMA max_page_count={pages + 20}")

        def swallow(*, go_on: bool) -> None:
            with workshop.atomic():
                workshop.add_job(name="lost", opened_on="2026-11-25")
                with pytest.raises(FileError, match="does not fit"):
                    workshop.add_recording(
                        [bytes(1 << 20)],
                        original_name="a.wav",
                        media_type="audio/wav",
                        added_at="2026-11-25T14:03:00+00:00",
                    )
                if go_on:
                    workshop.add_job(name="half", opened_on="2026-11-25")

        for go_on in (True, False):
            with pytest.raises(FileError, match=r"kept as a whole, .* do it again"):
                swallow(go_on=go_on)
            assert workshop.jobs() == ()


def test_a_server_that_does_not_answer_is_named_without_its_password(tmp_path: Path) -> None:
    """The refusal says where the server was looked for, and keeps the password to itself."""
    address = f"postgresql://me:secret@/workshop?host={tmp_path}"
    with pytest.raises(FileError, match="does not answer at postgresql") as refusal:
        open_workshop(address)
    assert "secret" not in str(refusal.value)
    assert "***" in str(refusal.value)


@pytest.mark.parametrize("address", ["mysql://me@host/workshop", "postgresql://me@host:x/y"])
def test_an_address_that_is_none_is_refused(address: str) -> None:
    """Only files and PostgreSQL are workshops, and an address must be readable."""
    with pytest.raises(FileError, match="postgresql://user@host/workshop"):
        open_workshop(address)


def test_settings_that_lose_nothing_are_on(workshop_path: Path) -> None:
    """Every connection waits, checks references, and forces its log to the disk."""
    with open_workshop(workshop_path, create=True) as workshop:
        for opened in (workshop.atomic, workshop.snapshot):
            with opened() as connection:
                found = {
                    pragma: connection.exec_driver_sql(f"PRAGMA {pragma}").scalar_one()
                    for pragma in ("journal_mode", "synchronous", "foreign_keys", "busy_timeout")
                }
                # The driver begins no transaction of its own, ``atomic`` alone does.
                assert sqlite_driver(connection).isolation_level is None
            assert found == {
                "journal_mode": "wal",
                "synchronous": 2,  # FULL
                "foreign_keys": 1,
                "busy_timeout": 5000,
            }


def test_every_transaction_for_writing_begins_as_one(workshop_path: Path) -> None:
    """Two connections never both read first and then wait for each other to write."""
    first, second = (Database(workshop_path, busy_timeout_ms=50) for _ in range(2))

    def both() -> None:
        with first.atomic(), second.atomic():
            pass

    with pytest.raises(FileError, match="written by another program"):
        both()
    first.close()
    second.close()
