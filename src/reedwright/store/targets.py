"""Targets: what each reed should do, and the pitch and temperament that decided it."""

from collections.abc import Iterable

from reedwright.instrument.target import Target
from reedwright.jobs.ports import TargetRecord
from reedwright.store.columns import identifier, number, pointer, table, text, whole
from reedwright.store.instruments import INSTRUMENTS
from reedwright.store.records import Shelf, add, add_children, children, find, identifiers, require
from reedwright.store.rows import checked_moment, from_json, from_row, to_json, to_row
from reedwright.store.surveys import SURVEYS
from reedwright.tuning.model import Scheme, Temperament, Tolerance

__all__ = ["TARGETS", "TARGET_SETS", "TargetShelf"]

TARGET_SETS = table(
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
)

TARGETS = table(
    "targets",
    pointer("target_set_id", "target_sets.target_set_id", primary_key=True),
    whole("number", primary_key=True),
    text("key"),
    text("side"),
    text("direction"),
    text("note"),
    number("frequency_hz"),
)


class TargetShelf(Shelf):
    """The targets of a workshop; what each call does is said in ``jobs.ports``."""

    def save_targets(
        self,
        instrument_id: int,
        targets: Iterable[Target],
        *,
        scheme: Scheme,
        tolerance: Tolerance,
        made_at: str,
        pitch_standard: str | None = None,
        survey_id: int | None = None,
    ) -> TargetRecord:
        """Keep what each reed should do."""
        checked_moment(made_at, "made_at")
        record = TargetRecord(
            target_set_id=0,
            instrument_id=instrument_id,
            survey_id=survey_id,
            made_at=made_at,
            pitch_standard=pitch_standard,
            scheme=scheme,
            tolerance=tolerance,
            targets=tuple(targets),
        )
        with self.atomic() as connection:
            require(connection, INSTRUMENTS, instrument_id)
            require(connection, SURVEYS, survey_id)
            target_set_id = add(connection, TARGET_SETS, _values(record))
            rows = [to_row(target) for target in record.targets]
            add_children(connection, TARGETS, rows, target_set_id=target_set_id)
            return self.target_set(target_set_id)

    def target_set(self, target_set_id: int) -> TargetRecord:
        """Return one set of targets, equal to what was kept."""
        with self.snapshot() as connection:
            row = find(connection, TARGET_SETS, target_set_id)
            temperament = from_json(Temperament, row["temperament_snapshot"])
            targets = children(connection, TARGETS, target_set_id=target_set_id)
            return from_row(
                TargetRecord,
                row,
                scheme=from_row(Scheme, row, temperament=temperament),
                tolerance=from_row(Tolerance, row),
                targets=tuple(from_row(Target, target) for target in targets),
            )

    def target_sets(self, instrument_id: int) -> tuple[TargetRecord, ...]:
        """Return the sets of targets of an instrument, the first kept first."""
        with self.snapshot() as connection:
            require(connection, INSTRUMENTS, instrument_id)
            found = identifiers(connection, TARGET_SETS, instrument_id=instrument_id)
            return tuple(self.target_set(target_set_id) for target_set_id in found)

    def latest_targets(self, instrument_id: int) -> TargetRecord | None:
        """Return the targets kept last, None if there are none."""
        with self.snapshot() as connection:
            require(connection, INSTRUMENTS, instrument_id)
            found = identifiers(connection, TARGET_SETS, instrument_id=instrument_id)
            return self.target_set(found[-1]) if found else None


def _values(record: TargetRecord) -> dict[str, object]:
    temperament = record.scheme.temperament
    return (
        to_row(record, without={"target_set_id", "scheme", "tolerance", "targets"})
        | to_row(record.scheme, without={"temperament"})
        | to_row(record.tolerance)
        | {"temperament": temperament.temperament, "temperament_snapshot": to_json(temperament)}
    )
