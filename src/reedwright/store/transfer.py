"""A workshop carried from one kind of database to the other, row by row."""

from sqlalchemy import Connection, Table, func, insert, select, text

from reedwright.errors import FileError
from reedwright.store.columns import METADATA
from reedwright.store.database import Database
from reedwright.store.records import count

__all__ = ["carry_over"]

#: Rows in memory at a time; a row holds at most one piece of a recording.
_ROWS = 16


def carry_over(source: Database, target: Database) -> None:
    """Copy every row, under its own identifier, into a workshop that holds nothing yet.

    Both must be at today's schema. It is one transaction: all rows arrive, or none.

    Raises
    ------
    FileError
        If the target holds something.
    """
    with source.snapshot() as reader, target.atomic() as writer:
        for table in METADATA.sorted_tables:
            if count(writer, table):
                raise FileError(
                    f"a workshop is only carried over into an empty one, {target.name} has "
                    f"{table.name} already; give an empty database"
                )
        for table in METADATA.sorted_tables:
            rows = reader.execution_options(yield_per=_ROWS).execute(select(table)).mappings()
            for some in rows.partitions():
                writer.execute(insert(table), [dict(row) for row in some])
            _count_on(writer, table)


def _count_on(connection: Connection, table: Table) -> None:
    """Tell a server which identifiers are taken; SQLite sees it by itself."""
    if connection.dialect.name != "postgresql":
        return
    for key in table.primary_key:
        if key.identity is None:
            continue
        last = connection.execute(select(func.max(key))).scalar_one()
        if last is not None:
            sequence = text("SELECT setval(pg_get_serial_sequence(:table, :key), :last)")
            connection.execute(sequence, {"table": table.name, "key": key.name, "last": last})
