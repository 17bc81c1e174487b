"""The reed pans as maps from both faces: bench work finds chambers, not buttons.

Chamber side: the face towards the action board, seen as the end is seen fretwork
up. It carries the draw reeds, inside their chambers, and the valves of the press
reeds. Bellows side: the other face, mirrored. It carries the press reeds and the
valves of the draw reeds (public pages). A single-action pan has
press reeds only, and no valves.

Where a layout does not say in which order the chambers lie, they are placed round
the pan in the order of the buttons' bearings, so that no two levers need cross,
each as wide as its pitch asks: an assumption, to be corrected by whoever has the
pan on the bench. Chambers are drawn as sectors that close the ring. That is a
map; 24 real chambers do not fit one ring (packing trials, computed), and it is no template.

Conventions: millimetres from the centre, x right, y down; bearings in degrees,
clockwise as seen in the drawing, 0 at three o'clock, so 90 is the player's side.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

from reedwright.errors import InputError
from reedwright.instrument.layout import Action, Direction, Key, Layout, Reed, Side
from reedwright.instrument.views import USUAL_ACROSS_FLATS_MM, end_outline, end_view

__all__ = ["ChamberPlace", "PanFace", "PanView", "chamber_order", "pan_view"]

#: Pan edge to end edge, wall between chambers, least radius of an inner end: drawing choices.
_RIM_MM, _WALL_MM, _HUB_MM = 6.5, 1.6, 12.0


class PanFace(StrEnum):
    """Which face of the pan is looked at."""

    CHAMBER_SIDE = "chamber side"
    BELLOWS_SIDE = "bellows side"


@dataclass(frozen=True, slots=True)
class ChamberPlace:
    """One chamber of a pan, tied to its key.

    ``reed`` is the one on this face, ``valve_of`` the reed whose valve is on this
    face; None where there is none.
    """

    key: str
    bearing_deg: float
    polygon: tuple[tuple[float, float], ...]
    middle: tuple[float, float]
    reed: Reed | None
    valve_of: Reed | None


@dataclass(frozen=True, slots=True)
class PanView:
    """One pan from one face; ``is_assumed`` says that nobody has checked the order."""

    side: Side
    face: PanFace
    view_name: str
    outline: tuple[tuple[float, float], ...]
    chambers: tuple[ChamberPlace, ...]
    is_assumed: bool


def chamber_order(layout: Layout, side: Side) -> tuple[str, ...]:
    """Return the keys of one end in the order of the chambers.

    Clockwise on the chamber side, beginning at the player's side: as the layout
    says, or by the bearing of each button from the middle of the end.

    Raises
    ------
    InputError
        If the layout has no keys on that end.
    """
    given = layout.chambers(side)
    return given or tuple(
        place.key
        for place in sorted(
            end_view(layout, side).places,
            key=lambda p: (_from_player(p.x_mm, p.y_mm), math.hypot(p.x_mm, p.y_mm), p.key),
        )
    )


def pan_view(
    layout: Layout,
    side: Side,
    face: PanFace,
    *,
    across_flats_mm: float = USUAL_ACROSS_FLATS_MM,
) -> PanView:
    """Return one pan with its chambers, from one face.

    Parameters
    ----------
    across_flats_mm : float, 60 or more
        Of the end that the pan belongs to, millimetres.

    Raises
    ------
    InputError
        If the layout has no keys on that end, or the end is too narrow to draw.
    """
    if not across_flats_mm >= 60.0:
        raise InputError(
            f"a pan is drawn for an end of 60 mm across flats or more, got {across_flats_mm:g} mm; "
            "correct the measurement"
        )
    order = chamber_order(layout, side)
    keys = [layout.key(key) for key in order]
    pan_width_mm = across_flats_mm - 2.0 * _RIM_MM
    hand = 1.0 if face is PanFace.CHAMBER_SIDE else -1.0
    sectors = _sectors(layout, side, keys)
    chambers = []
    for key, (start, end) in zip(keys, sectors, strict=True):
        polygon = _sector(
            start, end, length_mm=_size_mm(key)[1], sides=layout.sides, width_mm=pan_width_mm
        )
        middle = (start + end) / 2.0
        reach = (
            math.hypot(*polygon[0]) + math.hypot(*polygon[-1])
        ) / 2.0  # between rim and inner end
        chambers.append(
            ChamberPlace(
                key=key.key,
                bearing_deg=math.degrees(math.atan2(math.sin(middle), hand * math.cos(middle)))
                % 360.0,
                polygon=tuple((hand * x, y) for x, y in polygon),
                middle=(hand * reach * math.cos(middle), reach * math.sin(middle)),
                reed=_reed(key, Direction.DRAW if hand > 0 else Direction.PRESS),
                valve_of=None
                if layout.action is Action.SINGLE
                else _reed(key, Direction.PRESS if hand > 0 else Direction.DRAW),
            )
        )
    outline = end_outline(sides=layout.sides, across_flats_mm=pan_width_mm)
    return PanView(
        side=side,
        face=face,
        view_name=f"{side.value.capitalize()} reed pan, {face}, player's side down",
        outline=tuple((hand * x, y) for x, y in outline),
        chambers=tuple(chambers),
        is_assumed=not layout.chambers(side),
    )


def _reed(key: Key, direction: Direction) -> Reed | None:
    return None if key.note(direction) is None else Reed(key.key, direction)


def _from_player(x: float, y: float) -> float:
    """Return the clockwise angle from the player's side (down), radians, 0 to 2 pi."""
    return (math.atan2(y, x) - math.pi / 2.0) % (2.0 * math.pi)


def _size_mm(key: Key) -> tuple[float, float]:
    """Return width and length of a chamber by its lower note, a stand-in.

    Width 14.6 to 9.6 mm and length 50 to 22 mm from G3 to C7 (packing trials, the
    stand-in sizes of its packing trials, from no instrument), straight over the
    semitones and continued to either side; the size of A4 where no note is known.
    """
    semitone = min((n.semitone for n in (key.press, key.draw) if n is not None), default=69)
    share = (semitone - 55) / (96 - 55)
    return max(6.0, 14.6 - 5.0 * share), max(12.0, 50.0 - 28.0 * share)


def _sectors(layout: Layout, side: Side, keys: list[Key]) -> list[tuple[float, float]]:
    """Return start and end of each chamber's sector, radians, clockwise on the chamber side.

    A given order begins with the first chamber at the player's side; an assumed
    one is turned so that on the whole each chamber lies towards its button.
    """
    widths = [_size_mm(key)[0] for key in keys]
    whole = sum(widths)
    ends = [2.0 * math.pi * sum(widths[: n + 1]) / whole for n in range(len(widths))]
    starts = [0.0, *ends[:-1]]
    if layout.chambers(side):
        turn = math.pi / 2.0 - ends[0] / 2.0
    else:
        buttons = {p.key: math.atan2(p.y_mm, p.x_mm) for p in end_view(layout, side).places}
        off = [
            buttons[key.key] - (start + end) / 2.0
            for key, start, end in zip(keys, starts, ends, strict=True)
        ]
        turn = math.atan2(sum(map(math.sin, off)), sum(map(math.cos, off)))
    return [(turn + start, turn + end) for start, end in zip(starts, ends, strict=True)]


def _sector(
    start: float, end: float, *, length_mm: float, sides: int, width_mm: float
) -> tuple[tuple[float, float], ...]:
    """Return the corners of a chamber: along the rim with the pan's corners, back at its inner end.

    Half a wall is left free on each side; a narrow chamber keeps a third of its sector.
    """
    rim = _rim((start + end) / 2.0, sides=sides, width_mm=width_mm)
    inner = max(_HUB_MM, rim - length_mm)
    half = (end - start) / 2.0
    wall = min(_WALL_MM / (rim + inner), half * 2.0 / 3.0)
    start, end = start + wall, end - wall
    corner = math.pi / 2.0 + math.pi / sides
    step = 2.0 * math.pi / sides
    bearings = [start]
    bearings += [
        corner + n * step
        for n in range(-2 * sides, 2 * sides + 1)
        if start < corner + n * step < end
    ]
    bearings.append(end)
    outer = [(_rim(b, sides=sides, width_mm=width_mm), b) for b in bearings]
    return tuple(
        (r * math.cos(b), r * math.sin(b)) for r, b in [*outer, (inner, end), (inner, start)]
    )


def _rim(bearing: float, *, sides: int, width_mm: float) -> float:
    """Return the distance from the centre to the edge of the pan in a direction."""
    step = 2.0 * math.pi / sides
    from_flat = (bearing - math.pi / 2.0 + step / 2.0) % step - step / 2.0
    return width_mm / 2.0 / math.cos(from_flat)
