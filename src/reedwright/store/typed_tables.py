"""Bench sheets typed back: what was measured between one stroke of the file and the next."""

from collections import Counter
from collections.abc import Iterable

from sqlalchemy import Connection, delete

from reedwright.errors import InputError
from reedwright.jobs.ports import BenchRow, TypedTableRecord
from reedwright.store.columns import flag, identifier, number, pointer, table, text, whole
from reedwright.store.instruments import INSTRUMENTS
from reedwright.store.records import (
    Shelf,
    add,
    add_children,
    change,
    children,
    find,
    identifiers,
    require,
)
from reedwright.store.rows import checked_moment, from_row, to_row
from reedwright.store.targets import TARGET_SETS

__all__ = ["TYPED_ROWS", "TYPED_TABLES", "TypedTableShelf"]

TYPED_TABLES = table(
    "typed_tables",
    identifier("typed_table_id"),
    pointer("instrument_id", "instruments.instrument_id"),
    pointer("target_set_id", "target_sets.target_set_id", nullable=True),
    text("typed_at"),
    text("comment"),
    whole("version"),
)

TYPED_ROWS = table(
    "typed_rows",
    pointer("typed_table_id", "typed_tables.typed_table_id", primary_key=True),
    whole("number", primary_key=True),
    text("key"),
    text("direction"),
    number("found_cents", nullable=True),
    number("target_cents", nullable=True),
    number("after_1_cents", nullable=True),
    number("after_2_cents", nullable=True),
    number("final_cents", nullable=True),
    flag("is_ticked"),
)


class TypedTableShelf(Shelf):
    """The typed bench sheets of a workshop; what each call does is said in ``jobs.ports``."""

    def save_typed_table(
        self,
        instrument_id: int,
        rows: Iterable[BenchRow],
        *,
        typed_at: str,
        target_set_id: int | None = None,
        comment: str = "",
    ) -> TypedTableRecord:
        """Keep what was typed from a bench sheet."""
        record = TypedTableRecord(
            0, instrument_id, target_set_id, typed_at, comment, tuple(rows), version=1
        )
        with self.atomic() as connection:
            require(connection, INSTRUMENTS, instrument_id)
            require(connection, TARGET_SETS, target_set_id)
            typed_table_id = add(connection, TYPED_TABLES, _values(record))
            _add_rows(connection, typed_table_id, record.rows)
            return self.typed_table(typed_table_id)

    def typed_table(self, typed_table_id: int) -> TypedTableRecord:
        """Return one typed bench sheet, equal to what was kept."""
        with self.snapshot() as connection:
            record = find(connection, TYPED_TABLES, typed_table_id)
            rows = children(connection, TYPED_ROWS, typed_table_id=typed_table_id)
            return from_row(
                TypedTableRecord, record, rows=tuple(from_row(BenchRow, row) for row in rows)
            )

    def typed_tables(self, instrument_id: int) -> tuple[TypedTableRecord, ...]:
        """Return the typed bench sheets of an instrument, the first kept first."""
        with self.snapshot() as connection:
            require(connection, INSTRUMENTS, instrument_id)
            found = identifiers(connection, TYPED_TABLES, instrument_id=instrument_id)
            return tuple(self.typed_table(typed_table_id) for typed_table_id in found)

    def latest_typed_table(self, instrument_id: int) -> TypedTableRecord | None:
        """Return the bench sheet typed last, None if there is none."""
        with self.snapshot() as connection:
            require(connection, INSTRUMENTS, instrument_id)
            found = identifiers(connection, TYPED_TABLES, instrument_id=instrument_id)
            return self.typed_table(found[-1]) if found else None

    def update_typed_table(self, table: TypedTableRecord) -> TypedTableRecord:
        """Keep a corrected bench sheet; Conflict if it was changed since it was read."""
        values = _values(table)
        del values["version"]
        with self.atomic() as connection:
            require(connection, INSTRUMENTS, table.instrument_id)
            require(connection, TARGET_SETS, table.target_set_id)
            change(connection, TYPED_TABLES, table.typed_table_id, table.version, values)
            connection.execute(delete(TYPED_ROWS).filter_by(typed_table_id=table.typed_table_id))
            _add_rows(connection, table.typed_table_id, table.rows)
            return self.typed_table(table.typed_table_id)


def _values(record: TypedTableRecord) -> dict[str, object]:
    checked_moment(record.typed_at, "typed_at")
    reeds = Counter((row.key, row.direction) for row in record.rows)
    for (key, direction), lines in reeds.items():
        if lines > 1:
            raise InputError(
                f"a bench sheet has one line per reed, {key} {direction} has {lines}; remove "
                "all but one"
            )
    return to_row(record, without={"typed_table_id", "rows"})


def _add_rows(connection: Connection, typed_table_id: int, rows: tuple[BenchRow, ...]) -> None:
    typed = [to_row(row) for row in rows]
    add_children(connection, TYPED_ROWS, typed, typed_table_id=typed_table_id)
