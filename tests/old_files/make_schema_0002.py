"""What `schema_0002.reedwright` holds, and how it was made by the program of that schema.

Run ``python tests/old_files/make_schema_0002.py FILE`` with the program at schema 2.
All that `schema_0001.reedwright` holds is in it too, by the same script; the values
below are what came on top.
"""

import runpy
import sys
from dataclasses import replace
from pathlib import Path

from reedwright.instrument.layout import Direction, Reed
from reedwright.reedwork.bench_offset import PairedReading, PlacedReed
from reedwright.reedwork.model import Zone
from reedwright.reedwork.scrapes import BenchReading, Scrape
from reedwright.store import open_workshop

__all__ = ["PAIRS", "SCRAPES"]

SCRAPES = (
    Scrape(
        reed=Reed("L1.1", Direction.DRAW),
        frequency_hz=424.5,
        metal="steel",
        zone=Zone.ROOT,
        tool="fine-file",
        strokes=7,
        cents_per_um=5.54,
        before=BenchReading(5.74, 0.15, 0.09),
        after=BenchReading(2.375, 0.15, 0.09, 12.5),
        predicted_cents=3.1,
        predicted_doubt_cents=1.2,
    ),
    Scrape(
        reed=Reed("L1.1", Direction.PRESS),
        frequency_hz=424.5,
        metal="steel",
        zone=Zone.TIP,
        tool="scraper",
        strokes=1,
        cents_per_um=2.48,
        before=BenchReading(-1.3, 0.2, 1.1, None, is_by_offset=True),
        after=BenchReading(-1.1, 0.2, 1.1, 10.0, is_by_offset=True),
    ),
)

PAIRS = (
    PairedReading(PlacedReed(Reed("L1.1", Direction.PRESS), 424.5), -2.125, 0.3),
    PairedReading(PlacedReed(Reed("R1.1", Direction.PRESS), 431.75), 4.7, 0.25),
)


def make(path: str) -> None:
    """Write the file."""
    at = "2026-11-25T15:03:00+00:00"
    runpy.run_path(str(Path(__file__).with_name("make_schema_0001.py")))["make"](path)
    with open_workshop(path) as workshop, workshop.atomic():
        (instrument,) = workshop.instruments()
        (bench,) = workshop.surveys(instrument.instrument_id)
        closed = workshop.save_survey(
            instrument.instrument_id, bench.survey, recording_id=None, made_at=at
        )
        for scrape in SCRAPES:
            kept = workshop.save_scrape(
                instrument.instrument_id,
                scrape,
                survey_id=closed.survey_id,
                scraped_at=at,
                comment="burr off",
            )
        workshop.update_scrape(replace(kept, is_withdrawn=True))
        workshop.save_offset_pairs(
            PAIRS,
            bench_survey_id=bench.survey_id,
            instrument_survey_id=closed.survey_id,
            made_at=at,
        )


if __name__ == "__main__":
    make(sys.argv[1])
