"""Warnings come when their number is broken, say it, and do not come otherwise."""

from dataclasses import replace

import pytest
from tests.bellows.wanted import wanted

from reedwright.bellows import design_bellows
from reedwright.bellows.cautions import cautions_of
from reedwright.bellows.model import BellowsDesign, Slack

GOOD = design_bellows(wanted())


def names(design: BellowsDesign) -> set[str]:
    """Return which warnings a design carries."""
    return {caution.caution for caution in cautions_of(design)}


@pytest.mark.parametrize("sides", range(4, 13))
@pytest.mark.parametrize("opening_deg", [20.0, 35.0, 45.0, 60.0])
def test_the_defaults_warn_of_nothing(sides: int, opening_deg: float) -> None:
    """Of any number of sides, opening as far as they were made for."""
    assert design_bellows(wanted(sides=sides, opening_deg=opening_deg)).cautions == ()


def test_opening_beyond_the_limit() -> None:
    """Five degrees more than the corners were made for: both numbers are told."""
    beyond = replace(GOOD, wanted=replace(GOOD.wanted, opening_deg=40.0))
    (caution,) = (c for c in cautions_of(beyond) if c.caution == "opening-limit")
    assert "enough for 35.0 degrees and 40.0 are asked for" in caution.sentence
    at_limit = replace(GOOD, wanted=replace(GOOD.wanted, opening_deg=35.0))
    assert "opening-limit" not in names(at_limit)


def test_thick_cards_that_meet_at_the_valley() -> None:
    """A gap below the clearance is told with how much shorter the edge must be."""
    tight = replace(GOOD, valley_gap_closed_mm=GOOD.valley_clearance_mm - 0.25)
    (caution,) = cautions_of(tight)
    assert caution.caution == "valley-clearance"
    assert "need 0.51 mm between them at the valley, there are 0.26" in caution.sentence
    assert "0.25 mm shorter" in caution.sentence


def test_card_ends_out_of_true() -> None:
    """A peak gap of 6 mm left open turns the ends by more than 2 degrees out of range."""
    design = design_bellows(wanted(peak_gap_mm=6.0))
    (caution,) = design.cautions
    assert caution.caution == "end-taper"
    assert f"taper by {design.card_end_taper_deg:.1f} degrees" in caution.sentence
    assert "25.3 to 30.0 suit" in caution.sentence
    assert names(design_bellows(wanted(peak_gap_mm=2.0))) == set()
    wide = replace(GOOD, card_end_taper_deg=32.1)
    assert names(wide) == {"end-taper"}
    assert names(replace(GOOD, card_end_taper_deg=31.9)) == set()


def test_a_ring_that_floats() -> None:
    """More than half a millimetre to and fro is told."""
    assert names(replace(GOOD, ring_float_mm=0.5)) == set()
    (caution,) = cautions_of(replace(GOOD, ring_float_mm=0.51))
    assert caution.caution == "ring-float"
    assert "by 0.51 mm at full opening" in caution.sentence


@pytest.mark.parametrize(("slack", "told"), [(Slack.SHARED, "2.23"), (Slack.VALLEY, "4.46")])
def test_valleys_that_move_pull_at_the_frame(slack: Slack, told: str) -> None:
    """Told with how much; not where the slack is at the peak."""
    (caution,) = design_bellows(wanted(slack=slack)).cautions
    assert caution.caution == "end-run"
    assert f"move outwards by {told} mm" in caution.sentence


def test_leather_that_covers_leather() -> None:
    """Strips wider than half a card, gussets that meet on the short edge; the remedies work."""
    design = design_bellows(wanted(strip_margin_mm=14.0))
    (caution,) = design.cautions
    assert caution.caution == "strip-margin"
    assert "take 12.5 mm or less" in caution.sentence
    assert not [part for part in design.parts if part.part == "paper"]
    assert design.counts.papers == 0
    assert names(design_bellows(wanted(strip_margin_mm=12.5))) == set()
    narrow = {"sides": 12, "across_flats_mm": 100.0}
    (caution,) = design_bellows(wanted(**narrow, gusset_margin_mm=8.0)).cautions
    assert caution.caution == "gusset-margin"
    assert "take 6.2 mm or less" in caution.sentence
    assert names(design_bellows(wanted(**narrow, gusset_margin_mm=6.2))) == set()
    assert names(design_bellows(wanted(**narrow, gusset_margin_mm=6.3))) == {"gusset-margin"}


def test_layers_thinner_than_their_sum() -> None:
    """A negative packing is told."""
    (caution,) = design_bellows(wanted(packing_mm=-0.3)).cautions
    assert caution.caution == "packing"
    assert "0.30 mm thinner than its layers" in caution.sentence


def test_what_breaks_in_space_comes_first() -> None:
    """The reasons of the fold check are warnings too."""
    broken = replace(GOOD, folding=replace(GOOD.folding, reasons=("a", "b")))
    assert [c.sentence for c in cautions_of(broken)] == ["a", "b"]
