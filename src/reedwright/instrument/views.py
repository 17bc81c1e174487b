"""The ends as they lie on the bench: where each button is drawn, and which view it is.

An end lies fretwork up with the player's side down. The thumb is at the top when
the instrument is held, so it is on the inner side of the drawing (left end: right;
right end: left), and the two drawings side by side turn their thumbs to each other.

English: row 1 is the inner column, a row runs from the player's side (bottom, low)
away from it. Anglo and duet: the rail is at the player's side, so row 1 is the
lowest line and a row runs from left to right on both ends, the index finger at the
inner side.

Conventions: millimetres from the centre of the end, x to the right, y downwards
(towards the player), as in ``drawing``. Spacings are those of a legible drawing,
made smaller until all buttons lie inside; they are no measurements, and no template.
"""

import math
from dataclasses import dataclass

from reedwright.errors import InputError
from reedwright.instrument.layout import Key, Layout, Row, Side, System

__all__ = ["USUAL_ACROSS_FLATS_MM", "ButtonPlace", "EndView", "end_outline", "end_view"]

#: Across flats of the usual six-sided end, 6 1/4 in (a public page).
USUAL_ACROSS_FLATS_MM = 159.0

#: Drawn spacing along a row and from row to row, and a button's drawn radius as a part
#: of the spacing: chosen for legibility.
_ALONG_MM, _ACROSS_MM = 20.0, 25.0
_RADIUS_SHARE = 0.36
_MARGIN_MM = 4.0


@dataclass(frozen=True, slots=True)
class ButtonPlace:
    """Where the middle of a button is drawn."""

    key: str
    x_mm: float
    y_mm: float


@dataclass(frozen=True, slots=True)
class EndView:
    """One end, seen from one side.

    ``view_name`` is to be printed with every drawing of it. ``outline`` holds the
    corners in order. ``spacing_mm`` is the least distance between two buttons and
    ``button_radius_mm`` a radius that leaves room for the name below.
    ``air_button`` is where the air button is drawn, None where the layout has none
    on this end; its place is plausible, by the thumb, and no more.
    """

    side: Side
    view_name: str
    is_from_inside: bool
    across_flats_mm: float
    outline: tuple[tuple[float, float], ...]
    places: tuple[ButtonPlace, ...]
    spacing_mm: float
    button_radius_mm: float
    air_button: tuple[float, float] | None


def end_outline(*, sides: int, across_flats_mm: float) -> tuple[tuple[float, float], ...]:
    """Return the corners of a regular end with one side at the player's side (the bottom).

    Parameters
    ----------
    sides : int, 3 or more
    across_flats_mm : float > 0
        Twice the distance from the centre to a side, millimetres.

    Raises
    ------
    InputError
        If either is out of range.
    """
    if sides < 3 or not across_flats_mm > 0.0:
        raise InputError(
            f"an end needs 3 sides or more and a width above 0 mm, got {sides} and "
            f"{across_flats_mm:g} mm; correct the layout or the measurement"
        )
    radius = across_flats_mm / 2.0 / math.cos(math.pi / sides)
    angles = [math.pi / 2.0 + math.pi * (2 * corner + 1) / sides for corner in range(sides)]
    return tuple((radius * math.cos(a), radius * math.sin(a)) for a in angles)


def end_view(
    layout: Layout,
    side: Side,
    *,
    is_from_inside: bool = False,
    across_flats_mm: float = USUAL_ACROSS_FLATS_MM,
) -> EndView:
    """Return one end with its buttons, fretwork up or mirrored as seen from inside.

    Raises
    ------
    InputError
        If the layout has no keys on that end, or the width is not above 0.
    """
    outline = end_outline(sides=layout.sides, across_flats_mm=across_flats_mm)
    keys = layout.side_keys(side)
    if not keys:
        raise InputError(
            f"an end is drawn from its keys, {layout.layout!r} has none on the {side}; "
            "draw the other end"
        )
    points = [_unscaled(layout, key) for key in keys]
    if layout.air_button is side:
        points.append(_air_button(side, points))
    points = _centred(points)
    spacing = _least_distance(points[: len(keys)])
    room = across_flats_mm / 2.0 - _MARGIN_MM
    reach = max(
        x * math.cos(angle) + y * math.sin(angle) + _RADIUS_SHARE * spacing
        for x, y in points
        for angle in (math.pi / 2.0 + 2.0 * math.pi * n / layout.sides for n in range(layout.sides))
    )
    scale = min(1.0, room / reach)
    hand = -1.0 if is_from_inside else 1.0
    placed = [(hand * scale * x, scale * y) for x, y in points]
    facing = "from inside" if is_from_inside else "fretwork up"
    return EndView(
        side=side,
        view_name=f"{side.value.capitalize()} end, {facing}, player's side down",
        is_from_inside=is_from_inside,
        across_flats_mm=across_flats_mm,
        outline=tuple((hand * x, y) for x, y in outline),
        places=tuple(ButtonPlace(key.key, x, y) for key, (x, y) in zip(keys, placed, strict=False)),
        spacing_mm=scale * spacing,
        button_radius_mm=scale * spacing * _RADIUS_SHARE,
        air_button=placed[-1] if layout.air_button is side else None,
    )


def _unscaled(layout: Layout, key: Key) -> tuple[float, float]:
    """Return the place of a key fretwork up, before centring and scaling."""
    said = next(
        (row for row in layout.rows if (row.side, row.row) == (key.side, key.row)),
        Row(key.side, key.row, "", 0.0),
    )
    along = (key.position + said.start_spacings) * _ALONG_MM
    across = key.row * _ACROSS_MM
    if layout.system is System.ENGLISH:
        return (-across if key.side is Side.LEFT else across), -along
    return along, -across


def _air_button(side: Side, points: list[tuple[float, float]]) -> tuple[float, float]:
    """Return a place by the thumb: beyond the buttons on the inner side, half way up."""
    ys = [y for _, y in points]
    xs = [x for x, _ in points]
    inner = max(xs) + _ACROSS_MM if side is Side.LEFT else min(xs) - _ACROSS_MM
    return inner, (min(ys) + max(ys)) / 2.0


def _centred(points: list[tuple[float, float]]) -> list[tuple[float, float]]:
    xs = [x for x, _ in points]
    ys = [y for _, y in points]
    middle_x, middle_y = (min(xs) + max(xs)) / 2.0, (min(ys) + max(ys)) / 2.0
    return [(x - middle_x, y - middle_y) for x, y in points]


def _least_distance(points: list[tuple[float, float]]) -> float:
    distances = (math.dist(a, b) for index, a in enumerate(points) for b in points[index + 1 :])
    return min(distances, default=_ALONG_MM)
