"""An open workshop: all shelves on one database."""

from pathlib import Path
from types import TracebackType

from reedwright.errors import NotFound
from reedwright.store.database import BUSY_TIMEOUT_MS, Database
from reedwright.store.instruments import InstrumentShelf
from reedwright.store.jobs import JobShelf
from reedwright.store.location import refuse_folder, refuse_missing, refuse_read_only
from reedwright.store.migration import migrate, schema
from reedwright.store.offsets import OffsetShelf
from reedwright.store.plans import PlanShelf
from reedwright.store.recordings import RecordingShelf
from reedwright.store.scrapes import ScrapeShelf
from reedwright.store.surveys import SurveyShelf
from reedwright.store.targets import TargetShelf
from reedwright.store.typed_tables import TypedTableShelf

__all__ = ["Workshop", "open_workshop"]


class Workshop(
    JobShelf,
    InstrumentShelf,
    RecordingShelf,
    SurveyShelf,
    TargetShelf,
    PlanShelf,
    TypedTableShelf,
    ScrapeShelf,
    OffsetShelf,
):
    """A workshop, as ``jobs.ports.WorkshopStore`` says; may be used by several threads.

    Use it as a context manager, or ``close`` it.
    """

    def close(self) -> None:
        """Let go of the workshop."""
        self.database.close()

    def __enter__(self) -> "Workshop":
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()


def open_workshop(
    location: str | Path, *, create: bool = False, busy_timeout_ms: int = BUSY_TIMEOUT_MS
) -> Workshop:
    """Open a workshop, brought to today's schema; a file is copied beside itself before that.

    ``location`` is a path, or an address like ``postgresql://user@host/workshop``.
    ``busy_timeout_ms`` is how long to wait for another program that is writing.

    Raises
    ------
    NotFound
        If there is no workshop and ``create`` is not asked for.
    FileError
        If it is not a workshop, newer than this program, damaged, locked, or not
        to be written.
    """
    database = Database(location, busy_timeout_ms=busy_timeout_ms)
    try:
        if database.path:
            (refuse_folder if create else refuse_missing)(database.path)
            refuse_read_only(database.path)
        with database.snapshot() as connection:
            is_empty = schema(connection) == 0
        if is_empty and not create:
            raise NotFound(
                f"a workshop must have been begun to be opened, {database.name} is empty; begin a "
                "new workshop there"
            )
        migrate(database)
        database.use_write_ahead_log()
    except BaseException:
        database.close()
        raise
    return Workshop(database)
