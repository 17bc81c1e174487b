"""The first tables: jobs, instruments, recordings, surveys, targets, plans, typed bench sheets.

Written once and never changed again, like every migration: the tables of today
stand beside the nouns that use them.
"""

from sqlalchemy import Connection, ForeignKeyConstraint, MetaData

from reedwright.store.columns import (
    NAMES,
    blob,
    flag,
    identifier,
    number,
    pointer,
    table,
    text,
    whole,
)

__all__ = ["run"]

_FIRST = MetaData(naming_convention=NAMES)

table(
    "jobs",
    identifier("job_id"),
    text("name"),
    text("opened_on"),
    text("owner_reference"),
    text("notes"),
    whole("version"),
    metadata=_FIRST,
)

table(
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
    metadata=_FIRST,
)

table(
    "recordings",
    identifier("recording_id"),
    text("sha256", unique=True),
    whole("size_bytes"),
    text("media_type"),
    text("original_name"),
    text("added_at"),
    metadata=_FIRST,
)

table(
    "recording_pieces",
    pointer("recording_id", "recordings.recording_id", primary_key=True),
    whole("number", primary_key=True),
    blob("piece"),
    metadata=_FIRST,
)

table(
    "surveys",
    identifier("survey_id"),
    pointer("instrument_id", "instruments.instrument_id"),
    pointer("recording_id", "recordings.recording_id", nullable=True),
    text("made_at"),
    text("bench_pass"),
    text("operator"),
    text("comment"),
    text("layout"),
    text("order"),
    number("duration_s"),
    number("sample_rate_hz"),
    number("shift_cents"),
    text("cautions"),
    number("clock_ppm"),
    number("clock_doubt_ppm"),
    number("temperature_c", nullable=True),
    number("reference_temperature_c"),
    text("metal", nullable=True),
    number("bellows_pressure_pa", nullable=True),
    flag("is_on_bench"),
    flag("is_end_on", nullable=True),
    whole("version"),
    metadata=_FIRST,
)

table(
    "tones",
    pointer("survey_id", "surveys.survey_id", primary_key=True),
    whole("number", primary_key=True),
    number("start_s"),
    number("end_s"),
    number("measured_from_s"),
    number("measured_to_s"),
    number("frequency_hz"),
    number("standard_error_cents"),
    number("interval_low_hz"),
    number("interval_high_hz"),
    text("trace"),
    text("partials"),
    number("level_dbfs"),
    number("steadiness_cents"),
    number("drift_cents_per_s"),
    number("drift_cents_per_s_standard_error"),
    number("drift_cents_per_db", nullable=True),
    number("drift_cents_per_db_standard_error", nullable=True),
    number("rise_time_s", nullable=True),
    number("speaking_delay_s", nullable=True),
    text("noise_bands"),
    number("hum_hz", nullable=True),
    number("clipped_fraction"),
    number("second_beat_hz", nullable=True),
    number("second_frequency_hz", nullable=True),
    number("second_standard_error_cents", nullable=True),
    number("second_level_db", nullable=True),
    text("cautions"),
    metadata=_FIRST,
)

table(
    "readings",
    whole("survey_id", primary_key=True),
    whole("number", primary_key=True),
    text("key"),
    text("side"),
    text("note"),
    text("direction"),
    number("confidence"),
    text("doubt", nullable=True),
    text("also_possible"),
    number("estimator_cents"),
    number("drift_cents"),
    number("pressure_cents"),
    number("repeatability_cents"),
    number("clock_cents"),
    number("temperature_cents"),
    ForeignKeyConstraint(["survey_id", "number"], ["tones.survey_id", "tones.number"]),
    metadata=_FIRST,
)

table(
    "missing_reeds",
    pointer("survey_id", "surveys.survey_id", primary_key=True),
    whole("number", primary_key=True),
    text("key"),
    text("side"),
    text("note"),
    text("direction"),
    metadata=_FIRST,
)

table(
    "target_sets",
    identifier("target_set_id"),
    pointer("instrument_id", "instruments.instrument_id"),
    pointer("survey_id", "surveys.survey_id", nullable=True),
    text("made_at"),
    text("pitch_standard", nullable=True),
    number("a4_hz"),
    text("temperament"),
    text("temperament_snapshot"),
    text("reference"),
    number("tolerance_cents"),
    number("outer_tolerance_cents"),
    metadata=_FIRST,
)

table(
    "targets",
    pointer("target_set_id", "target_sets.target_set_id", primary_key=True),
    whole("number", primary_key=True),
    text("key"),
    text("side"),
    text("direction"),
    text("note"),
    number("frequency_hz"),
    metadata=_FIRST,
)

table(
    "plan_sets",
    identifier("plan_set_id"),
    pointer("instrument_id", "instruments.instrument_id"),
    pointer("survey_id", "surveys.survey_id"),
    pointer("target_set_id", "target_sets.target_set_id"),
    text("made_at"),
    metadata=_FIRST,
)

table(
    "filing_plans",
    pointer("plan_set_id", "plan_sets.plan_set_id", primary_key=True),
    whole("number", primary_key=True),
    text("key"),
    text("direction"),
    text("verdict"),
    number("change_cents", nullable=True),
    text("zone", nullable=True),
    number("zone_from_mm", nullable=True),
    number("zone_to_mm", nullable=True),
    number("depth_um", nullable=True),
    number("depth_doubt_um", nullable=True),
    number("mass_mg", nullable=True),
    number("thinnest_mm", nullable=True),
    text("sentence"),
    text("assumptions"),
    text("care"),
    metadata=_FIRST,
)

table(
    "filing_steps",
    whole("plan_set_id", primary_key=True),
    whole("plan_number", primary_key=True),
    whole("number", primary_key=True),
    number("depth_um"),
    number("mass_mg"),
    number("expected_offset_cents"),
    number("expected_doubt_cents"),
    ForeignKeyConstraint(
        ["plan_set_id", "plan_number"], ["filing_plans.plan_set_id", "filing_plans.number"]
    ),
    metadata=_FIRST,
)

table(
    "typed_tables",
    identifier("typed_table_id"),
    pointer("instrument_id", "instruments.instrument_id"),
    pointer("target_set_id", "target_sets.target_set_id", nullable=True),
    text("typed_at"),
    text("comment"),
    whole("version"),
    metadata=_FIRST,
)

table(
    "typed_rows",
    pointer("typed_table_id", "typed_tables.typed_table_id", primary_key=True),
    whole("number", primary_key=True),
    text("key"),
    text("direction"),
    number("found_cents", nullable=True),
    number("target_cents", nullable=True),
    number("after_1_cents", nullable=True),
    number("after_2_cents", nullable=True),
    number("final_cents", nullable=True),
    flag("is_ticked"),
    metadata=_FIRST,
)


def run(connection: Connection) -> None:
    """Make the tables in an empty database."""
    _FIRST.create_all(connection, checkfirst=False)
