"""The ends as drawn: which side is where, and that a mirror is a mirror."""

import math
from dataclasses import replace

import pytest

from reedwright.catalogue import layout_names, load_layout
from reedwright.errors import InputError
from reedwright.instrument.layout import Side
from reedwright.instrument.views import EndView, end_outline, end_view

TREBLE = load_layout("english-treble-48")
ANGLO = load_layout("anglo-30-a")
LEFT, RIGHT = Side.LEFT, Side.RIGHT


def _at(view: EndView, key: str) -> tuple[float, float]:
    return next((place.x_mm, place.y_mm) for place in view.places if place.key == key)


def test_the_thumb_rows_of_an_english_face_each_other() -> None:
    """Left end: thumb row on the right; right end: thumb row on the left (issue, section 2)."""
    left, right = end_view(TREBLE, LEFT), end_view(TREBLE, RIGHT)
    assert [_at(left, f"L{row}.1")[0] for row in (4, 3, 2, 1)] == pytest.approx(
        [-37.5, -12.5, 12.5, 37.5]
    )
    assert [_at(right, f"R{row}.1")[0] for row in (1, 2, 3, 4)] == pytest.approx(
        [-37.5, -12.5, 12.5, 37.5]
    )


@pytest.mark.parametrize("side", Side)
def test_low_notes_of_an_english_lie_at_the_players_side(side: Side) -> None:
    """Y grows downwards, towards the player; a row climbs away from the player."""
    view = end_view(TREBLE, side)
    for key in TREBLE.side_keys(side):
        if key.position > 1:
            below = _at(view, f"{key.key[0]}{key.row}.{key.position - 1}")
            assert below[1] > _at(view, key.key)[1]


def test_rows_of_an_anglo_run_along_the_rail_at_the_players_side() -> None:
    """Row 1 lowest; low to high from left to right on both ends; index fingers face each other."""
    for side in Side:
        view = end_view(ANGLO, side)
        s = side.value[0].upper()
        heights = [_at(view, f"{s}{row}.1")[1] for row in (1, 2, 3)]
        assert heights == sorted(heights, reverse=True)
        across = [_at(view, f"{s}2.{position}")[0] for position in range(1, 6)]
        assert across == sorted(across)
    right = end_view(ANGLO, RIGHT)
    assert right.air_button is not None
    assert right.air_button[0] < min(place.x_mm for place in right.places)
    assert end_view(ANGLO, LEFT).air_button is None


@pytest.mark.parametrize("name", layout_names())
@pytest.mark.parametrize("side", Side)
def test_from_inside_is_the_mirror_image(name: str, side: Side) -> None:
    """X changes its sign and nothing else does; the view says which it is."""
    layout = load_layout(name)
    outside, inside = end_view(layout, side), end_view(layout, side, is_from_inside=True)
    assert [(p.key, -p.x_mm, p.y_mm) for p in outside.places] == [
        (p.key, p.x_mm, p.y_mm) for p in inside.places
    ]
    assert outside.view_name == f"{side.value.capitalize()} end, fretwork up, player's side down"
    assert inside.view_name == f"{side.value.capitalize()} end, from inside, player's side down"
    if outside.air_button is not None:
        assert inside.air_button == (-outside.air_button[0], outside.air_button[1])


@pytest.mark.parametrize("name", layout_names())
@pytest.mark.parametrize("across_flats_mm", [135.0, 159.0, 230.0])
def test_every_button_lies_inside_the_end_and_clear_of_the_others(
    name: str, across_flats_mm: float
) -> None:
    """Each drawn circle keeps 4 mm from every side and does not touch another."""
    layout = load_layout(name)
    for side in Side:
        view = end_view(layout, side, across_flats_mm=across_flats_mm)
        assert {p.key for p in view.places} == {k.key for k in layout.side_keys(side)}
        for place in view.places:
            for corner, following in zip(
                view.outline, (*view.outline[1:], view.outline[0]), strict=True
            ):
                edge = (following[0] - corner[0], following[1] - corner[1])
                inwards = edge[0] * (place.y_mm - corner[1]) - edge[1] * (place.x_mm - corner[0])
                assert inwards / math.hypot(*edge) >= view.button_radius_mm + 4.0 - 1e-9
            others = [
                math.dist((place.x_mm, place.y_mm), (q.x_mm, q.y_mm))
                for q in view.places
                if q.key != place.key
            ]
            assert min(others) >= view.spacing_mm - 1e-9 > 2.0 * view.button_radius_mm


@pytest.mark.parametrize("sides", [4, 6, 8, 12])
def test_an_end_has_its_number_of_sides_and_its_width(sides: int) -> None:
    """A side lies at the bottom, and across flats is what it says."""
    outline = end_outline(sides=sides, across_flats_mm=159.0)
    assert len(outline) == sides
    lowest = sorted(outline, key=lambda corner: corner[1])[-2:]
    assert [y for _, y in lowest] == pytest.approx([79.5, 79.5])
    assert min(y for _, y in outline) == pytest.approx(-79.5)
    assert math.dist(*lowest) == pytest.approx(159.0 * math.tan(math.pi / sides))


def test_an_end_that_cannot_be_drawn_is_refused() -> None:
    """No sides, no width, no keys."""
    with pytest.raises(InputError, match="got 2 and 159 mm"):
        end_outline(sides=2, across_flats_mm=159.0)
    one_ended = replace(TREBLE, keys=TREBLE.side_keys(RIGHT))
    with pytest.raises(InputError, match="'english-treble-48' has none on the left"):
        end_view(one_ended, LEFT)
    with pytest.raises(InputError, match="got 6 and -1 mm"):
        end_view(TREBLE, LEFT, across_flats_mm=-1.0)
