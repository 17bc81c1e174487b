"""Invented surveys, targets, plans and typed tables with every field in use, for the store."""

import random

from reedwright.instrument.layout import Action, Direction, Key, Layout, Reed, Side, key_identifier
from reedwright.instrument.note import CONCERTINA_CHAIN, SpelledNote
from reedwright.instrument.reading import (
    Conditions,
    DoubtBudget,
    Missing,
    NoiseBand,
    Partial,
    Reading,
    SecondReed,
    Survey,
    Tone,
    Trace,
)
from reedwright.instrument.target import Target
from reedwright.jobs.ports import BenchRow, WorkshopStore
from reedwright.reedwork.bench_offset import PairedReading, PlacedReed
from reedwright.reedwork.model import FilingPlan, FilingStep, Verdict, Zone
from reedwright.reedwork.scrapes import BenchReading, Scrape
from reedwright.tuning.model import Kind, Scheme, Temperament, Tolerance

__all__ = [
    "fill_workshop",
    "invented_layout",
    "invented_pairs",
    "invented_plans",
    "invented_scrapes",
    "invented_survey",
    "invented_targets",
    "invented_tone",
    "invented_typed_rows",
]

#: Points of a pitch trace: one every 20 ms of a note of 3 s.
_TRACE_POINTS = 150


def invented_layout(keys: int = 48) -> Layout:
    """Return a double-action layout of ``keys`` keys, half of them on each end."""
    per_side = -(-keys // 2)
    return Layout(
        layout=f"invented-{keys}",
        title=f"Invented, {keys} keys",
        action=Action.DOUBLE,
        keys=tuple(
            _key(Side.LEFT if index < per_side else Side.RIGHT, index % per_side, index)
            for index in range(keys)
        ),
        evidence="invented for a test",
    )


def _key(side: Side, place: int, index: int) -> Key:
    name = CONCERTINA_CHAIN[index % len(CONCERTINA_CHAIN)]
    note = SpelledNote.parse(f"{name}{3 + index // 14}")
    row, position = place // 6 + 1, place % 6 + 1
    return Key(key_identifier(side, row, position), side, row, position, note, note)


def invented_tone(random_source: random.Random, start_s: float, frequency_hz: float) -> Tone:
    """Return a tone whose numbers need all their digits, with every optional part there or not."""
    some = random_source.random
    has_more = some() < 0.5
    points = range(_TRACE_POINTS)
    return Tone(
        start_s=start_s,
        end_s=start_s + 3.0 + some(),
        measured_from_s=start_s + 0.3,
        measured_to_s=start_s + 2.8,
        frequency_hz=frequency_hz,
        standard_error_cents=0.01 * some(),
        interval_low_hz=frequency_hz - 0.01 * some(),
        interval_high_hz=frequency_hz + 0.01 * some(),
        trace=Trace(
            times_s=tuple(start_s + 0.02 * point for point in points),
            offsets_cents=tuple(some() - 0.5 for _ in points),
            standard_errors_cents=tuple(0.1 * some() for _ in points),
            levels_db=tuple(-20.0 * some() for _ in points),
        ),
        partials=tuple(
            Partial(
                number=number, amplitude=some() / number, amplitude_standard_error=1e-4 * some()
            )
            for number in range(1, 21)
        ),
        level_dbfs=-20.0 * some(),
        steadiness_cents=some(),
        drift_cents_per_s=some() - 0.5,
        drift_cents_per_s_standard_error=0.1 * some(),
        drift_cents_per_db=some() if has_more else None,
        drift_cents_per_db_standard_error=some() if has_more else None,
        rise_time_s=0.1 * some() if has_more else None,
        speaking_delay_s=0.1 * some() if has_more else None,
        noise_bands=tuple(
            NoiseBand(low_hz=low_hz, high_hz=2.0 * low_hz, ratio_db=-40.0 * some())
            for low_hz in (500.0, 1000.0, 2000.0, 4000.0)
        ),
        hum_hz=50.0 if has_more else None,
        clipped_fraction=0.0,
        second=SecondReed(
            beat_hz=some(),
            frequency_hz=None if some() < 0.5 else frequency_hz + some(),
            standard_error_cents=None if some() < 0.5 else some(),
            level_db=-some(),
        )
        if has_more
        else None,
        cautions=("the note is short", "it drifts – see the trace") if has_more else (),
    )


def invented_survey(layout: Layout, *, seed: int = 1) -> Survey:
    """Return a survey of a layout: all reeds but the last two read, two tones unplaced."""
    random_source = random.Random(seed)  # noqa: S311 -- invented numbers, no secrets
    reeds = layout.reeds()
    readings = tuple(
        _reading(random_source, layout, reed, start_s=4.0 * place)
        for place, reed in enumerate(reeds[:-2])
    )
    return Survey(
        layout=layout.layout,
        order="ascending",
        duration_s=4.0 * len(reeds),
        sample_rate_hz=44100.0,
        shift_cents=37.123456789012345,
        readings=readings,
        missing=tuple(
            Missing(reed.key, layout.key(reed.key).side, layout.note(reed), reed.direction)
            for reed in reeds[-2:]
        ),
        unplaced=(
            invented_tone(random_source, 4.0 * len(reeds), 123.4),
            invented_tone(random_source, 4.0 * len(reeds) + 4.0, 1234.5),
        ),
        cautions=("somebody spoke",),
        conditions=Conditions(
            clock_ppm=12.5,
            temperature_c=18.25,
            metal="steel",
            bellows_pressure_pa=None,
            is_on_bench=True,
            is_end_on=None,
        ),
    )


def _reading(
    random_source: random.Random, layout: Layout, reed: Reed, *, start_s: float
) -> Reading:
    some = random_source.random
    note = layout.note(reed)
    frequency_hz = 440.0 * 2.0 ** ((note.semitone - 69 + 0.2 * some()) / 12.0)
    is_doubtful = some() < 0.2
    return Reading(
        key=reed.key,
        side=layout.key(reed.key).side,
        note=note,
        direction=reed.direction,
        tone=invented_tone(random_source, start_s, frequency_hz),
        confidence=some(),
        doubt="two reeds of this pitch" if is_doubtful else None,
        also_possible=(("L1.1", Direction.DRAW), ("R1.2", Direction.PRESS)) if is_doubtful else (),
        doubt_budget=DoubtBudget(some(), some(), some(), some(), 0.0866, 0.25),
    )


def invented_targets(layout: Layout) -> tuple[Target, ...]:
    """Return a target for every reed: equal temperament at 443.2 Hz."""
    return tuple(
        Target(
            key=reed.key,
            side=layout.key(reed.key).side,
            direction=reed.direction,
            note=layout.note(reed),
            frequency_hz=443.2 * 2.0 ** ((layout.note(reed).semitone - 69) / 12.0),
        )
        for reed in layout.reeds()
    )


def invented_plans(layout: Layout) -> tuple[FilingPlan, ...]:
    """Return a plan for every reed, some to be filed in steps and some to be left."""
    return tuple(_plan(reed, place) for place, reed in enumerate(layout.reeds()))


def _plan(reed: Reed, place: int) -> FilingPlan:
    is_filed = place % 3 != 0
    return FilingPlan(
        key=reed.key,
        direction=reed.direction,
        verdict=Verdict.FILE if is_filed else Verdict.LEAVE,
        change_cents=place / 7.0 if is_filed else None,
        zone=Zone.TIP if is_filed else None,
        zone_from_mm=0.5 if is_filed else None,
        zone_to_mm=3.5 if is_filed else None,
        depth_um=place / 3.0 if is_filed else None,
        depth_doubt_um=place / 30.0 if is_filed else None,
        mass_mg=place / 11.0 if is_filed else None,
        thinnest_mm=0.21 if is_filed else None,
        steps=tuple(
            FilingStep(place / 5.0, place / 13.0, -place / step, place / 17.0)
            for step in range(1, place % 3 + 1)
        ),
        sentence=f"File the tip of {reed.key}." if is_filed else "Leave it.",
        assumptions=("the thickness of the tongue",) if is_filed else (),
        care=("look for a crack first",) if place % 5 == 1 else (),
    )


def invented_typed_rows(layout: Layout) -> tuple[BenchRow, ...]:
    """Return a typed line for every reed, some of it left empty."""
    return tuple(
        BenchRow(
            key=reed.key,
            direction=reed.direction,
            found_cents=place / 3.0,
            target_cents=0.0,
            after_1_cents=place / 9.0 if place % 2 else None,
            after_2_cents=place / 27.0 if place % 4 == 3 else None,
            final_cents=None,
            is_ticked=place % 2 == 0,
        )
        for place, reed in enumerate(layout.reeds())
    )


def invented_scrapes(layout: Layout) -> tuple[Scrape, ...]:
    """Return a scrape of every reed, with every optional part there or not."""
    return tuple(
        Scrape(
            reed=reed,
            frequency_hz=220.0 * 2.0 ** (place / 12.0),
            metal="brass" if place % 2 else "steel",
            zone=Zone.ROOT if place % 2 else Zone.TIP,
            tool="fine-file",
            strokes=place + 1,
            cents_per_um=2.0 + place / 7.0,
            before=BenchReading(-place / 3.0, 0.1 + place / 90.0, place / 110.0),
            after=BenchReading(-place / 9.0, 0.15, 0.02, 10.0 / (place + 1), place % 2 == 1),
            predicted_cents=place / 4.5 if place % 3 else None,
            predicted_doubt_cents=place / 13.0 if place % 3 else None,
        )
        for place, reed in enumerate(layout.reeds())
    )


def invented_pairs(layout: Layout) -> tuple[PairedReading, ...]:
    """Return a pair of readings of every reed."""
    return tuple(
        PairedReading(
            PlacedReed(reed, 220.0 * 2.0 ** (place / 12.0)), 3.0 - place / 7.0, 0.2 + place / 90.0
        )
        for place, reed in enumerate(layout.reeds())
    )


def fill_workshop(workshop: WorkshopStore, *, keys: int = 4) -> None:
    """Put one record of every kind, about an instrument of ``keys`` keys, into a workshop."""
    at = "2026-11-25T14:03:00+00:00"
    layout = invented_layout(keys)
    job = workshop.add_job(name="one", opened_on="2026-11-25")
    instrument = workshop.add_instrument(
        job.job_id, title="Invented", layout=layout, metal="steel", frame_metal="brass"
    )
    recording = workshop.add_recording(
        [random.Random(1).randbytes(2_500_000)],  # noqa: S311 -- no secrets
        original_name="a.wav",
        media_type="audio/wav",
        added_at=at,
    )
    survey = workshop.save_survey(
        instrument.instrument_id,
        invented_survey(layout),
        recording_id=recording.recording_id,
        made_at=at,
    )
    temperament = Temperament("equal", "Equal", Kind.REGULAR, 700.0, (), "definition")
    targets = workshop.save_targets(
        instrument.instrument_id,
        invented_targets(layout),
        scheme=Scheme(440.0, temperament),
        tolerance=Tolerance(),
        made_at=at,
    )
    workshop.save_plans(
        invented_plans(layout),
        survey_id=survey.survey_id,
        target_set_id=targets.target_set_id,
        made_at=at,
    )
    workshop.save_typed_table(instrument.instrument_id, invented_typed_rows(layout), typed_at=at)
    for scrape in invented_scrapes(layout):
        workshop.save_scrape(
            instrument.instrument_id,
            scrape,
            survey_id=survey.survey_id,
            scraped_at=at,
            comment="burr off",
        )
    workshop.save_offset_pairs(
        invented_pairs(layout),
        bench_survey_id=survey.survey_id,
        instrument_survey_id=survey.survey_id,
        made_at=at,
    )
