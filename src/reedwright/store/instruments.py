"""Instruments: what kind, of what metal, with the whole layout as it was used."""

from reedwright.instrument.layout import Layout
from reedwright.jobs.ports import InstrumentRecord
from reedwright.store.columns import identifier, number, pointer, table, text, whole
from reedwright.store.jobs import JOBS
from reedwright.store.records import Shelf, add, change, find, identifiers, require
from reedwright.store.rows import from_json, from_row, to_json, to_row

__all__ = ["INSTRUMENTS", "InstrumentShelf"]

INSTRUMENTS = table(
    "instruments",
    identifier("instrument_id"),
    pointer("job_id", "jobs.job_id"),
    text("title"),
    text("layout"),
    text("layout_snapshot"),
    text("action"),
    text("metal"),
    text("frame_metal"),
    number("a4_hz", nullable=True),
    text("notes"),
    whole("version"),
)


class InstrumentShelf(Shelf):
    """The instruments of a workshop; what each call does is said in ``jobs.ports``."""

    def add_instrument(
        self,
        job_id: int,
        *,
        title: str,
        layout: Layout,
        metal: str,
        frame_metal: str,
        a4_hz: float | None = None,
        notes: str = "",
    ) -> InstrumentRecord:
        """Add an instrument to a job."""
        instrument = InstrumentRecord(
            instrument_id=0,
            job_id=job_id,
            title=title,
            layout=layout,
            metal=metal,
            frame_metal=frame_metal,
            a4_hz=a4_hz,
            notes=notes,
            version=1,
        )
        with self.atomic() as connection:
            require(connection, JOBS, job_id)
            return self.instrument(add(connection, INSTRUMENTS, _values(instrument)))

    def instrument(self, instrument_id: int) -> InstrumentRecord:
        """Return one instrument."""
        with self.snapshot() as connection:
            row = find(connection, INSTRUMENTS, instrument_id)
            layout = from_json(Layout, row["layout_snapshot"])
            return from_row(InstrumentRecord, row, layout=layout)

    def instruments(self, job_id: int | None = None) -> tuple[InstrumentRecord, ...]:
        """Return the instruments of a job, or all, the oldest first."""
        with self.snapshot() as connection:
            require(connection, JOBS, job_id)
            where = {} if job_id is None else {"job_id": job_id}
            found = identifiers(connection, INSTRUMENTS, **where)
            return tuple(self.instrument(instrument_id) for instrument_id in found)

    def update_instrument(self, instrument: InstrumentRecord) -> InstrumentRecord:
        """Keep a changed instrument; Conflict if it was changed since it was read."""
        values = _values(instrument)
        del values["version"]
        with self.atomic() as connection:
            require(connection, JOBS, instrument.job_id)
            change(connection, INSTRUMENTS, instrument.instrument_id, instrument.version, values)
            return self.instrument(instrument.instrument_id)


def _values(instrument: InstrumentRecord) -> dict[str, object]:
    layout = instrument.layout
    return to_row(instrument, without={"instrument_id", "layout"}) | {
        "layout": layout.layout,
        "layout_snapshot": to_json(layout),
        "action": layout.action.value,
    }
