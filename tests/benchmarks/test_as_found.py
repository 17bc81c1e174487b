"""The benchmark of the tuning as found draws what it says and judges fairly."""

import math

import numpy as np
import pytest
from benchmarks.as_found import Judged, Setting, instruments, judge, summary_of

from reedwright.tuning import Family


def test_instruments_are_as_the_setting_has_them() -> None:
    """A third of each family, a tenth of the reeds 30 to 60 cents out, scatter of 8 cents."""
    made = instruments(Setting(), count=60, seed=1)
    assert [each.family for each in made[:3]] == [
        Family.EQUAL, Family.REGULAR, Family.CIRCULATING,
    ]  # fmt: skip
    assert np.mean(np.concatenate([each.is_astray for each in made])) == pytest.approx(
        0.1, abs=0.02
    )
    equal = [each for each in made if each.family is Family.EQUAL]
    off = np.concatenate([each.offsets_cents - each.a4_cents for each in equal])
    astray = np.concatenate([each.is_astray for each in equal])
    assert np.all((np.abs(off[astray]) >= 30.0) & (np.abs(off[astray]) <= 60.0))
    assert off[~astray].std() == pytest.approx(8.0, rel=0.06)
    counts = [len(each.notes) for each in made]
    assert min(counts) < 85
    assert max(counts) > 90


def test_the_oracle_is_not_beaten_by_much_nor_beats_by_much() -> None:
    """On nine instruments with little scatter both name the family right each time."""
    setting = Setting(scatter_cents=1.0)
    judged = [judge(i, scatter_cents=1.0) for i in instruments(setting, count=9, seed=5)]
    right = [j.named is j.truth and j.oracle_named is j.truth for j in judged]
    assert sum(right) >= 8
    assert all(abs(j.a4_error_cents) < 1.0 for j in judged)


def judged_with(error_cents: float, *, is_covered: bool, named: Family) -> Judged:
    """Return a judgement of an instrument in equal temperament."""
    return Judged(
        truth=Family.EQUAL, named=named, probability=0.8, likeliest=Family.EQUAL,
        oracle_named=Family.EQUAL, oracle_likeliest=Family.EQUAL,
        a4_error_cents=error_cents, is_a4_covered=is_covered,
        a4_limit_cents=1.0, fifth_error_cents=0.1 * error_cents,
        is_fifth_covered=is_covered, fifth_limit_cents=0.1,
    )  # fmt: skip


def test_a_summary_counts_right_wrong_and_unclear() -> None:
    """Two right, one unclear, one wrong; root mean squares and coverage by hand."""
    summary = summary_of(
        "by hand",
        [
            judged_with(1.0, is_covered=True, named=Family.EQUAL),
            judged_with(-1.0, is_covered=True, named=Family.EQUAL),
            judged_with(2.0, is_covered=True, named=Family.UNCLEAR),
            judged_with(3.0, is_covered=False, named=Family.REGULAR),
        ],
    )
    assert (summary.named_right, summary.unclear, summary.named_wrong) == (0.5, 0.25, 0.25)
    assert summary.a4_ratio_to_limit == pytest.approx(math.sqrt(15.0 / 4.0))
    assert summary.a4_coverage == 0.75
    assert summary.fifth_coverage == 0.75
    assert summary.calibration[0] == pytest.approx((0.8, 1.0, 4))
