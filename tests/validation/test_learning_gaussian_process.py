"""Bench offsets against scikit-learn's GaussianProcessRegressor on the same data.

Independent truth: scikit-learn (Pedregosa et al., JMLR 12 (2011) 2825), its kernels
put together here: constants, squared exponentials over the pitch, and squared
exponentials so narrow or so wide that they tell directions and reeds apart.
"""

import numpy as np
import pytest
from numpy.typing import NDArray
from sklearn.gaussian_process import (  # type: ignore[import-untyped]
    GaussianProcessRegressor,
)
from sklearn.gaussian_process.kernels import (  # type: ignore[import-untyped]
    RBF,
    ConstantKernel,
)

from reedwright.instrument.layout import Direction, Reed
from reedwright.reedwork.bench_offset import (
    OffsetRules,
    PairedReading,
    PlacedReed,
    learn_offsets,
    log_evidence,
)

RULES = OffsetRules(
    level_cents=2.5,
    curve_cents=3.0,
    curve_octaves=0.8,
    direction_cents=1.2,
    own_cents=1.7,
    seating_cents=0.9,
)
NARROW, WIDE = 1e-3, 1e4
REEDS = [
    PlacedReed(
        Reed(f"L1.{number}", Direction.PRESS if number % 2 else Direction.DRAW),
        180.0 * 2.0 ** (number / 6.0),
    )
    for number in range(20)
]


def invented_pairs(count: int) -> list[PairedReading]:
    """Return pairs of the first reeds, some of them paired twice."""
    random = np.random.default_rng(3)
    places = [*REEDS[:count], *REEDS[: count // 3]]
    return [
        PairedReading(place, float(3.0 * random.standard_normal()), float(random.uniform(0.1, 0.5)))
        for place in places
    ]


def features(places: list[PlacedReed]) -> NDArray[np.float64]:
    """Return octaves, direction and number of each reed."""
    numbers = {place.reed: number for number, place in enumerate(REEDS)}
    return np.array(
        [
            [
                np.log2(place.frequency_hz),
                float(place.reed.direction is Direction.PRESS),
                numbers[place.reed],
            ]
            for place in places
        ]
    )


def regressor(pairs: list[PairedReading]) -> GaussianProcessRegressor:
    """Return scikit-learn's process, fitted to the pairs with the sizes held."""
    kernel = (
        ConstantKernel(RULES.level_cents**2)
        + ConstantKernel(RULES.curve_cents**2) * RBF([RULES.curve_octaves, WIDE, WIDE])
        + ConstantKernel(RULES.direction_cents**2) * RBF([RULES.curve_octaves, NARROW, WIDE])
        + ConstantKernel(RULES.own_cents**2) * RBF([WIDE, WIDE, NARROW])
    )
    noise = np.array([pair.doubt_cents**2 + RULES.seating_cents**2 for pair in pairs])
    process = GaussianProcessRegressor(kernel, alpha=noise, optimizer=None)
    return process.fit(
        features([pair.place for pair in pairs]), [pair.offset_cents for pair in pairs]
    )


@pytest.mark.parametrize("count", [1, 4, 12, 20])
def test_offsets_and_doubts_agree(count: int) -> None:
    """Means agree to a thousandth of a cent, and doubts once the seating is added to theirs."""
    pairs = invented_pairs(count)
    process = regressor(pairs)
    mean, spread = process.predict(features(REEDS), return_std=True)
    ours = learn_offsets(pairs, REEDS, rules=RULES)
    np.testing.assert_allclose([offset.offset_cents for offset in ours], mean, atol=1e-3)
    np.testing.assert_allclose(
        [offset.doubt_cents for offset in ours],
        np.hypot(spread, RULES.seating_cents),
        atol=1e-3,
    )


def test_the_evidence_agrees() -> None:
    """The log likelihood of twenty pairs agrees to a thousandth."""
    pairs = invented_pairs(20)
    theirs = regressor(pairs).log_marginal_likelihood_value_
    assert log_evidence(pairs, rules=RULES) == pytest.approx(theirs, abs=1e-3)
