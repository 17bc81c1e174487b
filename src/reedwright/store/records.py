"""What all nouns of the workshop share: find a record, add one, change one, or refuse."""

from collections.abc import Iterator, Mapping, Sequence
from contextlib import AbstractContextManager
from typing import Any

from sqlalchemy import Connection, RowMapping, Table, func, insert, select, update

from reedwright.errors import Conflict, NotFound
from reedwright.store.database import Database

__all__ = [
    "Shelf",
    "add",
    "add_children",
    "change",
    "children",
    "count",
    "find",
    "identifiers",
    "require",
]


class Shelf:
    """The part of a workshop that keeps one noun; a workshop is all shelves on one database."""

    def __init__(self, database: Database) -> None:
        self.database = database

    def atomic(self) -> AbstractContextManager[Connection]:
        """Keep everything done inside, or, if an error leaves the block, nothing of it."""
        return self.database.atomic()

    def snapshot(self) -> AbstractContextManager[Connection]:
        """Read everything inside as of one moment."""
        return self.database.snapshot()


def add(connection: Connection, table: Table, values: Mapping[str, Any]) -> int:
    """Add a record and return the identifier it was given."""
    key = connection.execute(insert(table).values(**values)).inserted_primary_key
    if key is None:
        raise TypeError(f"{table.name} gives its records no identifier")
    return int(key[0])


def find(connection: Connection, table: Table, identifier: int) -> RowMapping:
    """Return the row of a record.

    Raises
    ------
    NotFound
        If there is no such record.
    """
    (key,) = table.primary_key
    row = connection.execute(select(table).where(key == identifier)).mappings().first()
    if row is None:
        raise _not_found(table, identifier)
    return row


def require(connection: Connection, table: Table, identifier: int | None) -> None:
    """Refuse to go on if the record is not there; None asks for nothing."""
    if identifier is not None:
        find(connection, table, identifier)


def identifiers(connection: Connection, table: Table, **where: int) -> list[int]:
    """Return the identifiers of the records that match, the first kept first."""
    (key,) = table.primary_key
    query = select(key).order_by(key).filter_by(**where)
    return list(connection.execute(query).scalars())


def change(
    connection: Connection, table: Table, identifier: int, version: int, values: Mapping[str, Any]
) -> None:
    """Change a record that is still as it was read, and count its version up.

    Raises
    ------
    NotFound
        If there is no such record.
    Conflict
        If its version is not ``version`` any more.
    """
    (key,) = table.primary_key
    done = connection.execute(
        update(table)
        .where(key == identifier, table.c.version == version)
        .values(**values, version=version + 1)
    )
    if done.rowcount == 0:
        now = find(connection, table, identifier)["version"]
        raise Conflict(
            f"{_noun(table)} number {identifier} is changed only as it was read, it was read at "
            f"version {version} and is at {now} by now; read it again and repeat the change"
        )


def add_children(
    connection: Connection, table: Table, rows: Sequence[Mapping[str, Any]], **parent: int
) -> None:
    """Add the numbered rows of a record, in order, the first with number 0."""
    numbered = [{**row, **parent, "number": number} for number, row in enumerate(rows)]
    if numbered:
        connection.execute(insert(table), numbered)


def children(connection: Connection, table: Table, **parent: int) -> Iterator[RowMapping]:
    """Yield the numbered rows of a record in order."""
    query = select(table).filter_by(**parent).order_by(*table.primary_key)
    return iter(connection.execute(query).mappings())


def count(connection: Connection, table: Table) -> int:
    """Return how many rows a table has."""
    return connection.execute(select(func.count()).select_from(table)).scalar_one()


def _not_found(table: Table, identifier: int) -> NotFound:
    return NotFound(
        f"there is no {_noun(table)} number {identifier} in this workshop; list them to see "
        "which there are"
    )


def _noun(table: Table) -> str:
    (key,) = table.primary_key
    return key.name.removesuffix("_id").replace("_", " ")
