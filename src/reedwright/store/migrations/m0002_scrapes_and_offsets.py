"""Scrapes with what they did, and paired readings of bench and closed instrument."""

from sqlalchemy import Connection, MetaData

from reedwright.store.columns import (
    NAMES,
    flag,
    identifier,
    number,
    pointer,
    table,
    text,
    whole,
)

__all__ = ["run"]

_SECOND = MetaData(naming_convention=NAMES)

#: The tables these point to, as far as they are pointed to; they are there already.
for _name, _key in (("instruments", "instrument_id"), ("surveys", "survey_id")):
    table(_name, identifier(_key), metadata=_SECOND)

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
    metadata=_SECOND,
)

OFFSET_SETS = table(
    "offset_sets",
    identifier("offset_set_id"),
    pointer("instrument_id", "instruments.instrument_id"),
    pointer("bench_survey_id", "surveys.survey_id"),
    pointer("instrument_survey_id", "surveys.survey_id"),
    text("made_at"),
    metadata=_SECOND,
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
    metadata=_SECOND,
)


def run(connection: Connection) -> None:
    """Add the tables."""
    _SECOND.create_all(connection, tables=[SCRAPES, OFFSET_SETS, OFFSET_PAIRS], checkfirst=False)
