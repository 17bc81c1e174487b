"""The benchmark of the stroke plan: the best plan is the best, and ours is near it."""

import numpy as np
import pytest
from benchmarks.stroke_plan import (
    World,
    best_plan,
    our_plan,
    outcomes,
    world,
)

from reedwright.reedwork.scrapes import VisitRules

RULES = VisitRules()


@pytest.fixture(scope="module")
def here() -> World:
    """Return the world of the three files."""
    return world(RULES)


def test_every_visit_leads_somewhere(here: World) -> None:
    """The chances of each act add up to 1, and none is below 0."""
    np.testing.assert_allclose(here.chances.sum(axis=-1), 1.0, atol=1e-12)
    assert here.chances.min() > -1e-12


def test_visits_make_the_files_better_known(here: World) -> None:
    """No visit leaves more doubt than it found, and many strokes leave least."""
    places = np.arange(here.after.shape[0])[:, None]
    assert np.all(here.after <= places + 1e-9)
    many = max(range(len(here.acts)), key=lambda a: here.acts[a][1])
    one = here.acts.index((0.4, 1))
    assert np.all(here.after[2:, many] < here.after[2:, one])


def test_ours_comes_near_the_best_and_never_beats_it(here: World) -> None:
    """All prices together, looking one visit ahead costs up to a fifth more than the best."""

    def price(name: str, plan: np.ndarray[tuple[int, ...], np.dtype[np.intp]]) -> list[float]:
        return [
            each.visits
            + RULES.undecided_cost * each.failed_percent / 100.0
            + RULES.overshoot_cost * each.past_percent / 100.0
            + RULES.stroke_cost * each.strokes
            for each in outcomes(here, plan, name)
        ]

    best = price("best", best_plan(here, RULES))
    ours = price("ours", our_plan(here, RULES))
    for least, found in zip(best, ours, strict=True):
        assert least <= found < 1.2 * least


def test_a_careless_plan_fails_more(here: World) -> None:
    """Going straight for the target with the coarsest file ends outside far more often."""
    straight = np.array(
        [
            [
                min(
                    range(len(here.acts)),
                    key=lambda a: (
                        abs(here.acts[a][0] * here.acts[a][1] - distance)
                        + (here.acts[a][0] != 4.0) * 100.0
                    ),
                )
                for distance in here.distances
            ]
        ]
        * here.after.shape[0]
    )
    careless = outcomes(here, straight, "careless")[0]
    careful = outcomes(here, our_plan(here, RULES), "ours")[0]
    assert careless.past_percent > 10.0 * careful.past_percent
    assert careless.failed_percent > 3.0 * careful.failed_percent
