"""Strokes chosen by what their outcomes cost: short of the target first, fine at the end."""

import math

import numpy as np
import pytest

from reedwright.reedwork.model import Zone
from reedwright.reedwork.scrapes import StrokeRate, VisitRules
from reedwright.reedwork.stroke_choice import Strokes, Way, choose_strokes, normal_chance

RULES = VisitRules()


def rate(cents: float, doubt: float = 0.3) -> StrokeRate:
    """Return a tool that moves a reed so far a stroke, known so well."""
    return StrokeRate(f"{cents:g}", Zone.TIP, cents, doubt, 0.3)


def chosen(
    to_go: float, *rates: StrokeRate, most: int = 200, tolerance: float = 1.0, doubt: float = 0.1
) -> Strokes:
    """Return the choice, which there must be."""
    way = Way(to_go, doubt, tolerance)
    choice = choose_strokes(way, [(each, most) for each in rates], RULES)
    assert choice is not None
    return choice


@pytest.mark.parametrize("to_go", [5.0, 20.0, 48.0])
def test_while_little_is_known_it_stops_short(to_go: float) -> None:
    """With 40 % doubt of the file, at most 3 in a hundred scrapes go past the tolerance."""
    choice = chosen(to_go, rate(0.4, 0.4))
    assert choice.chance_past < 0.03
    assert choice.left_cents > 0.25 * to_go


def test_the_more_is_known_the_further_it_goes() -> None:
    """The same way with a file known to 30, 15 and 5 %: more strokes each time."""
    strokes = [chosen(20.0, rate(0.4, doubt)).strokes for doubt in (0.30, 0.15, 0.05)]
    assert strokes == sorted(strokes)
    assert strokes[0] < 0.75 * strokes[2]


def test_near_the_end_it_goes_for_the_middle() -> None:
    """Two cents to go with a known fine file: one visit brings it within, nearly surely."""
    choice = chosen(2.0, rate(0.4, 0.05))
    assert choice.chance_within > 0.95
    assert abs(choice.left_cents) < 0.5


def test_the_finest_file_does_the_last_strokes() -> None:
    """Of three files the finest is taken for two cents, a coarser one for forty-eight."""
    files = (rate(0.4, 0.1), rate(1.5, 0.1), rate(4.0, 0.1))
    assert chosen(2.0, *files).rate.tool == "0.4"
    far = choose_strokes(
        Way(48.0, 0.1, 1.0), [(each, 200) for each in files], VisitRules(stroke_cost=0.05)
    )
    assert far is not None
    assert far.rate.tool == "4"


def test_a_wider_tolerance_is_reached_sooner() -> None:
    """Four cents to go: with 3 either way one visit will do, with 1 it stops on the way."""
    assert chosen(4.0, rate(0.4), tolerance=3.0).chance_within > 0.95
    assert chosen(4.0, rate(0.4)).chance_within < 0.5


def test_no_more_strokes_than_the_thickness_allows() -> None:
    """Three strokes are left of the metal: three it is; none left: no choice."""
    assert chosen(20.0, rate(0.4), most=3).strokes == 3
    assert choose_strokes(Way(20.0, 0.1, 1.0), [(rate(0.4), 0)], RULES) is None


def test_within_a_wide_tolerance_it_still_goes_for_the_middle() -> None:
    """Ten cents either way and a file known to 2 %: not just inside, but near the target."""
    assert abs(chosen(20.0, rate(0.4, 0.02), tolerance=10.0).left_cents) < 2.0


def test_leaving_has_a_price_too() -> None:
    """Five cents short costs a visit and more to leave; in tune it costs next to nothing."""
    short, near = chosen(5.0, rate(0.4, 0.05)), chosen(0.1, rate(0.4, 0.05), doubt=0.05)
    expected = 1.0 + math.log(5.0 / RULES.finish_from) / math.log(RULES.nearer_per_visit)
    assert short.idle_price == pytest.approx(expected, rel=0.02)
    assert short.price < short.idle_price
    assert near.price > near.idle_price < 0.05


@pytest.mark.parametrize("to_go", [1.5, 4.0, 25.0])
def test_the_chances_told_against_drawn_outcomes(to_go: float) -> None:
    """Within and past, mean and spread of what is left: as in a hundred thousand drawn scrapes."""
    choice = chosen(to_go, rate(0.4, 0.2))
    random = np.random.default_rng(7)
    middle, spread = choice.rate.log_shift(choice.strokes)
    ways = to_go + 0.1 * random.standard_normal(200_000)
    left = ways - np.exp(middle + spread * random.standard_normal(200_000))
    assert choice.chance_within == pytest.approx(float(np.mean(np.abs(left) <= 1.0)), abs=0.005)
    assert choice.chance_past == pytest.approx(float(np.mean(left < -1.0)), abs=0.002)
    assert choice.left_cents == pytest.approx(left.mean(), abs=0.02)
    assert choice.left_doubt_cents == pytest.approx(left.std(), rel=0.02)


@pytest.mark.parametrize("to_go", [2.0, 6.0, 30.0])
def test_no_other_number_of_strokes_is_cheaper(to_go: float) -> None:
    """The price by a million drawn outcomes is nowhere much less than at the choice."""
    tool = rate(0.4, 0.15)
    choice = chosen(to_go, tool)

    def price(strokes: int) -> float:
        random = np.random.default_rng(11)
        middle, spread = tool.log_shift(strokes)
        ways = to_go + 0.1 * random.standard_normal(400_000)
        left = ways - np.exp(middle + spread * random.standard_normal(400_000))
        off = np.abs(left)
        visits = 1.0 + np.log(np.maximum(off / RULES.finish_from, 1.0)) / math.log(
            RULES.nearer_per_visit
        )
        cost = np.where(off <= 1.0 + RULES.undecided_cents, RULES.undecided_cost, visits)
        cost = cost + np.where(left < 0.0, RULES.overshoot_cost, 0.0)
        cost = np.where(off <= 1.0, RULES.off_centre_cost * off**2, cost)
        return float(cost.mean()) + RULES.stroke_cost * strokes

    others = {max(1, round(choice.strokes * factor)) for factor in (0.5, 0.7, 0.85, 1.2, 1.5, 2.0)}
    assert len(others - {choice.strokes}) >= 3
    assert min(price(number) for number in others) > 0.97 * price(choice.strokes)


def test_the_normal_chance() -> None:
    """Half below the middle, 97.725 % below two sigmas (tables of the normal distribution)."""
    assert normal_chance(0.0) == 0.5
    assert normal_chance(2.0) == pytest.approx(0.97725, abs=1e-5)
