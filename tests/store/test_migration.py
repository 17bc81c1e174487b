"""Migrations: whole or not at all, after a copy, and never of what is not ours."""

import sqlite3
import threading
from collections.abc import Callable
from pathlib import Path

import pytest
from sqlalchemy import Connection, MetaData, inspect
from sqlalchemy import text as sql

from reedwright.errors import FileError, NotFound
from reedwright.store import check_workshop, open_workshop
from reedwright.store.columns import METADATA
from reedwright.store.database import APPLICATION_ID, Database
from reedwright.store.migration import MIGRATION_TABLE, migrate, schema
from reedwright.store.migrations import MIGRATIONS, Migration


def next_step(run: Callable[[Connection], None]) -> tuple[Migration, ...]:
    """Return today's migrations and one more."""
    number = len(MIGRATIONS) + 1
    return (*MIGRATIONS, Migration(number, "one_more", run))


def add_table(connection: Connection) -> None:
    """Do what a migration does."""
    connection.execute(sql("CREATE TABLE extra (extra_id INTEGER PRIMARY KEY)"))


def add_and_fail(connection: Connection) -> None:
    """Fail in the middle: after a new table, a new column and a changed row."""
    add_table(connection)
    connection.execute(sql("ALTER TABLE jobs ADD COLUMN extra TEXT"))
    connection.execute(sql("UPDATE jobs SET name = 'spoilt'"))
    raise ValueError("half-way")


def begin(location: str | Path) -> None:
    """Begin a workshop with one job."""
    with open_workshop(location, create=True) as workshop:
        workshop.add_job(name="kept", opened_on="2026-11-25")


def test_migrations_lead_to_todays_tables(location: str, request: pytest.FixtureRequest) -> None:
    """Migrated from nothing, a database has the very tables the nouns are written for."""
    open_workshop(location, create=True).close()
    migrated = Database(location)
    with migrated.snapshot() as connection:
        found = MetaData()
        found.reflect(connection)
        migrations = found.tables[MIGRATION_TABLE.name]
        found.remove(migrations)
    migrated.close()
    if migrated.is_sqlite:
        direct = Database(Path(location).with_name("direct"))
    else:
        direct = Database(request.getfixturevalue("server").new_database())
    with direct.atomic() as connection:
        METADATA.create_all(connection)
        expected = MetaData()
        expected.reflect(connection)
    direct.close()
    assert _described(found) == _described(expected)
    assert found.tables.keys() == METADATA.tables.keys()


def _described(metadata: MetaData) -> dict[str, object]:
    """Return all that the database says of its tables, in a form to compare."""
    return {
        name: (
            [
                (column.name, str(column.type), column.nullable, bool(column.primary_key))
                for column in table.columns
            ],
            sorted((str(key.parent), key.target_fullname) for key in table.foreign_keys),
            sorted(str(index.name) for index in table.indexes),
            sorted(str(constraint.name) for constraint in table.constraints),
            table.dialect_options["sqlite"]["strict"],
        )
        for name, table in metadata.tables.items()
    }


def test_tables_are_strict_and_typed(workshop_path: Path) -> None:
    """SQLite refuses text where a number belongs, in every table."""
    begin(workshop_path)
    with sqlite3.connect(workshop_path) as connection:
        tables = connection.execute("SELECT name, strict FROM pragma_table_list").fetchall()
        ours = {name: strict for name, strict in tables if not name.startswith("sqlite_")}
        with pytest.raises(sqlite3.IntegrityError, match="cannot store TEXT"):
            connection.execute("UPDATE jobs SET version = 'x'")
    connection.close()
    assert ours == dict.fromkeys([*METADATA.tables, MIGRATION_TABLE.name], 1)


def test_a_file_is_copied_beside_itself_before_it_is_changed(workshop_path: Path) -> None:
    """The copy is the workshop as it was, sound and at the old schema; the file is at the new."""
    begin(workshop_path)
    database = Database(workshop_path)
    migrate(database, migrations=next_step(add_table))
    with database.snapshot() as connection:
        assert schema(connection, migrations=next_step(add_table)) == len(MIGRATIONS) + 1
        assert "extra" in inspect(connection).get_table_names()
    database.close()
    (copy,) = workshop_path.parent.glob("*.before-schema-*")
    assert copy.name == f"workshop.reedwright.before-schema-{len(MIGRATIONS) + 1}"
    assert check_workshop(copy).problems == ()
    with open_workshop(copy) as old:
        assert [job.name for job in old.jobs()] == ["kept"]


def test_a_current_file_is_not_copied(workshop_path: Path) -> None:
    """Opened again without anything to migrate, a file gets no copy, and a new one neither."""
    begin(workshop_path)
    open_workshop(workshop_path).close()
    assert [path.name for path in workshop_path.parent.iterdir()] == [workshop_path.name]


def test_a_migration_that_fails_changes_nothing(location: str) -> None:
    """Tables, columns and rows are as before, the schema too, and the file opens as ever."""
    begin(location)
    database = Database(location)
    with pytest.raises(ValueError, match="half-way"):
        migrate(database, migrations=next_step(add_and_fail))
    with database.snapshot() as connection:
        assert schema(connection) == len(MIGRATIONS)
        assert "extra" not in inspect(connection).get_table_names()
        columns = {column["name"] for column in inspect(connection).get_columns("jobs")}
        assert columns == set(METADATA.tables["jobs"].columns.keys())
    database.close()
    with open_workshop(location) as workshop:
        assert [job.name for job in workshop.jobs()] == ["kept"]
    assert check_workshop(location).problems == ()


def test_migrations_before_the_failing_one_stay(location: str) -> None:
    """Each migration is a transaction of its own: the first is kept when the second fails."""
    number = len(MIGRATIONS) + 2
    steps = (*next_step(add_table), Migration(number, "bad", add_and_fail))
    begin(location)
    database = Database(location)
    with pytest.raises(Exception, match="extra"):
        migrate(database, migrations=steps)
    with database.snapshot() as connection:
        assert schema(connection, migrations=steps) == len(MIGRATIONS) + 1
    database.close()


def test_a_migration_that_orphans_rows_is_undone(workshop_path: Path) -> None:
    """A step that would leave rows pointing nowhere never gets through."""
    begin(workshop_path)

    def orphan(connection: Connection) -> None:
        connection.exec_driver_sql("PRAGMA defer_foreign_keys=ON")
        connection.exec_driver_sql(
            "INSERT INTO instruments (job_id, title, layout, layout_snapshot, action, metal, "
            "frame_metal, notes, version) VALUES (99, '', '', '', '', '', '', '', 1)"
        )

    database = Database(workshop_path)
    with pytest.raises(RuntimeError, match="one_more left rows that point nowhere"):
        migrate(database, migrations=next_step(orphan))
    database.close()
    assert check_workshop(workshop_path).problems == ()


def test_a_newer_workshop_is_refused_untouched(location: str) -> None:
    """A schema this program does not know is not guessed at, and the refusal names both."""
    begin(location)
    database = Database(location)
    migrate(database, migrations=next_step(add_table))
    database.close()
    for attempt in (open_workshop, check_workshop):
        with pytest.raises(FileError, match=r"it has schema 3 \(one_more\) and this .* knows 2"):
            attempt(location)
    with database.snapshot() as connection:
        assert schema(connection, migrations=next_step(add_table)) == len(MIGRATIONS) + 1
    database.close()


def test_another_programs_database_is_refused_untouched(workshop_path: Path) -> None:
    """Tables without our mark are somebody else's, even with ``create``; not a byte changes."""
    with sqlite3.connect(workshop_path) as connection:
        connection.execute("CREATE TABLE jobs (job_id INTEGER PRIMARY KEY)")
    connection.close()
    before = workshop_path.read_bytes()
    for create in (False, True):
        with pytest.raises(FileError, match="this database of 1 tables does not"):
            open_workshop(workshop_path, create=create)
    assert workshop_path.read_bytes() == before


def test_the_mark_alone_or_the_table_alone_is_not_enough(workshop_path: Path) -> None:
    """A file is ours with the mark in its header and the list of migrations, not with one."""
    begin(workshop_path)
    for statement in (
        "PRAGMA application_id=1",
        f"PRAGMA application_id={APPLICATION_ID}; "
        "ALTER TABLE reedwright_migrations RENAME TO other",
    ):
        with sqlite3.connect(workshop_path) as connection:
            connection.executescript(statement)
        connection.close()
        with pytest.raises(FileError, match="is marked as one and lists its migrations"):
            open_workshop(workshop_path)


def test_an_empty_database_is_begun_only_when_asked(location: str) -> None:
    """Without ``create`` an empty database is no workshop, and stays empty."""
    database = Database(location)
    if database.path:
        database.path.touch()
    with pytest.raises(NotFound, match="is empty"):
        open_workshop(location)
    with pytest.raises(NotFound, match="is empty"):
        check_workshop(location)
    with database.snapshot() as connection:
        assert inspect(connection).get_table_names() == []
    database.close()
    begin(location)


def test_two_programs_may_begin_the_same_workshop(location: str) -> None:
    """Opened by four at once, a new workshop is made once, and all four can use it."""
    barrier = threading.Barrier(4)
    troubles: list[BaseException] = []

    def open_and_add(name: str) -> None:
        try:
            barrier.wait()
            with open_workshop(location, create=True) as workshop:
                workshop.add_job(name=name, opened_on="2026-11-25")
        except BaseException as trouble:  # noqa: BLE001 -- shown by the assertion below
            troubles.append(trouble)

    threads = [threading.Thread(target=open_and_add, args=(name,)) for name in "abcd"]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert troubles == []
    with open_workshop(location) as workshop:
        assert sorted(job.name for job in workshop.jobs()) == list("abcd")
