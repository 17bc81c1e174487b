"""What scrapes teach: the reed most, its tool much, others a little, and never too much."""

import math

import numpy as np
import pytest

from reedwright.errors import InputError
from reedwright.instrument.layout import Direction, Reed
from reedwright.reedwork.learning import (
    Factors,
    Heard,
    hear_scrape,
    no_scrapes_yet,
    of_tools,
    stroke_rate,
)
from reedwright.reedwork.model import Zone
from reedwright.reedwork.scrapes import BenchReed, FilingTool, LearningRules, ZoneResponse

RULES = LearningRules()
FINE = FilingTool("fine-file", "fine file", 0.1, (("brass", 2.0),), 2.0, "invented")
COARSE = FilingTool("coarse-file", "coarse file", 0.5, (), 2.0, "invented")


def reed(key: str, frequency_hz: float = 440.0, metal: str = "steel") -> BenchReed:
    """Return a reed whose tip moves 2 cents, its root 5 cents a micrometre."""
    return BenchReed(
        reed=Reed(key, Direction.PRESS),
        frequency_hz=frequency_hz,
        metal=metal,
        tolerance_cents=1.0,
        tip=ZoneResponse(Zone.TIP, 2.0, 50.0),
        root=ZoneResponse(Zone.ROOT, 5.0, 30.0),
    )


def heard(
    factors: Factors, which: BenchReed, *, tool: FilingTool, strokes: int, shift: float
) -> Heard:
    """Return what a scrape at the tip taught that moved the reed so far, read to 0.1 cent."""
    return hear_scrape(
        factors,
        which,
        Zone.TIP,
        tool,
        strokes=strokes,
        before_cents=-20.0,
        before_doubt_cents=0.1,
        after_cents=-20.0 + shift,
        after_doubt_cents=0.1,
        rules=RULES,
    )


def test_before_anything_was_learned_the_model_speaks() -> None:
    """A stroke gives depth times response, twice as much in a metal that files twice as fast."""
    steel = stroke_rate(no_scrapes_yet(), reed("L1.1"), Zone.ROOT, FINE, RULES)
    brass = stroke_rate(no_scrapes_yet(), reed("L1.1", metal="brass"), Zone.ROOT, FINE, RULES)
    assert steel.cents_per_stroke == pytest.approx(0.1 * 5.0)
    assert brass.cents_per_stroke == pytest.approx(0.1 * 2.0 * 5.0)
    spread = math.sqrt(0.25**2 + 0.14**2 + 0.08**2 + 0.15**2 + 0.20**2 + 0.15**2)
    assert steel.doubt_fraction == pytest.approx(spread)


def test_the_parts_make_up_what_is_said_of_tools_and_reeds() -> None:
    """Thirty per cent for a tool and twenty-five for a reed, as the parts add in squares."""
    assert math.hypot(RULES.tool, RULES.tool_in_metal, RULES.tool_in_octave) == pytest.approx(
        0.30, abs=0.003
    )
    assert math.hypot(RULES.reed, RULES.reed_at_zone) == pytest.approx(0.25)


def test_a_scrape_teaches_its_own_kind_most() -> None:
    """Found twice as fast: same reed nearly all, same tool much, other tool and metal less."""
    taught = heard(no_scrapes_yet(), reed("L1.1"), tool=FINE, strokes=40, shift=16.0).factors

    def learned(which: BenchReed, tool: FilingTool, zone: Zone = Zone.TIP) -> float:
        before = stroke_rate(no_scrapes_yet(), which, zone, tool, RULES)
        after = stroke_rate(taught, which, zone, tool, RULES)
        return math.log(after.cents_per_stroke / before.cents_per_stroke) / math.log(2.0)

    same = learned(reed("L1.1"), FINE)
    other_end = learned(reed("L1.1"), FINE, Zone.ROOT)
    other_reed = learned(reed("L1.2"), FINE)
    other_octave = learned(reed("L1.2", 1760.0), FINE)
    other_metal = learned(reed("L1.2", metal="brass"), FINE)
    other_tool = learned(reed("L1.2"), COARSE)
    assert 0.9 < same < 1.0
    assert same > other_end > other_reed - 0.15
    assert same > other_reed > other_octave > other_metal > other_tool > 0.0


def test_learning_narrows_the_doubt() -> None:
    """After a scrape every stroke is known better, the scraped reed's best of all."""
    taught = heard(no_scrapes_yet(), reed("L1.1"), tool=FINE, strokes=40, shift=8.0).factors
    before = stroke_rate(no_scrapes_yet(), reed("L1.2"), Zone.TIP, FINE, RULES).doubt_fraction
    other = stroke_rate(taught, reed("L1.2"), Zone.TIP, FINE, RULES).doubt_fraction
    same = stroke_rate(taught, reed("L1.1"), Zone.TIP, FINE, RULES).doubt_fraction
    assert same < 0.08 < other < before


def test_a_reading_lost_in_its_doubt_teaches_nothing() -> None:
    """Half a cent read to fifty: the stroke stays what it was thought to be."""
    taught = hear_scrape(
        no_scrapes_yet(),
        reed("L1.1"),
        Zone.TIP,
        FINE,
        strokes=3,
        before_cents=-5.0,
        before_doubt_cents=50.0,
        after_cents=-4.5,
        after_doubt_cents=50.0,
        rules=RULES,
    ).factors
    before = stroke_rate(no_scrapes_yet(), reed("L1.1"), Zone.TIP, FINE, RULES)
    after = stroke_rate(taught, reed("L1.1"), Zone.TIP, FINE, RULES)
    assert after.cents_per_stroke == pytest.approx(before.cents_per_stroke, rel=1e-3)
    assert after.doubt_fraction == pytest.approx(before.doubt_fraction, rel=1e-3)


def test_where_the_reed_stands_weighs_prediction_and_reading() -> None:
    """A poor reading is drawn to what the strokes should have done, a good one stands."""
    poor, good = (
        hear_scrape(
            heard(no_scrapes_yet(), reed("L1.1"), tool=FINE, strokes=40, shift=8.0).factors,
            reed("L1.1"),
            Zone.TIP,
            FINE,
            strokes=10,
            before_cents=-4.0,
            before_doubt_cents=0.05,
            after_cents=-3.0,
            after_doubt_cents=doubt,
            rules=RULES,
        )
        for doubt in (2.0, 0.01)
    )
    assert poor.offset_cents == pytest.approx(-2.0, abs=0.1)
    assert poor.doubt_cents < 0.4
    assert good.offset_cents == pytest.approx(-3.0, abs=0.01)
    assert good.doubt_cents == pytest.approx(0.01, rel=0.05)


def test_other_instruments_inherit_the_tools_alone() -> None:
    """Taken to the next instrument, the tool stays learned and its reeds are new again."""
    taught = heard(no_scrapes_yet(), reed("L1.1"), tool=FINE, strokes=40, shift=16.0).factors
    kept = of_tools(taught)
    assert kept.names == ("fine-file", "fine-file in steel", "fine-file in steel in octave 4",
                          "at the tip")  # fmt: skip
    assert kept.covariance.shape == (4, 4)
    again = stroke_rate(kept, reed("L1.1"), Zone.TIP, FINE, RULES)
    other = stroke_rate(taught, reed("L1.2"), Zone.TIP, FINE, RULES)
    assert again == other


def test_beliefs_are_not_changed_in_place() -> None:
    """What was believed before a scrape can still be asked for after it."""
    first = heard(no_scrapes_yet(), reed("L1.1"), tool=FINE, strokes=10, shift=3.0).factors
    means, covariance = first.means.copy(), first.covariance.copy()
    heard(first, reed("L1.1"), tool=FINE, strokes=10, shift=1.0)
    np.testing.assert_array_equal(first.means, means)
    np.testing.assert_array_equal(first.covariance, covariance)


@pytest.mark.parametrize(
    ("strokes", "doubt", "match"),
    [(0, 0.1, "at least 1 stroke, got 0"), (3, 0.0, "doubt above 0 cents, got 0")],
)
def test_a_scrape_that_is_none_is_refused(strokes: int, doubt: float, match: str) -> None:
    """No strokes, or a reading without doubt, teach nothing and are sent back."""
    with pytest.raises(InputError, match=match):
        hear_scrape(
            no_scrapes_yet(),
            reed("L1.1"),
            Zone.TIP,
            FINE,
            strokes=strokes,
            before_cents=0.0,
            before_doubt_cents=0.1,
            after_cents=1.0,
            after_doubt_cents=doubt,
            rules=RULES,
        )
