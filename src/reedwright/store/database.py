"""A connection to one workshop: settings that lose nothing, and the one way to write.

SQLite: a write-ahead log that is forced to the disk at every commit
(``synchronous=FULL``), foreign keys on, five seconds of patience with another
writer. The driver's own habit of opening transactions by itself is switched off;
``atomic`` opens them, with BEGIN IMMEDIATE, and nothing else does. ``snapshot``
opens the reading kind, so that a record made of many rows is read as it was at
one moment.

References: SQLite's documentation of ``PRAGMA synchronous`` and of write-ahead
logging; SQLAlchemy's of the pysqlite dialect, "Serializable isolation".
"""

import sqlite3
import threading
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event
from sqlalchemy.exc import DatabaseError, OperationalError

from reedwright.errors import FileError
from reedwright.store.location import database_url

__all__ = ["APPLICATION_ID", "BUSY_TIMEOUT_MS", "Database", "sqlite_driver"]

#: "Reed" in ASCII, in the header of every workshop file of ours.
APPLICATION_ID = 0x52656564

BUSY_TIMEOUT_MS = 5000

#: Part of SQLite's message: what is wrong, and what to do about it.
_SQLITE_TROUBLES = (
    ("is locked", "is being written by another program; wait until it is done, or close it"),
    ("readonly", "may not be written; give yourself the right to write it and its folder"),
    ("is full", "does not fit on the disk any more; make room and try again"),
    ("not a database", "is not a workshop file; name the right file, or restore a backup"),
    ("malformed", "is damaged; keep it, run the check on it and restore the last backup"),
    ("unable to open", "cannot be opened; check that you may read and write it and its folder"),
    ("disk I/O", "cannot be read or written by the disk; copy it to another disk and check it"),
)


class Database:
    """One workshop's database, shared by the threads of this program.

    ``location`` is the path of a file or an address beginning with
    ``postgresql://``. Nothing is read before the first call.
    """

    def __init__(self, location: str | Path, *, busy_timeout_ms: int = BUSY_TIMEOUT_MS) -> None:
        self._url = database_url(location)
        self.is_sqlite = self._url.get_backend_name() == "sqlite"
        self.path = Path(location) if self.is_sqlite else None
        self._open = threading.local()
        self._engine = _engine(self._url)
        if self.is_sqlite:
            event.listen(self._engine, "connect", _sqlite_settings(busy_timeout_ms))
            event.listen(self._engine, "begin", _begin_sqlite)

    @property
    def name(self) -> str:
        """The path or address to show to people, without a password."""
        return str(self.path) if self.path else self._url.render_as_string(hide_password=True)

    def close(self) -> None:
        """Close all connections; the last one to go tidies SQLite's log into the file."""
        self._engine.dispose()

    def use_write_ahead_log(self) -> None:
        """Set SQLite's log for good, so that readers and one writer do not wait for each other."""
        if self.is_sqlite:
            with self._engine.connect() as connection:
                sqlite_driver(connection).execute("PRAGMA journal_mode=WAL")

    @contextmanager
    def atomic(self) -> Iterator[Connection]:
        """Keep everything written inside, or nothing if an error leaves the block.

        Inside another ``atomic`` of the same thread it is a savepoint: an error
        undoes this block alone, and the outer block decides about the rest.

        Raises
        ------
        FileError
            If the workshop is locked, not to be written, full or damaged.
        """
        with self._connected(writes=True) as connection:
            yield connection

    @contextmanager
    def snapshot(self) -> Iterator[Connection]:
        """Read everything inside as of one moment, within ``atomic`` as of now.

        Raises
        ------
        FileError
            If the workshop cannot be read.
        """
        with self._connected(writes=False) as connection:
            yield connection

    @contextmanager
    def _connected(self, *, writes: bool) -> Iterator[Connection]:
        outer: Connection | None = getattr(self._open, "connection", None)
        try:
            if outer is not None:
                with self._inside(outer, writes=writes):
                    yield outer
                return
            with self._engine.connect() as connection:
                connection.execution_options(**self._options(writes=writes))
                with connection.begin():
                    self._open.connection = connection
                    try:
                        yield connection
                        self._refuse_given_up(connection)
                    finally:
                        self._open.connection = None
        except DatabaseError as trouble:
            refusal = self._refusal(trouble)
            if refusal is None:
                raise
            raise refusal from trouble

    @contextmanager
    def _inside(self, outer: Connection, *, writes: bool) -> Iterator[None]:
        if not writes:
            yield
            return
        if not outer.get_execution_options().get("writes"):
            raise RuntimeError("a snapshot is open in this thread: atomic must be outside it")
        self._refuse_given_up(outer)
        with outer.begin_nested():
            yield

    def _refuse_given_up(self, connection: Connection) -> None:
        """Refuse to go on in a transaction that SQLite has undone by itself.

        It does so when the disk is full, whatever savepoints there are. To go on
        would keep the rest of an action without its beginning.
        """
        if self.is_sqlite and not sqlite_driver(connection).in_transaction:
            raise FileError(
                f"an action is kept as a whole, and {self.name} has undone this one after an "
                "earlier error; do it again from the beginning"
            )

    def _options(self, *, writes: bool) -> Mapping[str, Any]:
        if self.is_sqlite or writes:
            return {"writes": writes}
        return {
            "writes": False,
            "isolation_level": "REPEATABLE READ",
            "postgresql_readonly": True,
        }

    def _refusal(self, trouble: DatabaseError) -> FileError | None:
        """Return what to tell the person; None if the trouble is a mistake of this program."""
        if self.is_sqlite:
            return self._file_refusal(trouble)
        if not isinstance(trouble, OperationalError):
            return None
        said = str(trouble.orig).strip().splitlines()[0]
        if trouble.statement is None or trouble.connection_invalidated:
            return FileError(
                f"the workshop's server does not answer at {self.name}; check that it runs and "
                f"that the address is right ({said})"
            )
        return FileError(
            f"the workshop's server at {self.name} could not do what was asked ({said}); ask "
            "whoever looks after it"
        )

    def _file_refusal(self, trouble: BaseException) -> FileError | None:
        # When SQLite undoes a transaction by itself, the first complaint is about the
        # savepoint that is gone with it; the reason is what was being handled then.
        reason: BaseException | None = trouble
        while reason is not None:
            message = str(reason.orig if isinstance(reason, DatabaseError) else reason)
            for part, sentence in _SQLITE_TROUBLES:
                if part in message:
                    return FileError(f"the workshop file {self.name} {sentence} ({message})")
            reason = reason.__context__
        return None


def sqlite_driver(connection: Connection) -> sqlite3.Connection:
    """Return SQLite's own connection, for what only it can do, such as its online backup."""
    driver = connection.connection.driver_connection
    if not isinstance(driver, sqlite3.Connection):
        raise TypeError(f"this is no connection to SQLite but {type(driver).__name__}")
    return driver


def _engine(url: URL) -> Engine:
    try:
        return create_engine(url)
    except ModuleNotFoundError as missing:
        raise FileError(
            f"a workshop on PostgreSQL needs the package {missing.name}, which is not installed; "
            "install reedwright with its extra: reedwright[postgresql]"
        ) from missing


def _sqlite_settings(busy_timeout_ms: int) -> Callable[[sqlite3.Connection, object], None]:
    def settings(connection: sqlite3.Connection, _record: object) -> None:
        connection.isolation_level = None  # the driver begins nothing by itself
        for pragma in (
            f"busy_timeout={busy_timeout_ms}",
            "foreign_keys=ON",
            "synchronous=FULL",
            "fullfsync=ON",  # macOS alone: its plain fsync stops short of the disk
        ):
            connection.execute(f"PRAGMA {pragma}")

    return settings


def _begin_sqlite(connection: Connection) -> None:
    writes = connection.get_execution_options().get("writes")
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")
