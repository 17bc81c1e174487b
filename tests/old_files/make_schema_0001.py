"""What `schema_0001.reedwright` holds, and how it was made by the program of that schema.

Run ``python tests/old_files/make_schema_0001.py FILE`` with the program at schema 1.
The values below are what every later version must find in it.
"""

import sys

from reedwright.instrument.layout import Action, Direction, Key, Layout, Side
from reedwright.instrument.note import SpelledNote
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
from reedwright.jobs.ports import BenchPass, BenchRow
from reedwright.reedwork.model import FilingPlan, FilingStep, Verdict, Zone
from reedwright.store import open_workshop
from reedwright.tuning.model import Kind, Scheme, Temperament, Tolerance

__all__ = ["LAYOUT", "PLANS", "RECORDING", "ROWS", "SCHEME", "SURVEY", "TARGETS", "TOLERANCE"]

G_SHARP, A_FLAT = SpelledNote.parse("G#4"), SpelledNote.parse("Ab4")

LAYOUT = Layout(
    layout="two-keys",
    title="Two keys",
    action=Action.DOUBLE,
    keys=(
        Key("L1.1", Side.LEFT, 1, 1, G_SHARP, G_SHARP),
        Key("R1.1", Side.RIGHT, 1, 1, A_FLAT, None),
    ),
    evidence="invented for a test",
)


def _tone(start_s: float, frequency_hz: float, second: SecondReed | None) -> Tone:
    return Tone(
        start_s=start_s,
        end_s=start_s + 3.1,
        measured_from_s=start_s + 0.3,
        measured_to_s=start_s + 2.9,
        frequency_hz=frequency_hz,
        standard_error_cents=0.0123456789,
        interval_low_hz=frequency_hz - 0.01,
        interval_high_hz=frequency_hz + 0.01,
        trace=Trace((0.1, 0.2), (-0.3, 0.3), (0.01, 0.02), (-10.5, -11.5)),
        partials=(Partial(1, 0.25, 1e-5), Partial(2, 0.125, 2e-5)),
        level_dbfs=-11.0,
        steadiness_cents=0.3,
        drift_cents_per_s=-0.7,
        drift_cents_per_s_standard_error=0.07,
        drift_cents_per_db=None if second else 0.4,
        drift_cents_per_db_standard_error=None if second else 0.04,
        rise_time_s=0.03,
        speaking_delay_s=None,
        noise_bands=(NoiseBand(1000.0, 2000.0, -45.5),),
        hum_hz=50.0,
        clipped_fraction=0.0,
        second=second,
        cautions=("short",),
    )


SURVEY = Survey(
    layout="two-keys",
    order="ascending",
    duration_s=20.0,
    sample_rate_hz=44100.0,
    shift_cents=36.875,
    readings=(
        Reading(
            key="L1.1",
            side=Side.LEFT,
            note=G_SHARP,
            direction=Direction.PRESS,
            tone=_tone(1.0, 424.19, None),
            confidence=0.75,
            doubt="L1.1 or R1.1",
            also_possible=(("R1.1", Direction.PRESS),),
            doubt_budget=DoubtBudget(0.1, 0.2, 0.3, 0.4, 0.0866, 0.25),
        ),
        Reading(
            key="L1.1",
            side=Side.LEFT,
            note=G_SHARP,
            direction=Direction.DRAW,
            tone=_tone(5.0, 425.91, SecondReed(1.5, 427.41, 0.5, -12.0)),
            confidence=1.0,
            doubt=None,
            also_possible=(),
            doubt_budget=DoubtBudget(0.1, 0.2, 0.3, 0.4, 0.0866, 0.25),
        ),
    ),
    missing=(Missing("R1.1", Side.RIGHT, A_FLAT, Direction.PRESS),),
    unplaced=(_tone(9.0, 881.25, None),),
    cautions=("somebody spoke",),
    conditions=Conditions(clock_ppm=12.5, temperature_c=18.25, metal="steel", is_end_on=None),
)

SCHEME = Scheme(
    a4_hz=452.5,
    temperament=Temperament(
        temperament="fifth-comma",
        title="Fifth-comma meantone",
        kind=Kind.REGULAR,
        fifth_cents=697.6537,
        deviations_cents=(),
        evidence="invented for a test",
        caution="invented",
        note_deviations_cents=(("G#4", 1.25),),
    ),
    reference="C",
)

TOLERANCE = Tolerance(1.5, 2.5)

TARGETS = (
    Target("L1.1", Side.LEFT, Direction.PRESS, G_SHARP, 424.5),
    Target("L1.1", Side.LEFT, Direction.DRAW, G_SHARP, 424.5),
    Target("R1.1", Side.RIGHT, Direction.PRESS, A_FLAT, 431.75),
)

PLANS = (
    FilingPlan(
        key="L1.1",
        direction="draw",
        verdict=Verdict.FILE,
        change_cents=-5.74,
        zone=Zone.ROOT,
        zone_from_mm=1.0,
        zone_to_mm=4.0,
        depth_um=3.5,
        depth_doubt_um=0.7,
        mass_mg=0.21,
        thinnest_mm=0.195,
        steps=(FilingStep(2.0, 0.12, 2.4, 0.5), FilingStep(3.5, 0.21, 0.0, 0.8)),
        sentence="File the root.",
        assumptions=("thickness from the default scale",),
        care=("support the tongue", "measure when cold"),
    ),
    FilingPlan(
        key="L1.1",
        direction="press",
        verdict=Verdict.LISTEN_AGAIN,
        change_cents=None,
        zone=None,
        zone_from_mm=None,
        zone_to_mm=None,
        depth_um=None,
        depth_doubt_um=None,
        mass_mg=None,
        thinnest_mm=None,
        steps=(),
        sentence="Listen again.",
        assumptions=(),
    ),
)

ROWS = (
    BenchRow("L1.1", Direction.PRESS, -1.3, 0.0, None, None, -0.5, True),
    BenchRow("L1.1", Direction.DRAW, 5.7, 0.0, 2.4, 0.25, None, False),
)

RECORDING = bytes(range(256)) * 4097


def make(path: str) -> None:
    """Write the file."""
    at = "2026-11-25T14:03:00+00:00"
    with open_workshop(path, create=True) as workshop, workshop.atomic():
        job = workshop.add_job(
            name="Two keys ♯♭", opened_on="2026-11-25", owner_reference="card 17", notes="leaks"
        )
        instrument = workshop.add_instrument(
            job.job_id,
            title="Invented",
            layout=LAYOUT,
            metal="steel",
            frame_metal="brass",
            a4_hz=452.5,
            notes="one key is silent",
        )
        recording = workshop.add_recording(
            [RECORDING], original_name="found.wav", media_type="audio/wav", added_at=at
        )
        survey = workshop.save_survey(
            instrument.instrument_id,
            SURVEY,
            recording_id=recording.recording_id,
            made_at=at,
            bench_pass=BenchPass.AFTER_1,
            operator="me",
            comment="ends on",
        )
        targets = workshop.save_targets(
            instrument.instrument_id,
            TARGETS,
            scheme=SCHEME,
            tolerance=TOLERANCE,
            made_at=at,
            pitch_standard="old",
            survey_id=survey.survey_id,
        )
        workshop.save_plans(
            PLANS, survey_id=survey.survey_id, target_set_id=targets.target_set_id, made_at=at
        )
        workshop.save_typed_table(
            instrument.instrument_id,
            ROWS,
            typed_at=at,
            target_set_id=targets.target_set_id,
            comment="first pass",
        )


if __name__ == "__main__":
    make(sys.argv[1])
