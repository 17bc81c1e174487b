"""The maps of ends and pans: buttons and chambers where they are, numbers where they belong."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace

import pytest
from tests.printed import invented

from reedwright.catalogue import layout_names, load_layout
from reedwright.documents.end_map import both_ends_map, end_map
from reedwright.documents.model import PanMaps
from reedwright.documents.pan_map import pan_drawings, pan_map
from reedwright.documents.split_button import ButtonOffsets, split_button
from reedwright.documents.styles import PAPER_STYLES
from reedwright.drawing import (
    Circle,
    Drawing,
    Group,
    Hatch,
    Line,
    Point,
    Polygon,
    Polyline,
    Sector,
    Shape,
    Text,
)
from reedwright.drawing.hatching import outline_points
from reedwright.drawing.labels import text_box
from reedwright.drawing.numbers import print_with_doubt
from reedwright.instrument.layout import Direction, Layout, Reed, Side
from reedwright.instrument.pan import PanFace
from reedwright.instrument.target import ReedOffset

TREBLE = load_layout("english-treble-48")
ANGLO = load_layout("anglo-30-a")
LAYOUTS = [
    *(load_layout(name) for name in layout_names()),
    invented.large_duet(),
    replace(TREBLE, sides=12),
]


def flat(shapes: Iterable[Shape], moved: Point = (0.0, 0.0)) -> Iterator[tuple[Shape, Point]]:
    """Yield every shape with how far its groups move it."""
    for shape in shapes:
        if isinstance(shape, Group):
            at = (moved[0] + shape.offset_mm[0], moved[1] + shape.offset_mm[1])
            yield from flat(shape.shapes, at)
        else:
            yield shape, moved


def reach(shape: Shape) -> list[Point]:
    """Return points that show how far a shape reaches."""
    match shape:
        case Text():
            box = text_box(shape)
            corners = [(box.left_mm, box.top_mm), (box.right_mm, box.bottom_mm)]
            return corners if not shape.rotation_degrees else [shape.at_mm]
        case Line():
            return [shape.from_mm, shape.to_mm]
        case Polyline():
            return list(shape.points_mm)
        case Hatch():
            return list(outline_points(shape.inside))
        case Polygon() | Circle() | Sector():
            return list(outline_points(shape))
        case Group():
            raise AssertionError("groups are opened first")


def group_named(drawing: Drawing, name: str) -> Group:
    """Return the group of a key, wherever it is."""

    def search(shapes: Iterable[Shape]) -> Iterator[Group]:
        for shape in shapes:
            if isinstance(shape, Group):
                if shape.name == name:
                    yield shape
                yield from search(shape.shapes)

    return next(search(drawing.shapes))


def drawings_of(layout: Layout) -> list[Drawing]:
    """Return every map of a layout."""
    maps = invented.end_maps(layout)
    ends = [
        both_ends_map(
            layout,
            maps.offsets,
            tolerance=maps.tolerance,
            width_mm=277.0,
            most_height_mm=155.0,
            is_from_inside=is_from_inside,
        )
        for is_from_inside in (False, True)
    ]
    pans = pan_drawings(PanMaps(maps.head, layout, maps.offsets, maps.tolerance))
    return ends + list(pans.values())


@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda layout: f"{layout.layout}-{layout.sides}")
def test_nothing_lies_outside_its_drawing(layout: Layout) -> None:
    """Whatever the layout, all shapes and texts stay on the drawing, in known styles."""
    for number, drawing in enumerate(drawings_of(layout)):
        assert drawing.width_mm == 277.0
        # The two maps of the ends were given 155 mm, the pans have the sheet's 167 mm.
        assert drawing.height_mm <= (155.0 if number < 2 else 167.0)
        for shape, (dx, dy) in flat(drawing.shapes):
            assert (shape.style if not isinstance(shape, Group) else "ink") in PAPER_STYLES
            for x, y in reach(shape):
                assert -0.01 <= x + dx <= drawing.width_mm + 0.01, shape
                assert -0.01 <= y + dy <= drawing.height_mm + 0.01, shape


@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda layout: f"{layout.layout}-{layout.sides}")
def test_buttons_do_not_touch_and_every_key_is_there(layout: Layout) -> None:
    """One button per key, apart from the next, its name clear of the button below."""
    for side in Side:
        drawing = end_map(layout, side, invented.invented_offsets(layout), width_mm=135.0)
        groups = [shape for shape in drawing.shapes if isinstance(shape, Group)]
        assert [group.name for group in groups] == [key.key for key in layout.side_keys(side)]
        rims = [
            next(s for s in group.shapes if isinstance(s, Circle) and s.style == "rim")
            for group in groups
        ]
        for number, rim in enumerate(rims):
            for other in rims[number + 1 :]:
                assert math.dist(rim.centre_mm, other.centre_mm) > 2.0 * rim.radius_mm
        names = [
            (rim, shape)
            for group, rim in zip(groups, rims, strict=True)
            for shape in group.shapes
            if isinstance(shape, Text) and shape.at_mm[1] > rim.centre_mm[1] + rim.radius_mm
        ]
        assert len(names) >= len(groups)
        for own, name in names:
            box = text_box(name)
            middle = ((box.left_mm + box.right_mm) / 2.0, name.at_mm[1])
            assert all(
                math.dist(middle, rim.centre_mm) >= rim.radius_mm for rim in rims if rim is not own
            )


def test_press_is_on_the_left_half_and_draw_on_the_right() -> None:
    """Also when the end is seen from inside: the halves are not mirrored."""
    offsets = invented.invented_offsets(TREBLE)
    for is_from_inside in (False, True):
        drawing = end_map(TREBLE, Side.LEFT, offsets, width_mm=135.0, is_from_inside=is_from_inside)
        group = group_named(drawing, "L1.1")
        rim = next(shape for shape in group.shapes if isinstance(shape, Circle))
        numbers = {
            shape.text: shape.at_mm[0] < rim.centre_mm[0]
            for shape in group.shapes
            if isinstance(shape, Text) and shape.text[0] in "+−"
        }
        assert numbers == {"−4": True, "−2": False}


def test_the_view_from_inside_is_the_mirror() -> None:
    """Every button changes sides, and the drawing names the view."""
    outer = end_map(TREBLE, Side.LEFT, (), width_mm=135.0)
    inner = end_map(TREBLE, Side.LEFT, (), width_mm=135.0, is_from_inside=True)
    assert outer.title == "Left end, fretwork up, player's side down"
    assert inner.title == "Left end, from inside, player's side down"
    for key in TREBLE.side_keys(Side.LEFT):
        centres = [
            next(s for s in group_named(d, key.key).shapes if isinstance(s, Circle)).centre_mm
            for d in (outer, inner)
        ]
        assert centres[0][0] + centres[1][0] == pytest.approx(135.0)
        assert centres[0][1] == pytest.approx(centres[1][1])


def button(press: ReedOffset | None, draw: ReedOffset | None) -> Group:
    """Return the first button of the treble with these reeds."""
    return split_button(
        ButtonOffsets(TREBLE.keys[0], press, draw), centre_mm=(10.0, 10.0), radius_mm=5.0
    )


def test_each_state_has_its_own_mark_beside_colour() -> None:
    """Bold rim for work, hatch for silence, dotted ring and ? for doubt; in tune has none."""
    reeds = TREBLE.reeds()
    silent, doubtful, bad = (
        invented.invented_offsets(TREBLE, silent=reeds[:1])[0],
        invented.invented_offsets(TREBLE, doubtful=reeds[:1])[0],
        invented.invented_offsets(TREBLE)[0],
    )
    good = replace(bad, offset_cents=0.4, is_within_tolerance=True)

    def marks(offset: ReedOffset) -> set[str]:
        shapes = button(offset, None).shapes
        found = {shape.style for shape in shapes if isinstance(shape, (Sector, Hatch))}
        found |= {"?" for shape in shapes if isinstance(shape, Text) and shape.text == "?"}
        return found & {"work-rim", "unheard-hatch", "doubt-ring", "?"}

    assert marks(good) == set()
    assert marks(bad) == {"work-rim"}
    assert marks(silent) == {"unheard-hatch"}
    assert marks(doubtful) == {"work-rim", "doubt-ring", "?"}


def test_a_button_says_in_words_what_it_shows() -> None:
    """For screen readers, with the doubt."""
    first, second = invented.invented_offsets(TREBLE)[:2]
    assert button(first, second).title == (
        "L1.1: C♯4 press −4.5 ± 0.2 cents; C♯4 draw −2.0 ± 0.2 cents"
    )
    assert button(None, None).title == "L1.1: C♯4 press not asked for; C♯4 draw not asked for"


def test_an_anglo_button_names_both_notes() -> None:
    """Press below the left half, draw below the right one."""
    drawing = end_map(ANGLO, Side.LEFT, (), width_mm=135.0)
    names = [s for s in group_named(drawing, "L2.1").shapes if isinstance(s, Text)]
    assert [name.text for name in sorted(names, key=lambda name: name.at_mm[0])] == ["C3", "G3"]


def test_a_large_offset_still_fits_its_half() -> None:
    """Four characters are set smaller; the number stays within its half disc."""
    far = replace(invented.invented_offsets(TREBLE)[0], offset_cents=-131.0)
    number = next(
        s for s in button(far, None).shapes if isinstance(s, Text) and s.text.startswith("−131")
    )
    width = 0.5 * number.size_mm * len(number.text)
    left, right = number.at_mm[0] - width / 2.0, number.at_mm[0] + width / 2.0
    assert right <= 10.0
    assert math.dist((left, 10.0 + 0.35 * number.size_mm), (10.0, 10.0)) < 5.0


@pytest.mark.parametrize("layout", [TREBLE, ANGLO, invented.large_duet()])
def test_each_face_of_a_pan_shows_its_own_reeds(layout: Layout) -> None:
    """Draw reeds on the chamber side, press reeds on the bellows side, mirrored."""
    offsets = invented.invented_offsets(layout)
    by_reed = {Reed(o.target.key, o.target.direction): o for o in offsets}
    sides: dict[PanFace, dict[str, Point]] = {}
    for face, direction in (
        (PanFace.CHAMBER_SIDE, Direction.DRAW),
        (PanFace.BELLOWS_SIDE, Direction.PRESS),
    ):
        drawing = pan_map(layout, Side.LEFT, face, offsets, width_mm=134.0)
        sides[face] = {}
        for key in layout.side_keys(Side.LEFT):
            group = group_named(drawing, key.key)
            offset = by_reed[Reed(key.key, direction)]
            text = " ".join(s.text for s in group.shapes if isinstance(s, Text))
            assert offset.target.note.printed in text
            whole = print_with_doubt(
                offset.offset_cents or 0.0, offset.doubt_cents or 0.0, finest=1.0, is_offset=True
            )
            assert text.endswith(whole.value) or text.startswith(f"{whole.value} ")
            assert f"{offset.target.note.printed} " in group.title
            polygon = next(s for s in group.shapes if isinstance(s, Polygon))
            sides[face][key.key] = polygon.points_mm[0]
    for name, (x, y) in sides[PanFace.CHAMBER_SIDE].items():
        mirrored = sides[PanFace.BELLOWS_SIDE][name]
        assert mirrored == pytest.approx((134.0 - x, y))


def test_a_pan_nobody_has_looked_at_says_so() -> None:
    """The order of the chambers is assumed until someone corrects it."""
    drawing = pan_map(TREBLE, Side.LEFT, PanFace.CHAMBER_SIDE, (), width_mm=134.0)
    assert "order assumed" in [s.text for s, _ in flat(drawing.shapes) if isinstance(s, Text)]
