"""Which schema a database has, and the way to this program's.

The schema is the number of migrations a database has seen. Each migration and the
record that it was made are one transaction, so there is no half-way; a file is
copied beside itself first. What is not ours or newer than this program is left
as it is.
"""

from collections.abc import Sequence
from datetime import UTC, datetime

from sqlalchemy import Connection, MetaData, insert, inspect, select, text

from reedwright.errors import FileError
from reedwright.store import columns
from reedwright.store.database import APPLICATION_ID, Database
from reedwright.store.files import copied_beside
from reedwright.store.migrations import MIGRATIONS, Migration

__all__ = ["MIGRATION_TABLE", "migrate", "schema"]

#: Of its own, not among the tables of today: it must be readable in every file there ever was.
MIGRATION_TABLE = columns.table(
    "reedwright_migrations",
    columns.whole("number", primary_key=True),
    columns.text("name"),
    columns.text("applied_at"),
    metadata=MetaData(naming_convention=columns.NAMES),
)


def schema(connection: Connection, *, migrations: Sequence[Migration] = MIGRATIONS) -> int:
    """Return the schema of a database: 0 if it is empty.

    Raises
    ------
    FileError
        If it holds somebody else's data, or was made by a newer program.
    """
    tables = inspect(connection).get_table_names()
    mark = _application_id(connection)
    if not tables and mark in {None, 0}:
        return 0
    if MIGRATION_TABLE.name not in tables or mark not in {None, APPLICATION_ID}:
        raise FileError(
            "a workshop is marked as one and lists its migrations, this database of "
            f"{len(tables)} tables does not; name a workshop, or a file that does not exist yet"
        )
    query = select(MIGRATION_TABLE).order_by(MIGRATION_TABLE.c.number)
    applied = [(row["number"], row["name"]) for row in connection.execute(query).mappings()]
    known = [(migration.number, migration.name) for migration in migrations]
    if applied != known[: len(applied)]:
        raise FileError(
            f"a workshop newer than this program is not touched, it has schema {applied[-1][0]} "
            f"({applied[-1][1]}) and this program knows {len(known)} ({known[-1][1]}); install "
            "the program that made it"
        )
    return len(applied)


def migrate(database: Database, *, migrations: Sequence[Migration] = MIGRATIONS) -> None:
    """Bring a database to the last of ``migrations``, one transaction for each.

    A file that holds something is first copied beside itself, as
    ``NAME.before-schema-N``; the copy stays. When a migration fails, the database
    is as it was before it.

    Raises
    ------
    FileError
        As ``schema``, or if the copy cannot be written.
    """
    with database.snapshot() as connection:
        before = schema(connection, migrations=migrations)
    if before == len(migrations):
        return
    if before and database.path:
        copied_beside(database, f"before-schema-{len(migrations)}")
    while _migrate_once(database, migrations):
        pass


def _migrate_once(database: Database, migrations: Sequence[Migration]) -> bool:
    with database.atomic() as connection:
        if not database.is_sqlite:
            # Another bench may be opening the same database: one migrates, the others wait.
            connection.execute(text("SELECT pg_advisory_xact_lock(:id)"), {"id": APPLICATION_ID})
        done = schema(connection, migrations=migrations)
        if done == len(migrations):
            return False
        if done == 0:
            if database.is_sqlite:
                connection.exec_driver_sql(f"PRAGMA application_id={APPLICATION_ID}")
            MIGRATION_TABLE.create(connection, checkfirst=False)
        migration = migrations[done]
        migration.run(connection)
        if database.is_sqlite and connection.exec_driver_sql("PRAGMA foreign_key_check").first():
            raise RuntimeError(f"migration {migration.name} left rows that point nowhere")
        connection.execute(
            insert(MIGRATION_TABLE).values(
                number=migration.number,
                name=migration.name,
                applied_at=datetime.now(UTC).isoformat(timespec="seconds"),
            )
        )
        return True


def _application_id(connection: Connection) -> int | None:
    """Return the mark in a SQLite file's header; None for a server, which has none."""
    if connection.dialect.name != "sqlite":
        return None
    return int(connection.exec_driver_sql("PRAGMA application_id").scalar_one())
