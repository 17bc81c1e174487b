"""The fold check finds what breaks, and where, and nothing in a sound bellows."""

import math
from dataclasses import replace

import numpy as np
import pytest
from tests.bellows.wanted import wanted

from reedwright.bellows import check_folding, design_bellows, ring_of
from reedwright.bellows.model import FoldCheck, Slack
from reedwright.bellows.surface import card_bodies
from reedwright.science.fold import FoldedRing, fold_state

RING = ring_of(wanted())
OPEN = math.radians(35.0)


def check(
    ring: FoldedRing = RING,
    opening: float = OPEN,
    *,
    card_mm: float = 1.0,
    peak_leather_mm: float = 1e3 * RING.peak_gap,
    valley_leather_mm: float = 1e3 * RING.valley_gap,
    least_peak_gap_mm: float = 1.0,
) -> FoldCheck:
    """Return the check of the reference ring with changes."""
    return check_folding(
        ring,
        opening,
        card_mm=card_mm,
        peak_leather_mm=peak_leather_mm,
        valley_leather_mm=valley_leather_mm,
        least_peak_gap_mm=least_peak_gap_mm,
    )


@pytest.mark.parametrize("slack", Slack)
@pytest.mark.parametrize("sides", [4, 5, 6, 8, 12])
def test_a_bellows_made_for_its_opening_folds(sides: int, slack: Slack) -> None:
    """Cards rigid, 0.4 mm apart or more at the corners, leather just enough."""
    folding = design_bellows(wanted(sides=sides, slack=slack, opening_deg=45.0)).folding
    assert folding.is_folding
    assert folding.worst_card_error_mm < 1e-11
    assert folding.least_corner_clearance_mm > 0.4 - 1e-9
    assert folding.least_peak_gap_mm > 1.0 - 1e-9
    assert folding.peak_leather_used < 1.0 + 1e-9
    assert folding.valley_leather_used < 1.0 + 1e-9


def test_least_clearances_of_the_reference() -> None:
    """0.40 mm at full opening with slack at the peak, 0.908 mm shut otherwise."""
    assert check().least_corner_clearance_mm == pytest.approx(0.400, abs=5e-4)
    assert check().least_corner_clearance_at_deg == pytest.approx(35.0)
    for slack in (Slack.SHARED, Slack.VALLEY):
        folding = design_bellows(wanted(slack=slack)).folding
        assert folding.least_corner_clearance_mm == pytest.approx(0.908, abs=5e-4)


def test_clearance_is_that_between_two_neighbouring_bodies() -> None:
    """Neighbours are mirror images: twice the distance to the mirror is that of their corners."""
    bodies = card_bodies(RING, OPEN, card_mm=1.0)
    # The inner valley corner: right of side 0, left of side 1, and mirrored in the plane between.
    right, left = bodies[0, 0, 5], bodies[0, 1, 4]
    assert np.linalg.norm(right - left) == pytest.approx(check().least_corner_clearance_mm)


def test_opened_too_far_the_peak_gap_closes() -> None:
    """Five degrees beyond: the gap is less than nothing, -0.33 mm, and it says so."""
    folding = check(opening=math.radians(40.0))
    assert not folding.is_folding
    assert folding.least_peak_gap_mm == pytest.approx(-0.33, abs=5e-3)
    assert any("the peak gap closes to -0.33 mm" in reason for reason in folding.reasons)
    # The bodies lie outside their hinges: the cards themselves still pass each other.
    assert len(folding.reasons) == 1


def test_cards_too_thick_for_their_gap_cut_into_each_other() -> None:
    """Three times the thickness that the valley gap was made for."""
    folding = check(card_mm=3.0)
    assert any("neighbouring cards cut" in reason for reason in folding.reasons)
    assert any("cards lying on each other cut" in reason for reason in folding.reasons)
    expected = 0.908139 - 3 * 0.508139
    assert folding.least_corner_clearance_mm == pytest.approx(expected, abs=1e-5)


def test_leather_too_narrow_is_told_by_how_much() -> None:
    """At the peak when shut; at the valley when open, if the slack is there."""
    folding = check(peak_leather_mm=4.0)
    assert folding.peak_leather_used == pytest.approx(1e3 * RING.peak_gap / 4.0)
    assert any("times its leather of 4.00 mm; cut the gusset wider at the peak" in r
               for r in folding.reasons)  # fmt: skip
    ring = ring_of(wanted(slack=Slack.VALLEY))
    open_mm = 1e3 * fold_state(ring, math.radians(40.0)).valley_gap
    folding = check(ring, math.radians(40.0), valley_leather_mm=5.367, least_peak_gap_mm=0.0)
    assert folding.valley_leather_used == pytest.approx(open_mm / 5.367)
    # A quarter of stretch in the leather, five degrees beyond.
    assert folding.valley_leather_used == pytest.approx(1.25, abs=0.005)
    assert len(folding.reasons) == 1


def test_no_leather_at_all_tears_at_once() -> None:
    """A gap without leather is used beyond any measure."""
    assert check(valley_leather_mm=0.0).valley_leather_used == math.inf
    shut = replace(RING, valley_gap=0.0)
    assert check(shut, valley_leather_mm=0.0).valley_leather_used == 0.0


def test_a_card_that_changes_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    """Bodies a little off their hinge are reported as a mistake of the program."""
    monkeypatch.setattr(
        "reedwright.bellows.folding.card_bodies",
        lambda *args, **kwargs: card_bodies(*args, **kwargs) * 1.0001,
    )
    assert any("a card must keep its shape" in reason for reason in check().reasons)
