"""Is a workshop whole? Everything is read, nothing is changed, problems come as values."""

from collections.abc import Callable, Iterator

from sqlalchemy import Connection, Table, func, inspect, or_, outerjoin, select
from sqlalchemy import table as named_table

from reedwright.errors import FileError, NotFound, ReedwrightError
from reedwright.jobs.ports import CheckReport, Problem
from reedwright.store.columns import METADATA
from reedwright.store.database import Database
from reedwright.store.instruments import INSTRUMENTS
from reedwright.store.jobs import JOBS
from reedwright.store.migration import MIGRATION_TABLE, schema
from reedwright.store.migrations import MIGRATIONS
from reedwright.store.offsets import OFFSET_SETS
from reedwright.store.plans import PLAN_SETS
from reedwright.store.recordings import PIECE_BYTES, RECORDING_PIECES, RECORDINGS
from reedwright.store.records import identifiers
from reedwright.store.scrapes import SCRAPES
from reedwright.store.surveys import SURVEYS
from reedwright.store.targets import TARGET_SETS
from reedwright.store.typed_tables import TYPED_TABLES
from reedwright.store.workshop import Workshop

__all__ = ["check"]

_RESTORE = "keep the file as it is and restore the last backup"


def check(database: Database, *, progress: Callable[[float], None]) -> CheckReport:
    """Read a whole workshop and report what is wrong with it.

    SQLite's own integrity check and that of references, the tables and columns,
    the checksum of every recording, pieces without a recording, and whether every
    record of today's schema reads back.

    Raises
    ------
    FileError
        If it is no workshop, newer than this program, or cannot be read at all.
    NotFound
        If it holds nothing yet.
    """
    with database.snapshot() as connection:
        number = schema(connection)
        if number == 0:
            raise NotFound(
                f"a workshop must be begun before it is checked, {database.name} is empty; open a "
                "job in it first"
            )
        counts = tuple(_counts(connection))
    problems = _looked(database, _integrity)
    is_today = number == len(MIGRATIONS)
    missing = _looked(database, _tables) if is_today else []
    problems += missing
    if not missing:  # else the rest would only stumble over the same gap
        looks = [_stray_pieces, _unreadable] if is_today else [_stray_pieces]
        for look in looks:
            problems += _looked(database, look)
        problems += _damaged_recordings(Workshop(database), progress)
    progress(1.0)
    return CheckReport(database.name, number, counts, tuple(problems))


def _looked(
    database: Database, look: Callable[[Connection, Database], Iterator[Problem]]
) -> list[Problem]:
    """Return what one look found, and what kept it from looking."""
    found: list[Problem] = []
    try:
        with database.snapshot() as connection:
            for problem in look(connection, database):
                found.append(problem)  # noqa: PERF402 -- keep those found before an error
    except FileError as trouble:
        found.append(Problem("file", str(trouble), _RESTORE))
    return found


def _counts(connection: Connection) -> Iterator[tuple[str, int]]:
    for name in sorted(inspect(connection).get_table_names()):
        if name != MIGRATION_TABLE.name:
            query = select(func.count()).select_from(named_table(name))
            yield name, connection.execute(query).scalar_one()


def _integrity(connection: Connection, database: Database) -> Iterator[Problem]:
    if not database.is_sqlite:
        return  # a server keeps its references itself, and its pages by its own tools
    for (message,) in connection.exec_driver_sql("PRAGMA integrity_check"):
        if message != "ok":
            yield Problem("file", str(message), _RESTORE)
    for name, row, parent, _number in connection.exec_driver_sql("PRAGMA foreign_key_check"):
        yield Problem(
            f"{name} row {row}", f"points to a row of {parent} that is not there", _RESTORE
        )


def _tables(connection: Connection, _database: Database) -> Iterator[Problem]:
    inspector = inspect(connection)
    present = set(inspector.get_table_names())
    for name, table in METADATA.tables.items():
        if name not in present:
            yield Problem(name, "the table is missing", _RESTORE)
            continue
        columns = {column["name"] for column in inspector.get_columns(name)}
        for column in table.columns:
            if column.name not in columns:
                yield Problem(f"{name}.{column.name}", "the column is missing", _RESTORE)


def _stray_pieces(connection: Connection, _database: Database) -> Iterator[Problem]:
    owner, number = RECORDING_PIECES.c.recording_id, RECORDING_PIECES.c.number
    query = (
        select(owner, func.count())
        .select_from(outerjoin(RECORDING_PIECES, RECORDINGS))
        .where(
            or_(
                RECORDINGS.c.recording_id.is_(None),
                number * PIECE_BYTES >= RECORDINGS.c.size_bytes,
            )
        )
        .group_by(owner)
    )
    for recording_id, pieces in connection.execute(query):
        yield Problem(
            f"recording {recording_id}", f"{pieces} pieces belong to no recording", _RESTORE
        )


def _damaged_recordings(workshop: Workshop, progress: Callable[[float], None]) -> Iterator[Problem]:
    try:
        recordings = workshop.recordings()
    except FileError:
        return  # told by the looks before
    total = sum(recording.size_bytes for recording in recordings)
    done = 0
    for recording in recordings:
        try:
            for piece in workshop.recording_pieces(recording.recording_id):
                done += len(piece)
                progress(min(1.0, done / total))
        except FileError as damage:
            yield Problem(f"recording {recording.recording_id}", str(damage), _RESTORE)


def _unreadable(connection: Connection, database: Database) -> Iterator[Problem]:
    workshop = Workshop(database)
    readers: list[tuple[Table, Callable[[int], object]]] = [
        (JOBS, workshop.job),
        (INSTRUMENTS, workshop.instrument),
        (RECORDINGS, workshop.recording),
        (SURVEYS, workshop.survey),
        (TARGET_SETS, workshop.target_set),
        (PLAN_SETS, workshop.plan_set),
        (TYPED_TABLES, workshop.typed_table),
        (SCRAPES, workshop.scrape),
        (OFFSET_SETS, workshop.offset_set),
    ]
    for table, read in readers:
        for identifier in identifiers(connection, table):
            try:
                read(identifier)
            except (ReedwrightError, KeyError, TypeError, ValueError) as mistake:
                yield Problem(
                    f"{table.name} number {identifier}", f"does not read back: {mistake}", _RESTORE
                )
