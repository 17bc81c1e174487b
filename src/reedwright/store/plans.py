"""Plans: what to do with each reed, as advised from one survey against one set of targets."""

from collections.abc import Iterable

from sqlalchemy import Connection, ForeignKeyConstraint

from reedwright.errors import InputError
from reedwright.jobs.ports import PlanRecord
from reedwright.reedwork.model import FilingPlan, FilingStep
from reedwright.store.columns import identifier, number, pointer, table, text, whole
from reedwright.store.instruments import INSTRUMENTS
from reedwright.store.records import Shelf, add, add_children, children, find, identifiers, require
from reedwright.store.rows import checked_moment, from_row, to_row
from reedwright.store.surveys import SURVEYS
from reedwright.store.targets import TARGET_SETS

__all__ = ["FILING_PLANS", "FILING_STEPS", "PLAN_SETS", "PlanShelf"]

PLAN_SETS = table(
    "plan_sets",
    identifier("plan_set_id"),
    pointer("instrument_id", "instruments.instrument_id"),
    pointer("survey_id", "surveys.survey_id"),
    pointer("target_set_id", "target_sets.target_set_id"),
    text("made_at"),
)

FILING_PLANS = table(
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
)

FILING_STEPS = table(
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
)


class PlanShelf(Shelf):
    """The filing plans of a workshop; what each call does is said in ``jobs.ports``."""

    def save_plans(
        self, plans: Iterable[FilingPlan], *, survey_id: int, target_set_id: int, made_at: str
    ) -> PlanRecord:
        """Keep the filing plans made from a survey against targets of the same instrument."""
        checked_moment(made_at, "made_at")
        record = PlanRecord(0, survey_id, target_set_id, made_at, tuple(plans))
        with self.atomic() as connection:
            instrument_id = find(connection, SURVEYS, survey_id)["instrument_id"]
            meant_for = find(connection, TARGET_SETS, target_set_id)["instrument_id"]
            if instrument_id != meant_for:
                raise InputError(
                    "a plan needs survey and targets of one instrument, survey "
                    f"{survey_id} is of instrument {instrument_id}, targets {target_set_id} are "
                    f"for instrument {meant_for}; make the targets for that instrument"
                )
            values = to_row(record, without={"plan_set_id", "plans"})
            plan_set_id = add(connection, PLAN_SETS, values | {"instrument_id": instrument_id})
            _add_plans(connection, plan_set_id, record.plans)
            return self.plan_set(plan_set_id)

    def plan_set(self, plan_set_id: int) -> PlanRecord:
        """Return one set of plans, equal to what was kept."""
        with self.snapshot() as connection:
            row = find(connection, PLAN_SETS, plan_set_id)
            steps: dict[int, list[FilingStep]] = {}
            for step in children(connection, FILING_STEPS, plan_set_id=plan_set_id):
                steps.setdefault(step["plan_number"], []).append(from_row(FilingStep, step))
            plans = children(connection, FILING_PLANS, plan_set_id=plan_set_id)
            return from_row(
                PlanRecord,
                row,
                plans=tuple(
                    from_row(FilingPlan, plan, steps=tuple(steps.get(plan["number"], ())))
                    for plan in plans
                ),
            )

    def plan_sets(self, instrument_id: int) -> tuple[PlanRecord, ...]:
        """Return the sets of plans of an instrument, the first kept first."""
        with self.snapshot() as connection:
            require(connection, INSTRUMENTS, instrument_id)
            found = identifiers(connection, PLAN_SETS, instrument_id=instrument_id)
            return tuple(self.plan_set(plan_set_id) for plan_set_id in found)

    def latest_plans(self, instrument_id: int) -> PlanRecord | None:
        """Return the plans kept last, None if there are none."""
        with self.snapshot() as connection:
            require(connection, INSTRUMENTS, instrument_id)
            found = identifiers(connection, PLAN_SETS, instrument_id=instrument_id)
            return self.plan_set(found[-1]) if found else None


def _add_plans(connection: Connection, plan_set_id: int, plans: tuple[FilingPlan, ...]) -> None:
    rows = [to_row(plan, without={"steps"}) for plan in plans]
    add_children(connection, FILING_PLANS, rows, plan_set_id=plan_set_id)
    for plan_number, plan in enumerate(plans):
        add_children(
            connection,
            FILING_STEPS,
            [to_row(step) for step in plan.steps],
            plan_set_id=plan_set_id,
            plan_number=plan_number,
        )
