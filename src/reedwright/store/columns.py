"""The kinds of column both databases share, and the list of all tables.

SQLite tables are STRICT, which knows only INTEGER, REAL, TEXT and BLOB;
PostgreSQL's REAL has half the digits, so there a number is DOUBLE PRECISION.
No reference deletes its children by itself: what is deleted is deleted by name.
"""

from typing import Any

from sqlalchemy import (
    BigInteger,
    Column,
    Constraint,
    Double,
    ForeignKey,
    Identity,
    Integer,
    LargeBinary,
    MetaData,
    Table,
    Text,
)
from sqlalchemy.dialects.sqlite import REAL
from sqlalchemy.types import TypeEngine

__all__ = [
    "METADATA",
    "NAMES",
    "blob",
    "flag",
    "identifier",
    "number",
    "pointer",
    "table",
    "text",
    "whole",
]

#: How indices and constraints are named, so that a later migration can name them too.
NAMES = {
    "ix": "ix_%(table_name)s_%(column_0_name)s",
    "uq": "uq_%(table_name)s_%(column_0_name)s",
    "fk": "fk_%(table_name)s_%(column_0_name)s",
    "pk": "pk_%(table_name)s",
}

#: Every table as it is now; the migrations lead there, and a test compares the two.
METADATA = MetaData(naming_convention=NAMES)

_WHOLE = BigInteger().with_variant(Integer(), "sqlite")
_NUMBER: TypeEngine[float] = Double().with_variant(REAL(), "sqlite")


def table(name: str, *columns: Column[Any] | Constraint, metadata: MetaData = METADATA) -> Table:
    """Return a table of the workshop."""
    return Table(
        name, metadata, *columns, sqlite_strict=True, sqlite_autoincrement=_counts(columns)
    )


def identifier(name: str) -> Column[int]:
    """Return a key given by the database and never used again."""
    return Column(name, _WHOLE, Identity(), primary_key=True)


def pointer(
    name: str, to: str, *, nullable: bool = False, primary_key: bool = False
) -> Column[int]:
    """Return a reference to a row of another table; ``to`` is ``table.column``."""
    return Column(
        name,
        _WHOLE,
        ForeignKey(to),
        primary_key=primary_key,
        nullable=nullable,
        index=not primary_key,
    )


def whole(name: str, *, primary_key: bool = False) -> Column[int]:
    """Return a whole number."""
    return Column(name, _WHOLE, primary_key=primary_key, nullable=False, autoincrement=False)


def number(name: str, *, nullable: bool = False) -> Column[float]:
    """Return a number of double precision."""
    return Column(name, _NUMBER, nullable=nullable)


def text(name: str, *, nullable: bool = False, unique: bool = False) -> Column[str]:
    """Return a text, or a value written as text."""
    return Column(name, Text(), nullable=nullable, unique=unique or None)


def flag(name: str, *, nullable: bool = False) -> Column[int]:
    """Return yes (1) or no (0)."""
    return Column(name, Integer(), nullable=nullable)


def blob(name: str) -> Column[bytes]:
    """Return plain bytes."""
    return Column(name, LargeBinary(), nullable=False)


def _counts(columns: tuple[Column[Any] | Constraint, ...]) -> bool:
    return any(isinstance(column, Column) and column.identity is not None for column in columns)
