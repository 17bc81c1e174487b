"""What scrapes teach against brute-force quadrature over all factors at once.

Independent truth: Bayes' rule on a grid of tool factor and two reed factors, the
likelihood written out here. With these three factors only, one scrape is exact but
for the grids; after several the filter keeps two moments of each posterior, and the
tolerances say how far that takes it from the truth.
"""

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from reedwright.instrument.layout import Direction, Reed
from reedwright.reedwork.learning import hear_scrape, no_scrapes_yet, stroke_rate
from reedwright.reedwork.model import Zone
from reedwright.reedwork.scrapes import BenchReed, FilingTool, LearningRules, ZoneResponse

Values = NDArray[np.float64]

TOOL_SPREAD, REED_SPREAD, STROKE_SPREAD = 0.30, 0.25, 0.30
RULES = LearningRules(
    tool=TOOL_SPREAD,
    tool_in_metal=1e-9,
    tool_in_octave=1e-9,
    zone=1e-9,
    reed=REED_SPREAD,
    reed_at_zone=1e-9,
    stroke=STROKE_SPREAD,
)
TOOL = FilingTool("file", "file", 0.2, (), 2.0, "invented")
CENTS_PER_STROKE = 1.0  # 0.2 um times 5 cents per um

#: Which reed (0 or 1), strokes, before and after with their doubts: shifts of ordinary size,
#: one within its doubt, one against the file's direction.
ORDINARY = [(0, 8, 12.0, 0.15, 3.1, 0.15), (1, 6, 9.0, 0.2, 4.4, 0.2), (0, 3, 3.0, 0.1, 0.4, 0.15)]
DOUBTFUL = [(0, 1, 2.0, 0.5, 1.9, 0.5), (1, 2, 3.0, 0.4, 3.3, 0.4), (0, 2, 2.0, 0.5, 0.1, 0.6)]


def bench_reed(number: int) -> BenchReed:
    """Return one of the two reeds."""
    return BenchReed(
        Reed(f"L1.{number}", Direction.PRESS),
        440.0,
        "steel",
        1.0,
        ZoneResponse(Zone.TIP, 2.0, 50.0),
        ZoneResponse(Zone.ROOT, 5.0, 30.0),
    )


def by_brute_force(scrapes: list[tuple[int, int, float, float, float, float]]) -> dict[str, float]:
    """Return mean and standard deviation of the log rate of both reeds, and of the tool."""
    places = 121
    tool = np.linspace(-6.0, 6.0, places)[:, None, None] * TOOL_SPREAD
    first = np.linspace(-6.0, 6.0, places)[None, :, None] * REED_SPREAD
    second = np.linspace(-6.0, 6.0, places)[None, None, :] * REED_SPREAD
    log_density = -0.5 * (
        (tool / TOOL_SPREAD) ** 2 + (first / REED_SPREAD) ** 2 + (second / REED_SPREAD) ** 2
    )
    for which, strokes, before, before_doubt, after, after_doubt in scrapes:
        rate = CENTS_PER_STROKE * np.exp(tool + (second if which else first))
        mean = before - strokes * rate
        of_strokes = strokes * rate**2 * (math.exp(STROKE_SPREAD**2) - 1.0)
        variance = before_doubt**2 + after_doubt**2 + of_strokes
        log_density = log_density - 0.5 * ((after - mean) ** 2 / variance + np.log(variance))
    density = np.exp(log_density - log_density.max())
    density /= density.sum()

    def moments(values: Values) -> tuple[float, float]:
        middle = float((density * values).sum())
        return middle, math.sqrt(float((density * (values - middle) ** 2).sum()))

    whole = tool + 0.0 * (first + second)
    found = {}
    for name, values in (
        ("reed 0", tool + first + 0.0 * second),
        ("reed 1", tool + second + 0.0 * first),
        ("tool", whole),
    ):
        found[f"{name} mean"], found[f"{name} spread"] = moments(values)
    return found


def by_learning(scrapes: list[tuple[int, int, float, float, float, float]]) -> dict[str, float]:
    """Return the same from the filter."""
    factors = no_scrapes_yet()
    for which, strokes, before, before_doubt, after, after_doubt in scrapes:
        factors = hear_scrape(
            factors,
            bench_reed(which),
            Zone.ROOT,
            TOOL,
            strokes=strokes,
            before_cents=before,
            before_doubt_cents=before_doubt,
            after_cents=after,
            after_doubt_cents=after_doubt,
            rules=RULES,
        ).factors
    at = factors.names.index("file")
    found = {
        "tool mean": float(factors.means[at]),
        "tool spread": math.sqrt(float(factors.covariance[at, at])),
    }
    for which in (0, 1):
        rate = stroke_rate(factors, bench_reed(which), Zone.ROOT, TOOL, RULES)
        found[f"reed {which} mean"] = math.log(rate.cents_per_stroke / CENTS_PER_STROKE)
        found[f"reed {which} spread"] = rate.doubt_fraction
    return found


@pytest.mark.parametrize("scrape", [*ORDINARY, *DOUBTFUL])
def test_one_scrape_is_exact(scrape: tuple[int, int, float, float, float, float]) -> None:
    """Means and spreads of both reeds and the tool agree to the fineness of the grids."""
    learned, truth = by_learning([scrape]), by_brute_force([scrape])
    assert learned.keys() == truth.keys()
    for name, value in truth.items():
        assert learned[name] == pytest.approx(value, abs=2e-4), name


@pytest.mark.parametrize(
    ("scrapes", "of_mean", "of_spread"), [(ORDINARY, 0.04, 0.08), (DOUBTFUL, 0.06, 0.08)]
)
def test_several_scrapes_stay_near_the_truth(
    scrapes: list[tuple[int, int, float, float, float, float]], of_mean: float, of_spread: float
) -> None:
    """Means are off by a small part of the spread, spreads by a small part of themselves."""
    learned, truth = by_learning(scrapes), by_brute_force(scrapes)
    for name in ("reed 0", "reed 1", "tool"):
        spread = truth[f"{name} spread"]
        assert learned[f"{name} mean"] == pytest.approx(
            truth[f"{name} mean"], abs=of_mean * spread
        ), name
        assert learned[f"{name} spread"] == pytest.approx(spread, rel=of_spread), name
