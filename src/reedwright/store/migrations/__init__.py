"""The steps from an empty database to today's tables, in order; only ever added to.

A step is a function of a connection inside a transaction. It adds tables and
columns and fills them; it never rebuilds a table that others point to, since
within a transaction SQLite cannot be told to leave their rows alone.
"""

from collections.abc import Callable
from dataclasses import dataclass

from sqlalchemy import Connection

from reedwright.store.migrations import m0001_first_tables, m0002_scrapes_and_offsets

__all__ = ["MIGRATIONS", "Migration"]


@dataclass(frozen=True, slots=True)
class Migration:
    """One step: its number, counted from 1 without gaps, its name, and what it does."""

    number: int
    name: str
    run: Callable[[Connection], None]


MIGRATIONS = (
    Migration(1, "first_tables", m0001_first_tables.run),
    Migration(2, "scrapes_and_offsets", m0002_scrapes_and_offsets.run),
)
