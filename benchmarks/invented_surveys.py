"""Surveys of invented instruments whose reeds stand where they are told to, for jobs."""

import random
from collections.abc import Mapping
from dataclasses import replace

from benchmarks.invented_records import invented_tone
from reedwright.instrument.layout import Layout, Reed
from reedwright.instrument.reading import Conditions, DoubtBudget, Reading, Survey
from reedwright.instrument.target import Target

__all__ = ["survey_of_offsets"]


def survey_of_offsets(
    layout: Layout,
    targets: tuple[Target, ...],
    offsets_cents: Mapping[Reed, float],
    *,
    conditions: Conditions | None = None,
    own_doubt_cents: float = 0.1,
) -> Survey:
    """Return a survey in which each reed stands so far from its target, 0 where not said."""
    some = random.Random(5)  # noqa: S311 -- no secrets
    readings = []
    for place, target in enumerate(targets):
        offset_cents = offsets_cents.get(Reed(target.key, target.direction), 0.0)
        frequency_hz = target.frequency_hz * 2.0 ** (offset_cents / 1200.0)
        tone = replace(
            invented_tone(some, 5.0 * place, frequency_hz),
            frequency_hz=frequency_hz,
            second=None,
        )
        budget = DoubtBudget(own_doubt_cents, 0.0, 0.0, 0.0, 0.0866, 0.2)
        readings.append(
            Reading(
                key=target.key,
                side=target.side,
                note=target.note,
                direction=target.direction,
                tone=tone,
                confidence=1.0,
                doubt=None,
                also_possible=(),
                doubt_budget=budget,
            )
        )
    return Survey(
        layout=layout.layout,
        order="ascending",
        duration_s=5.0 * len(readings) + 5.0,
        sample_rate_hz=44100.0,
        shift_cents=0.0,
        readings=tuple(readings),
        missing=(),
        unplaced=(),
        cautions=(),
        conditions=conditions or Conditions(),
    )
