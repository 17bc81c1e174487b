"""The reed pans as maps."""

import math
from dataclasses import replace

import pytest

from reedwright.catalogue import layout_names, load_layout
from reedwright.errors import InputError, LayoutError
from reedwright.instrument.layout import Direction, Reed, Side
from reedwright.instrument.pan import ChamberPlace, PanFace, chamber_order, pan_view
from reedwright.instrument.rows import reorder_rows
from reedwright.instrument.views import end_view

TREBLE = load_layout("english-treble-48")
CHAMBER, BELLOWS = PanFace.CHAMBER_SIDE, PanFace.BELLOWS_SIDE


def _area(chamber: ChamberPlace) -> float:
    """Signed area, positive clockwise as seen (y runs down)."""
    corners = chamber.polygon
    return 0.5 * sum(
        a[0] * b[1] - b[0] * a[1] for a, b in zip(corners, (*corners[1:], corners[0]), strict=True)
    )


def test_draw_reeds_lie_on_the_chamber_side_and_press_reeds_on_the_bellows_side() -> None:
    """Each valve lies over the other face of its own slot (docs/sources.md, air path)."""
    for face, reeds, valves in (
        (CHAMBER, Direction.DRAW, Direction.PRESS),
        (BELLOWS, Direction.PRESS, Direction.DRAW),
    ):
        view = pan_view(TREBLE, Side.LEFT, face)
        assert view.view_name == f"Left reed pan, {face}, player's side down"
        for chamber in view.chambers:
            assert chamber.reed == Reed(chamber.key, reeds)
            assert chamber.valve_of == Reed(chamber.key, valves)


def test_a_single_action_pan_has_press_reeds_and_no_valves() -> None:
    """Its chamber side carries nothing."""
    bass = load_layout("english-bass")
    chamber_side = pan_view(bass, Side.RIGHT, CHAMBER).chambers
    bellows_side = pan_view(bass, Side.RIGHT, BELLOWS).chambers
    assert {c.reed for c in chamber_side} == {None}
    assert {c.valve_of for c in (*chamber_side, *bellows_side)} == {None}
    assert {c.reed for c in bellows_side} == {
        Reed(key.key, Direction.PRESS) for key in bass.side_keys(Side.RIGHT)
    }


@pytest.mark.parametrize("name", layout_names())
@pytest.mark.parametrize("side", Side)
def test_the_bellows_side_is_the_mirror_of_the_chamber_side(name: str, side: Side) -> None:
    """X changes its sign; a bearing b becomes 180 - b."""
    layout = load_layout(name)
    outside, inside = pan_view(layout, side, CHAMBER), pan_view(layout, side, BELLOWS)
    for a, b in zip(outside.chambers, inside.chambers, strict=True):
        assert a.key == b.key
        assert [(-x, y) for x, y in a.polygon] == list(b.polygon)
        assert (180.0 - a.bearing_deg) % 360.0 == pytest.approx(b.bearing_deg)
        assert math.degrees(math.atan2(b.middle[1], b.middle[0])) % 360.0 == pytest.approx(
            b.bearing_deg
        )


@pytest.mark.parametrize("name", layout_names())
@pytest.mark.parametrize("side", Side)
def test_every_key_has_one_chamber_and_none_overlaps(name: str, side: Side) -> None:
    """Going round the pan, each chamber ends before the next begins, with a wall between."""
    layout = load_layout(name)
    view = pan_view(layout, side, CHAMBER)
    assert sorted(c.key for c in view.chambers) == sorted(k.key for k in layout.side_keys(side))
    spans = []
    for chamber in view.chambers:
        away = [
            (math.degrees(math.atan2(y, x)) - chamber.bearing_deg + 180.0) % 360.0 - 180.0
            for x, y in chamber.polygon
        ]
        spans.append((chamber.bearing_deg, min(away), max(away)))
        assert _area(chamber) > 50.0
        assert all(math.hypot(x, y) >= 12.0 - 1e-9 for x, y in chamber.polygon)
    for (here, _, end), (there, start, _) in zip(spans, (*spans[1:], spans[0]), strict=True):
        assert ((there + start) - (here + end)) % 360.0 < 180.0
    assert sum(end - start for _, start, end in spans) < 360.0


def test_low_chambers_are_larger() -> None:
    """Sized by pitch: the lowest note of the right end against its highest."""
    chambers = {c.key: c for c in pan_view(TREBLE, Side.RIGHT, CHAMBER).chambers}
    assert _area(chambers["R2.1"]) > 1.5 * _area(chambers["R2.7"])


@pytest.mark.parametrize("side", Side)
def test_an_assumed_chamber_lies_towards_its_button(side: Side) -> None:
    """On the whole: within 45 degrees for nine in ten of the buttons away from the middle."""
    view = pan_view(TREBLE, side, CHAMBER)
    assert view.is_assumed
    places = {p.key: (p.x_mm, p.y_mm) for p in end_view(TREBLE, side).places}
    off = []
    for chamber in view.chambers:
        x, y = places[chamber.key]
        turned = math.degrees(math.atan2(y, x)) - chamber.bearing_deg
        off.append(abs((turned + 180.0) % 360.0 - 180.0))
    assert sum(angle < 45.0 for angle in off) >= 0.9 * len(off)


def test_an_order_found_on_the_bench_is_kept() -> None:
    """The first chamber at the player's side, then clockwise on the chamber side."""
    keys = tuple(key.key for key in TREBLE.side_keys(Side.LEFT))
    layout = replace(TREBLE, left_chambers=keys)
    assert chamber_order(layout, Side.LEFT) == keys
    view = pan_view(layout, Side.LEFT, CHAMBER)
    assert not view.is_assumed
    assert tuple(c.key for c in view.chambers) == keys
    assert view.chambers[0].bearing_deg == pytest.approx(90.0)
    assert 90.0 < view.chambers[1].bearing_deg < 120.0
    assert pan_view(layout, Side.RIGHT, CHAMBER).is_assumed


def test_an_order_follows_its_keys_when_the_rows_are_reordered() -> None:
    """The reed stays in its chamber whatever its button is called."""
    keys = tuple(key.key for key in TREBLE.side_keys(Side.LEFT))
    layout = replace(TREBLE, left_chambers=keys)
    turned = reorder_rows(layout, (4, 3, 2, 1))
    assert [str(turned.key(k).press) for k in turned.left_chambers] == [
        str(layout.key(k).press) for k in keys
    ]


@pytest.mark.parametrize(
    "wrong", [("L1.1",), (*("L1.1",) * 24,), (*(f"R1.{n}" for n in range(1, 25)),)]
)
def test_a_list_that_is_not_the_keys_of_the_end_is_refused(wrong: tuple[str, ...]) -> None:
    """Missing, repeated or foreign keys."""
    with pytest.raises(LayoutError, match="names each key of its end once"):
        replace(TREBLE, left_chambers=wrong)


def test_a_pan_too_narrow_to_draw_is_refused() -> None:
    """The least width is said."""
    with pytest.raises(InputError, match="60 mm across flats or more, got 40 mm"):
        pan_view(TREBLE, Side.LEFT, CHAMBER, across_flats_mm=40.0)
