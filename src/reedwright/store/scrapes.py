"""Scrapes: what was filed off which reed, and what it did."""

from reedwright.errors import InputError
from reedwright.instrument.layout import Reed
from reedwright.jobs.ports import ScrapeRecord
from reedwright.reedwork.scrapes import BenchReading, Scrape
from reedwright.store.columns import flag, identifier, number, pointer, table, text, whole
from reedwright.store.instruments import INSTRUMENTS
from reedwright.store.records import Shelf, add, change, find, identifiers, require
from reedwright.store.rows import checked_moment, from_row, to_row
from reedwright.store.surveys import SURVEYS

__all__ = ["SCRAPES", "ScrapeShelf"]

SCRAPES = table(
    "scrapes",
    identifier("scrape_id"),
    pointer("instrument_id", "instruments.instrument_id"),
    pointer("survey_id", "surveys.survey_id", nullable=True),
    text("scraped_at"),
    text("comment"),
    flag("is_withdrawn"),
    text("key"),
    text("direction"),
    number("frequency_hz"),
    text("metal"),
    text("zone"),
    text("tool"),
    whole("strokes"),
    number("cents_per_um"),
    number("before_offset_cents"),
    number("before_doubt_cents"),
    number("before_common_doubt_cents"),
    number("before_minutes_since_filing", nullable=True),
    flag("before_is_by_offset"),
    number("after_offset_cents"),
    number("after_doubt_cents"),
    number("after_common_doubt_cents"),
    number("after_minutes_since_filing", nullable=True),
    flag("after_is_by_offset"),
    number("predicted_cents", nullable=True),
    number("predicted_doubt_cents", nullable=True),
    whole("version"),
)

_NESTED = {"reed", "before", "after"}


class ScrapeShelf(Shelf):
    """The scrapes of a workshop; what each call does is said in ``jobs.ports``."""

    def save_scrape(
        self,
        instrument_id: int,
        scrape: Scrape,
        *,
        survey_id: int | None,
        scraped_at: str,
        comment: str = "",
    ) -> ScrapeRecord:
        """Keep a scrape."""
        record = ScrapeRecord(
            scrape_id=0,
            instrument_id=instrument_id,
            survey_id=survey_id,
            scraped_at=scraped_at,
            comment=comment,
            is_withdrawn=False,
            scrape=scrape,
            version=1,
        )
        with self.atomic() as connection:
            require(connection, INSTRUMENTS, instrument_id)
            require(connection, SURVEYS, survey_id)
            return self.scrape(add(connection, SCRAPES, _values(record)))

    def scrape(self, scrape_id: int) -> ScrapeRecord:
        """Return one scrape, equal to what was kept."""
        with self.snapshot() as connection:
            row = find(connection, SCRAPES, scrape_id)
            scrape = from_row(
                Scrape,
                row,
                reed=from_row(Reed, row),
                before=from_row(BenchReading, row, prefix="before_"),
                after=from_row(BenchReading, row, prefix="after_"),
            )
            return from_row(ScrapeRecord, row, scrape=scrape)

    def scrapes(self, instrument_id: int | None = None) -> tuple[ScrapeRecord, ...]:
        """Return the scrapes of an instrument, or all, the first kept first."""
        with self.snapshot() as connection:
            require(connection, INSTRUMENTS, instrument_id)
            where = {} if instrument_id is None else {"instrument_id": instrument_id}
            found = identifiers(connection, SCRAPES, **where)
            return tuple(self.scrape(scrape_id) for scrape_id in found)

    def update_scrape(self, scrape: ScrapeRecord) -> ScrapeRecord:
        """Keep a corrected or withdrawn scrape; Conflict if it was changed since it was read."""
        values = _values(scrape)
        del values["version"]
        with self.atomic() as connection:
            require(connection, INSTRUMENTS, scrape.instrument_id)
            require(connection, SURVEYS, scrape.survey_id)
            change(connection, SCRAPES, scrape.scrape_id, scrape.version, values)
            return self.scrape(scrape.scrape_id)


def _values(record: ScrapeRecord) -> dict[str, object]:
    checked_moment(record.scraped_at, "scraped_at")
    scrape = record.scrape
    if scrape.strokes < 1:
        raise InputError(
            f"a scrape has at least 1 stroke, got {scrape.strokes}; log only what was filed"
        )
    return (
        to_row(record, without={"scrape_id", "scrape"})
        | to_row(scrape, without=_NESTED)
        | to_row(scrape.reed)
        | to_row(scrape.before, prefix="before_")
        | to_row(scrape.after, prefix="after_")
    )
