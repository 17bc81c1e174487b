"""Workshop files as a whole: a true copy of one in use, put in place without overwriting.

A workshop file in use has a log beside it (``NAME-wal``), and the file without its
log is not the workshop: so a file is never copied or renamed as it lies there, but
through SQLite's online backup, or after SQLite has put the log away.
"""

import errno
import os
import shutil
import sqlite3
import sys
from collections.abc import Callable
from pathlib import Path

from sqlalchemy import text

from reedwright.errors import FileError
from reedwright.store.database import Database, sqlite_driver

__all__ = [
    "copied_beside",
    "copy_to",
    "partial_name",
    "published",
    "put_log_away",
    "refuse_existing",
    "set_aside",
]

#: Pages copied between two reports of progress: 8 MiB.
_PAGES = 2048

_LOGS = ("-wal", "-shm", "-journal")


def copy_to(
    database: Database, target: Path, *, progress: Callable[[float], None] | None = None
) -> None:
    """Copy a workshop file in use to a new file that needs no log beside it.

    The copy is the workshop at one moment; others may go on writing meanwhile.

    Raises
    ------
    FileError
        If the copy cannot be written.
    """

    def tell(_status: int, remaining: int, total: int) -> None:
        if progress is not None and total:
            progress(1.0 - remaining / total)

    with database.snapshot() as connection:
        connection.execute(text("SELECT count(*) FROM sqlite_master"))  # the moment is now
        source = sqlite_driver(connection)
        try:
            copy = sqlite3.connect(target)
            try:
                source.backup(copy, pages=_PAGES, progress=tell)
                copy.execute("PRAGMA journal_mode=DELETE")
            finally:
                copy.close()
        except (sqlite3.Error, OSError) as trouble:
            target.unlink(missing_ok=True)
            raise FileError(
                f"the copy of {database.name} cannot be written to {target} ({trouble}); check "
                "that the disk has room and that you may write there"
            ) from trouble


def copied_beside(database: Database, why: str) -> Path:
    """Copy a workshop file beside itself as ``NAME.WHY`` and return the path of the copy."""
    path = database.path
    if path is None:
        raise TypeError("a database on a server has no file to copy")
    target = _free_name(path, why)
    partial = partial_name(target)
    copy_to(database, partial)
    return published(partial, target)


def published(partial: Path, target: Path) -> Path:
    """Give a finished file its name, for good, unless the name is taken; return ``target``.

    Raises
    ------
    FileError
        If ``target`` exists by now; ``partial`` is then removed.
    """
    try:
        _rename_to_free_name(partial, target)
    except FileExistsError:
        partial.unlink()
        refuse_existing(target)
        raise
    _force_folder(target.parent)
    return target


def refuse_existing(target: Path) -> None:
    """Refuse a name that is taken, or whose folder is missing, with FileError."""
    if not target.parent.is_dir():
        raise FileError(
            f"the new file needs a folder, {target.parent} is none; make it or connect its disk"
        )
    for taken in (target, *_logs(target)):
        if taken.exists():
            raise FileError(
                f"nothing is overwritten, and {taken} exists already; give another name or move "
                "that file away"
            )


def set_aside(path: Path, why: str) -> Path | None:
    """Rename a workshop file that nobody has open, as ``NAME.WHY``; None if there is none.

    A log left beside it goes with it under the new name, since a stale log would
    be taken for the next file's.

    Raises
    ------
    FileError
        If another program has the file open.
    """
    if not any(part.exists() for part in (path, *_logs(path))):
        return None
    aside = _free_name(path, why)
    log, log_aside = _logs(path)[0], _logs(aside)[0]
    if path.exists():
        # SQLite throws away the log of a file it cannot read: so first a copy of the log.
        if log.exists():
            shutil.copyfile(log, log_aside)
        try:
            is_whole = put_log_away(path)
        except FileError:
            log_aside.unlink(missing_ok=True)
            raise
        if is_whole:
            log_aside.unlink(missing_ok=True)
    for old, new in zip((path, *_logs(path)), (aside, *_logs(aside)), strict=True):
        if old.exists():
            old.replace(new)
    _force_folder(path.parent)
    return aside


def put_log_away(path: Path) -> bool:
    """Let SQLite merge the log into the file, which it does only for the last one to use it.

    Returns whether it did; False if the file is damaged or no database at all.

    Raises
    ------
    FileError
        If another program has the file open.
    """
    connection = sqlite3.connect(path, timeout=0.1)
    try:
        connection.execute("PRAGMA journal_mode=DELETE")
    except sqlite3.DatabaseError as trouble:
        if "locked" in str(trouble):
            raise FileError(
                f"a workshop file that is replaced must not be in use, another program has {path} "
                "open; close it there first"
            ) from trouble
        return False
    finally:
        connection.close()
    return True


def _rename_to_free_name(partial: Path, target: Path) -> None:
    if sys.platform == "win32":  # there a rename refuses a name that is taken
        partial.rename(target)
        return
    try:
        os.link(partial, target)
    except OSError as trouble:
        if trouble.errno not in {errno.EPERM, errno.ENOTSUP, errno.ENOSYS, errno.EMLINK}:
            raise
        # A disk without links, such as a memory stick: look, then rename.
        if target.exists():
            raise FileExistsError(target) from None
        partial.rename(target)
    else:
        partial.unlink()


def _force_folder(folder: Path) -> None:
    """Force a new name to the disk, where the system can do that for a folder."""
    if sys.platform == "win32":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _free_name(path: Path, why: str) -> Path:
    name = path.with_name(f"{path.name}.{why}")
    number = 2
    while any(taken.exists() for taken in (name, *_logs(name))):
        name = path.with_name(f"{path.name}.{why}-{number}")
        number += 1
    return name


def partial_name(target: Path) -> Path:
    """Return the name a file has until it is whole."""
    return target.with_name(f".{target.name}.{os.getpid()}.partial")


def _logs(path: Path) -> list[Path]:
    return [path.with_name(path.name + log) for log in _LOGS]
