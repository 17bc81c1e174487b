"""Check, back up, restore: a workshop as a whole.

A backup is one file, itself a workshop file, verified before it gets its name.
A workshop on a server is backed up into such a file too, row by row, and a backup
can be restored into an empty database there: the same way leads from a file to a
server. The server's own tools remain the way to back up a busy one continuously.
"""

import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from reedwright.errors import FileError
from reedwright.jobs.ports import CheckReport
from reedwright.store.check import check
from reedwright.store.database import Database
from reedwright.store.files import (
    copy_to,
    partial_name,
    published,
    put_log_away,
    refuse_existing,
    set_aside,
)
from reedwright.store.location import database_url, refuse_folder, refuse_missing
from reedwright.store.migration import schema
from reedwright.store.migrations import MIGRATIONS
from reedwright.store.transfer import carry_over
from reedwright.store.workshop import open_workshop

__all__ = ["backup_workshop", "check_workshop", "restore_workshop"]


def _silently(_share: float) -> None:
    """Tell nobody how far it is."""


def check_workshop(
    location: str | Path, *, progress: Callable[[float], None] = _silently
) -> CheckReport:
    """Read everything and report what is wrong, changing nothing.

    ``progress`` is told the share done, 0 to 1.

    Raises
    ------
    NotFound
        If there is no workshop.
    FileError
        If it is not one, or newer than this program.
    """
    with _existing(location) as database:
        return check(database, progress=progress)


def backup_workshop(
    location: str | Path, target: str | Path, *, progress: Callable[[float], None] = _silently
) -> CheckReport:
    """Write a verified copy to a new file, while others may go on working.

    Returns
    -------
    CheckReport
        Of the copy. Problems in it are those of the workshop itself: the copy is
        written all the same, since it may be the best there is.

    Raises
    ------
    NotFound
        If there is no workshop.
    FileError
        If ``target`` exists or cannot be written, or the location is no workshop.
    """
    path = Path(target)
    refuse_existing(path)
    partial = partial_name(path)
    with _existing(location) as database:
        try:
            if database.is_sqlite:
                copy_to(database, partial, progress=lambda share: progress(share / 2.0))
            else:
                _copy_from_server(database, partial)
            report = _checked(partial, progress)
            published(partial, path)
        finally:
            partial.unlink(missing_ok=True)
    return report


def restore_workshop(
    backup: str | Path,
    target: str | Path,
    *,
    overwrite: bool = False,
    progress: Callable[[float], None] = _silently,
) -> str | None:
    """Put a verified backup in place, as a file or in an empty database on a server.

    Returns
    -------
    str | None
        Where the workshop that was there before has been set aside, if there was
        one: ``NAME.before-restore``.

    Raises
    ------
    NotFound
        If there is no such backup.
    FileError
        If the backup has problems; if the target exists and ``overwrite`` is not
        asked for; if another program has it open; if a server's database is not
        empty, which ``overwrite`` does not change.
    """
    with _existing(backup) as source:
        if source.path is None:
            raise FileError(
                f"a backup is a file, {source.name} is a database on a server; back it up first"
            )
        if database_url(target).get_backend_name() != "sqlite":
            _restore_to_server(source, str(target), progress)
            return None
        path = Path(target)
        refuse_folder(path)
        if not overwrite:
            refuse_existing(path)
        partial = partial_name(path)
        try:
            _verified_copy(source, partial, progress)
            aside = set_aside(path, "before-restore")
            published(partial, path)
        finally:
            partial.unlink(missing_ok=True)
    return None if aside is None else str(aside)


@contextmanager
def _existing(location: str | Path) -> Iterator[Database]:
    database = Database(location)
    try:
        if database.path:
            refuse_missing(database.path)
        yield database
    finally:
        database.close()


def _checked(partial: Path, progress: Callable[[float], None]) -> CheckReport:
    """Check a fresh copy, which is the second half of the work."""
    with _existing(partial) as copy:
        return check(copy, progress=lambda share: progress((1.0 + share) / 2.0))


def _verified_copy(source: Database, partial: Path, progress: Callable[[float], None]) -> None:
    copy_to(source, partial, progress=lambda share: progress(share / 2.0))
    problems = _checked(partial, progress).problems
    if problems:
        raise FileError(
            f"only a sound backup is restored, {source.name} has {len(problems)} problems, the "
            f"first: {problems[0].subject}: {problems[0].statement}; take an earlier backup, or "
            "open this one itself to see what it still holds"
        )


def _copy_from_server(database: Database, partial: Path) -> None:
    with database.snapshot() as connection:
        if schema(connection) < len(MIGRATIONS):
            raise FileError(
                f"a workshop on a server is backed up at this program's schema, {database.name} "
                "has an older one; open it once with this program"
            )
    with open_workshop(partial, create=True) as copy:
        carry_over(database, copy.database)
    put_log_away(partial)


def _restore_to_server(source: Database, target: str, progress: Callable[[float], None]) -> None:
    # The backup may be of an older schema: a copy of it is brought to today's, not itself.
    with tempfile.TemporaryDirectory() as folder:
        between = Path(folder) / "between.reedwright"
        _verified_copy(source, between, progress)
        with open_workshop(between) as old, open_workshop(target, create=True) as new:
            carry_over(old.database, new.database)
