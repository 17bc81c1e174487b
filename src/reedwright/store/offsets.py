"""Paired readings: the same reeds on the bench and in the closed instrument."""

from collections.abc import Iterable

from reedwright.errors import InputError
from reedwright.instrument.layout import Reed
from reedwright.jobs.ports import OffsetRecord
from reedwright.reedwork.bench_offset import PairedReading, PlacedReed
from reedwright.store.columns import identifier, number, pointer, table, text, whole
from reedwright.store.instruments import INSTRUMENTS
from reedwright.store.records import Shelf, add, add_children, children, find, identifiers, require
from reedwright.store.rows import checked_moment, from_row, to_row
from reedwright.store.surveys import SURVEYS

__all__ = ["OFFSET_PAIRS", "OFFSET_SETS", "OffsetShelf"]

OFFSET_SETS = table(
    "offset_sets",
    identifier("offset_set_id"),
    pointer("instrument_id", "instruments.instrument_id"),
    pointer("bench_survey_id", "surveys.survey_id"),
    pointer("instrument_survey_id", "surveys.survey_id"),
    text("made_at"),
)

OFFSET_PAIRS = table(
    "offset_pairs",
    pointer("offset_set_id", "offset_sets.offset_set_id", primary_key=True),
    whole("number", primary_key=True),
    text("key"),
    text("direction"),
    number("frequency_hz"),
    number("offset_cents"),
    number("doubt_cents"),
)


class OffsetShelf(Shelf):
    """The paired readings of a workshop; what each call does is said in ``jobs.ports``."""

    def save_offset_pairs(
        self,
        pairs: Iterable[PairedReading],
        *,
        bench_survey_id: int,
        instrument_survey_id: int,
        made_at: str,
    ) -> OffsetRecord:
        """Keep the paired readings of two surveys of one instrument."""
        checked_moment(made_at, "made_at")
        with self.atomic() as connection:
            instrument_id = find(connection, SURVEYS, bench_survey_id)["instrument_id"]
            other = find(connection, SURVEYS, instrument_survey_id)["instrument_id"]
            if instrument_id != other:
                raise InputError(
                    "paired readings are of one instrument, survey "
                    f"{bench_survey_id} is of instrument {instrument_id}, survey "
                    f"{instrument_survey_id} of instrument {other}; pair surveys of one instrument"
                )
            record = OffsetRecord(
                0, instrument_id, bench_survey_id, instrument_survey_id, made_at, tuple(pairs)
            )
            values = to_row(record, without={"offset_set_id", "pairs"})
            offset_set_id = add(connection, OFFSET_SETS, values)
            rows = [
                to_row(pair, without={"place"})
                | to_row(pair.place, without={"reed"})
                | to_row(pair.place.reed)
                for pair in record.pairs
            ]
            add_children(connection, OFFSET_PAIRS, rows, offset_set_id=offset_set_id)
            return self.offset_set(offset_set_id)

    def offset_set(self, offset_set_id: int) -> OffsetRecord:
        """Return one set of paired readings, equal to what was kept."""
        with self.snapshot() as connection:
            row = find(connection, OFFSET_SETS, offset_set_id)
            pairs = tuple(
                from_row(
                    PairedReading,
                    pair,
                    place=from_row(PlacedReed, pair, reed=from_row(Reed, pair)),
                )
                for pair in children(connection, OFFSET_PAIRS, offset_set_id=offset_set_id)
            )
            return from_row(OffsetRecord, row, pairs=pairs)

    def offset_sets(self, instrument_id: int) -> tuple[OffsetRecord, ...]:
        """Return the sets of paired readings of an instrument, the first kept first."""
        with self.snapshot() as connection:
            require(connection, INSTRUMENTS, instrument_id)
            found = identifiers(connection, OFFSET_SETS, instrument_id=instrument_id)
            return tuple(self.offset_set(offset_set_id) for offset_set_id in found)
