"""A reed in side view: the zone to file, thickness before and after, sensitivity, history.

The tongue lies with its root to the left, true to scale along its length; thickness is
drawn larger, and what comes off larger again, or it could not be seen: both factors are
written beside it.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from reedwright.drawing import (
    Anchor,
    Circle,
    Drawing,
    Hatch,
    Line,
    Point,
    Polygon,
    Polyline,
    Shape,
    Text,
    Weight,
)
from reedwright.drawing.axes import Axis, even_ticks, widened
from reedwright.drawing.numbers import print_number, print_offset, print_target_frequency
from reedwright.jobs.reed_picture import ReedPicture
from reedwright.reedwork.model import Zone
from reedwright.reedwork.scrapes import Scrape

__all__ = ["reed_drawing"]

_WIDTH_MM, _HEIGHT_MM = 180.0, 190.0
_LEFT_MM, _RIGHT_MM = 16.0, 178.0
_SIDE_TOP_MM, _SIDE_BASE_MM = 22.0, 46.0
_SENSE_TOP_MM, _SENSE_BASE_MM = 64.0, 104.0
_PAST_TOP_MM, _PAST_BASE_MM = 126.0, 176.0
_TEXT_MM, _SMALL_MM, _TITLE_MM = 2.9, 2.6, 4.2
#: The thickest place of a tongue and the deepest cut are drawn so high.
_THICKEST_MM, _CUT_MM = 13.0, 4.0
_MARK_MM = 0.9
#: More scrapes than this are not told apart; the last ones are drawn.
_MOST_SCRAPES = 24
_SIGMAS_95 = 1.96


def reed_drawing(picture: ReedPicture) -> Drawing:
    """Return the drawing of one reed, 180 mm wide."""
    along = Axis(0.0, picture.tongue.length_mm, _LEFT_MM, _RIGHT_MM)
    shapes: list[Shape] = [
        *_heading(picture),
        *_side_view(picture, along),
        *_sensitivity(picture, along),
        *_history(picture.scrapes),
    ]
    return Drawing(
        _WIDTH_MM,
        _HEIGHT_MM,
        f"Reed {_name(picture)}",
        f"{picture.advice.sentence} {_counted(len(picture.scrapes))} logged.",
        tuple(shapes),
    )


def _name(picture: ReedPicture) -> str:
    reed = picture.reed
    return f"{reed.key} {reed.direction}, {picture.note.printed}"


def _counted(scrapes: int) -> str:
    return "1 scrape" if scrapes == 1 else f"{scrapes} scrapes"


def _heading(picture: ReedPicture) -> Iterable[Shape]:
    yield Text((0.0, 5.0), _name(picture), _TITLE_MM, "ink", weight=Weight.SEMIBOLD)
    yield Text(
        (_WIDTH_MM, 5.0),
        f"target {print_target_frequency(picture.target_hz)} Hz",
        _TEXT_MM,
        "quiet-ink",
        Anchor.END,
    )
    for row, line in enumerate(_wrapped(picture.advice.sentence, 118)):
        yield Text((0.0, 10.5 + 3.8 * row), line, _TEXT_MM, "ink")


def _wrapped(sentence: str, letters: int) -> list[str]:
    lines = [""]
    for word in sentence.split():
        if len(lines[-1]) + len(word) >= letters and lines[-1]:
            lines.append("")
        lines[-1] = f"{lines[-1]} {word}".strip()
    return lines


@dataclass(frozen=True, slots=True)
class _Surface:
    """The upper side of a tongue: places along it, thickness, and the zone, all mm."""

    picture: ReedPicture
    along: Axis

    @property
    def larger(self) -> float:
        """How many times larger than true thickness is drawn."""
        thickest = max(station.thickness_mm for station in self.picture.tongue.stations)
        return _round_down(_THICKEST_MM / thickest)

    @property
    def cut_larger(self) -> float:
        """How many times larger than thickness what comes off is drawn."""
        off_mm = (self.picture.removed_um + self.picture.to_remove_um) / 1000.0
        return _round_down(_CUT_MM / (off_mm * self.larger)) if off_mm > 0.0 else 1.0

    def zone(self) -> tuple[float, float] | None:
        """Return where the zone begins and ends from the root."""
        response, length = self.picture.response, self.picture.tongue.length_mm
        if response is None:
            return None
        if response.zone is Zone.TIP:
            return length - response.zone_to_mm, length - response.zone_from_mm
        return response.zone_from_mm, response.zone_to_mm

    def height_mm(self, x_mm: float) -> float:
        """Return the drawn thickness at a place."""
        stations = self.picture.tongue.stations
        for left, right in pairwise(stations):
            if x_mm <= right.x_mm:
                part = (x_mm - left.x_mm) / (right.x_mm - left.x_mm)
                thickness = left.thickness_mm + part * (right.thickness_mm - left.thickness_mm)
                return thickness * self.larger
        return stations[-1].thickness_mm * self.larger

    def line(self, start_mm: float, stop_mm: float, lower_mm: float = 0.0) -> list[Point]:
        """Return the surface between two places, lowered by so much on the drawing."""
        places = [start_mm, stop_mm]
        places += [s.x_mm for s in self.picture.tongue.stations if start_mm < s.x_mm < stop_mm]
        return [
            (self.along.place_mm(x), _SIDE_BASE_MM - self.height_mm(x) + lower_mm)
            for x in sorted(places)
        ]


def _side_view(picture: ReedPicture, along: Axis) -> Iterable[Shape]:
    surface = _Surface(picture, along)
    length = picture.tongue.length_mm
    outline = surface.line(0.0, length)
    base = [(along.to_mm, _SIDE_BASE_MM), (along.from_mm, _SIDE_BASE_MM)]
    yield Polygon((*outline, *base), "outline")
    yield from _clamp(along)
    zone = surface.zone()
    if zone is not None:
        yield from _cut(surface, zone)
    for tick in even_ticks(0.0, length, 9):
        x_mm = along.place_mm(tick)
        yield Line((x_mm, _SIDE_BASE_MM), (x_mm, _SIDE_BASE_MM + 1.2), "line")
        yield Text((x_mm, _SIDE_BASE_MM + 4.4), _plain(tick), _SMALL_MM, "quiet-ink", Anchor.MIDDLE)
    is_cut = surface.cut_larger > 1.0
    said = f"mm from the root; thickness drawn {surface.larger:g} times as large"
    if is_cut:
        said += f", what comes off {surface.cut_larger:g} times larger again"
    yield Text((along.to_mm, _SIDE_BASE_MM + 8.4), said, _SMALL_MM, "quiet-ink", Anchor.END)
    for station, anchor in (
        (picture.tongue.stations[0], Anchor.START),
        (picture.tongue.stations[-1], Anchor.END),
    ):
        x_mm, y_mm = surface.line(station.x_mm, station.x_mm)[0]
        value = f"{print_number(station.thickness_mm, decimals=2)} mm"
        inward = 1.5 if anchor is Anchor.START else -1.5
        yield Text(
            (x_mm + inward, (y_mm + _SIDE_BASE_MM) / 2.0 + 1.0), value, _SMALL_MM, "ink", anchor
        )


def _clamp(along: Axis) -> Iterable[Shape]:
    block = Polygon(
        (
            (along.from_mm - 6.0, _SIDE_TOP_MM + 8.0),
            (along.from_mm, _SIDE_TOP_MM + 8.0),
            (along.from_mm, _SIDE_BASE_MM + 2.0),
            (along.from_mm - 6.0, _SIDE_BASE_MM + 2.0),
        ),
        "outline",
    )
    yield block
    yield Hatch(block, 45.0, 1.2, "unheard-hatch")


def _cut(surface: _Surface, zone: tuple[float, float]) -> Iterable[Shape]:
    """Yield what came off (dashed, above) and what is to come off (hatched) in a zone."""
    picture = surface.picture
    factor = surface.larger * surface.cut_larger / 1000.0
    gone, to_go = picture.removed_um * factor, picture.to_remove_um * factor
    now = surface.line(*zone)
    if gone > 0.0:
        before = surface.line(*zone, lower_mm=-gone)
        yield Polyline((now[0], *before, now[-1]), "dashed-line")
    if to_go > 0.0:
        after = surface.line(*zone, lower_mm=to_go)
        band = Polygon((*now, *reversed(after)), "tolerance-band")
        yield band
        yield Hatch(band, 45.0, 0.9, "unheard-hatch")
        yield Polyline(tuple(after), "ink-line")
    middle = (surface.along.place_mm(zone[0]) + surface.along.place_mm(zone[1])) / 2.0
    told = [f"{_um(um)} {word}" for um, word in
            ((picture.removed_um, "off so far"), (picture.to_remove_um, "to come off"))
            if um > 0.0]  # fmt: skip
    top = min(y for _, y in now) - gone - 1.6
    if told:
        yield Text((middle, top), ", ".join(told), _SMALL_MM, "ink", Anchor.MIDDLE)


def _sensitivity(picture: ReedPicture, along: Axis) -> Iterable[Shape]:
    modes = picture.modes
    low, high = widened(
        min(modes.cents_per_um_mm), max(modes.cents_per_um_mm), least=0.1, margin=0.06
    )
    up = Axis(low, high, _SENSE_BASE_MM, _SENSE_TOP_MM)
    zone = _Surface(picture, along).zone()
    if zone is not None:
        left, right = (along.place_mm(x) for x in zone)
        yield Polygon(
            ((left, up.to_mm), (right, up.to_mm), (right, up.from_mm), (left, up.from_mm)),
            "tolerance-band",
        )
    yield from _scale(up, along, most=6)
    yield Line((along.from_mm, up.place_mm(0.0)), (along.to_mm, up.place_mm(0.0)), "ink-line")
    yield Polyline(
        tuple(
            (along.place_mm(x), up.place_mm(rise))
            for x, rise in zip(modes.positions_mm, modes.cents_per_um_mm, strict=True)
        ),
        "press-line",
    )
    neutral = (along.place_mm(modes.neutral_point_mm), up.place_mm(0.0))
    yield Circle(neutral, _MARK_MM, "draw-mark")
    yield Text((neutral[0], neutral[1] - 2.0), "no change here", _SMALL_MM, "ink", Anchor.MIDDLE)
    yield Text(
        (0.0, up.to_mm - 3.0),
        "cents the pitch rises when 1 µm comes off over 1 mm of length, along the tongue",
        _TEXT_MM,
        "quiet-ink",
    )


def _scale(up: Axis, along: Axis, *, most: int) -> Iterable[Shape]:
    for tick in even_ticks(up.low, up.high, most):
        y_mm = up.place_mm(tick)
        yield Line((along.from_mm, y_mm), (along.to_mm, y_mm), "faint-line")
        yield Text(
            (along.from_mm - 1.2, y_mm + 0.9), _plain(tick), _SMALL_MM, "quiet-ink", Anchor.END
        )


def _history(scrapes: Sequence[Scrape]) -> Iterable[Shape]:
    """Yield foretold (open, with its 95 %) and found (filled) shifts, scrape by scrape."""
    shown = scrapes[-_MOST_SCRAPES:]
    title = "cents moved by each scrape: foretold (open, with its 95 %) and found (filled)"
    yield Text((0.0, _PAST_TOP_MM - 3.0), title, _TEXT_MM, "quiet-ink")
    if not shown:
        yield Text((_LEFT_MM, _PAST_TOP_MM + 4.0), "No scrape logged yet.", _TEXT_MM, "ink")
        return
    values = [scrape.shift_cents for scrape in shown] + [0.0]
    values += [end for scrape in shown for end in _foretold(scrape) or ()]
    low, high = widened(min(values), max(values), least=2.0, margin=0.06)
    up = Axis(low, high, _PAST_BASE_MM, _PAST_TOP_MM)
    across = Axis(0.0, max(float(len(shown)), 4.0), _LEFT_MM, _RIGHT_MM)
    yield from _scale(up, across, most=7)
    first = len(scrapes) - len(shown) + 1
    is_crowded = len(shown) > 8
    for place, scrape in enumerate(shown):
        x_mm = across.place_mm(place + 0.5)
        yield from _scraped(scrape, x_mm, up)
        label = f"{first + place}" if is_crowded else _scrape_label(scrape)
        yield Text((x_mm, _PAST_BASE_MM + 4.4), label, _SMALL_MM, "quiet-ink", Anchor.MIDDLE)


def _scraped(scrape: Scrape, x_mm: float, up: Axis) -> Iterable[Shape]:
    foretold = _foretold(scrape)
    if foretold is not None:
        low, middle, high = (up.place_mm(shift) for shift in foretold)
        yield Line((x_mm - 1.6, low), (x_mm - 1.6, high), "draw-line")
        yield Circle((x_mm - 1.6, middle), _MARK_MM, "draw-mark")
    y_mm = up.place_mm(scrape.shift_cents)
    doubt = math.hypot(scrape.before.doubt_cents, scrape.after.doubt_cents)
    yield Circle((x_mm + 1.6, y_mm), _MARK_MM, "press-mark")
    printed = print_offset(scrape.shift_cents, doubt).value.lstrip("+")
    yield Text((x_mm + 3.2, y_mm + 0.9), printed, _SMALL_MM, "ink")


def _foretold(scrape: Scrape) -> tuple[float, float, float] | None:
    """Return lower end, mean and upper end of the shift foretold, a log-normal's 95 %."""
    mean, doubt = scrape.predicted_cents, scrape.predicted_doubt_cents
    if mean is None or doubt is None:
        return None
    spread = math.sqrt(math.log1p((doubt / mean) ** 2))
    middle = mean * math.exp(-(spread**2) / 2.0)
    reach = math.exp(_SIGMAS_95 * spread)
    return middle / reach, mean, middle * reach


def _scrape_label(scrape: Scrape) -> str:
    return f"{scrape.strokes} × {scrape.tool}, {scrape.zone}"


def _plain(value: float) -> str:
    decimals = 0 if float(value).is_integer() else 1 if (10.0 * value).is_integer() else 2
    return print_number(value, decimals=decimals)


def _um(depth_um: float) -> str:
    return f"{print_number(depth_um, decimals=max(0, 1 - math.floor(math.log10(depth_um))))} µm"


def _round_down(factor: float) -> float:
    """Return a factor of one figure, at least 1."""
    at_least = max(factor, 1.0)
    decade = 10.0 ** math.floor(math.log10(at_least))
    return math.floor(at_least / decade) * decade
