"""The fold: closed forms, scaling, derivatives, refusals (meshes: tests/validation)."""

import math
from dataclasses import replace

import pytest
from scipy.integrate import quad

from reedwright.errors import ModelError
from reedwright.science.fold import (
    FoldedRing,
    corner_demand,
    float_range,
    fold_state,
    opening_limit,
    valley_clearance,
)

RING = FoldedRing(
    sides=6,
    folds=6,
    peak_apothem=0.079,
    card_depth=0.025,
    half_pitch=0.00195,
    peak_share=1.0,
    peak_gap=0.0055,
    valley_gap=0.0009,
)
SHARED = replace(RING, peak_share=0.5, peak_gap=0.0032)
OPEN = math.radians(35.0)


def test_closed_length_is_the_sum_of_the_pitches() -> None:
    """Shut, every fold is as thick as its layers, and the ring stands where it was built."""
    closed = fold_state(RING, RING.closed_angle)
    assert closed.length == pytest.approx(2 * 6 * 0.00195, rel=1e-14)
    assert closed.peak_apothem == pytest.approx(0.079, rel=1e-14)
    assert closed.valley_apothem == pytest.approx(0.054, rel=1e-14)


def test_a_ring_of_no_fold_depth_is_a_prism() -> None:
    """With peaks and valleys almost on one line the volume is area times length."""
    ring = replace(RING, card_depth=1e-9, half_pitch=1e-9, peak_gap=0.0, valley_gap=0.0)
    state = fold_state(ring, math.radians(60.0))
    area = 6 * math.tan(math.pi / 6) * 0.079**2
    assert state.volume / state.length == pytest.approx(area, rel=1e-6)
    assert state.effective_area == pytest.approx(area, rel=1e-6)


@pytest.mark.parametrize("ring", [RING, SHARED, replace(RING, peak_share=0.0)])
def test_effective_area_is_the_derivative_of_volume_by_length(ring: FoldedRing) -> None:
    """By central differences over angles, to 1e-8: their own error."""
    for angle in (0.1, 0.3, 0.6, 0.9):
        more, less = fold_state(ring, angle + 1e-5), fold_state(ring, angle - 1e-5)
        slope = (more.volume - less.volume) / (more.length - less.length)
        assert fold_state(ring, angle).effective_area == pytest.approx(slope, rel=1e-8)


def test_work_of_the_force_over_the_stroke_is_pressure_times_air() -> None:
    """The integral of effective area over length is the difference of volumes."""

    def area_by_angle(angle: float) -> float:
        length_change = 2 * RING.folds * RING.hinge_width * math.cos(angle)
        return fold_state(RING, angle).effective_area * length_change

    work, _ = quad(area_by_angle, RING.closed_angle, OPEN, epsabs=1e-14)
    air = fold_state(RING, OPEN).volume - fold_state(RING, RING.closed_angle).volume
    assert work == pytest.approx(air, rel=1e-12)


def test_volume_scales_with_the_cube_of_size() -> None:
    """Everything twice as large holds eight times as much."""
    lengths = ("peak_apothem", "card_depth", "half_pitch", "peak_gap", "valley_gap")
    twice = replace(RING, **{name: 2.0 * getattr(RING, name) for name in lengths})
    small, large = fold_state(RING, OPEN), fold_state(twice, OPEN)
    assert large.volume == pytest.approx(8.0 * small.volume, rel=1e-13)
    assert large.effective_area == pytest.approx(4.0 * small.effective_area, rel=1e-13)
    assert large.gap_angle == pytest.approx(small.gap_angle, rel=1e-12)


def test_corner_demand_is_nothing_when_shut_and_known_for_thin_cards() -> None:
    """2 sin(pi / n) h (1 - cos) for panels without thickness."""
    shut = corner_demand(
        sides=8, card_depth=0.025, half_pitch=0.002, angle=math.atan(0.002 / 0.025)
    )
    assert shut == pytest.approx(0.0, abs=1e-15)
    thin = corner_demand(sides=8, card_depth=0.025, half_pitch=0.0, angle=OPEN)
    known = 2.0 * math.sin(math.pi / 8) * 0.025 * (1.0 - math.cos(OPEN))
    assert thin == pytest.approx(known, rel=1e-14)


def test_gaps_change_by_the_demand_in_all() -> None:
    """What the peak gap loses and the valley gap gains adds up to it, however it is shared."""
    for share in (0.0, 0.3, 1.0):
        ring = replace(RING, peak_share=share)
        state = fold_state(ring, OPEN)
        demand = corner_demand(sides=6, card_depth=0.025, half_pitch=0.00195, angle=OPEN)
        lost, gained = ring.peak_gap - state.peak_gap, state.valley_gap - ring.valley_gap
        assert lost == pytest.approx(share * demand, abs=1e-15)
        assert gained == pytest.approx((1.0 - share) * demand, abs=1e-15)


def test_card_ends_are_parallel_where_theory_says() -> None:
    """Where tan(taper) = tan(pi / n) cos(angle), taper taken from hinge to hinge."""
    taper = math.atan((RING.long_edge - RING.short_edge) / (2.0 * RING.hinge_width))
    angle = math.acos(math.tan(taper) / math.tan(math.pi / 6))
    assert fold_state(RING, angle).gap_angle == pytest.approx(0.0, abs=1e-12)
    assert fold_state(RING, angle - 0.1).gap_angle < 0.0 < fold_state(RING, angle + 0.1).gap_angle


def test_the_limit_is_where_the_peak_gap_has_closed() -> None:
    """At the limit the peak gap is what it is to keep; leather that stretches moves it out."""
    limit = opening_limit(RING, valley_width=RING.valley_gap, least_peak_gap=0.001)
    assert fold_state(RING, limit).peak_gap == pytest.approx(0.001, abs=1e-15)
    stretched = opening_limit(
        RING, valley_width=RING.valley_gap, least_peak_gap=0.001, stretch=0.25
    )
    assert stretched > limit


def test_corners_with_nothing_to_give_do_not_open_and_generous_ones_open_flat() -> None:
    """The limit stays between shut and a right angle."""
    none = opening_limit(RING, valley_width=RING.valley_gap, least_peak_gap=0.01)
    assert none == RING.closed_angle
    much = opening_limit(RING, valley_width=0.2, least_peak_gap=0.001)
    assert much == pytest.approx(math.pi / 2.0)


def test_slack_at_both_ends_leaves_the_ring_afloat() -> None:
    """Given in full at peak and valley it floats by the whole shrink: 4.46 mm here."""
    demand = corner_demand(sides=6, card_depth=0.025, half_pitch=0.00195, angle=OPEN)
    ring = replace(RING, peak_gap=0.001 + demand)
    both = float_range(
        ring,
        OPEN,
        peak_width=ring.peak_gap,
        valley_width=ring.valley_gap + demand,
        least_peak_gap=0.001,
        least_valley_gap=0.0005,
    )
    assert both == pytest.approx((-0.0044589968, 0.0), abs=1e-10)
    peak_only = float_range(
        ring,
        OPEN,
        peak_width=ring.peak_gap,
        valley_width=ring.valley_gap,
        least_peak_gap=0.001,
        least_valley_gap=0.0005,
    )
    assert peak_only[0] == pytest.approx(peak_only[1], abs=1e-15)


def test_thickness_takes_up_gap_only_when_cards_tilt() -> None:
    """Nothing when shut; 2 t sin(tilt) sin(pi / n) after."""
    assert valley_clearance(sides=6, card_thickness=0.001, tilt=0.0) == 0.0
    taken = valley_clearance(sides=6, card_thickness=0.001, tilt=math.radians(30.0))
    assert taken == pytest.approx(0.0005, rel=1e-12)


@pytest.mark.parametrize("degrees", [2.0, 90.0, 120.0, math.nan])
def test_an_opening_that_cannot_be_is_refused(degrees: float) -> None:
    """Less than shut, flat, beyond, or no number: with both limits named."""
    with pytest.raises(ModelError, match=r"from 4\.46 degrees, shut, to less than 90"):
        fold_state(RING, math.radians(degrees))
