"""Which key sounds which reed, in which direction of the bellows.

A layout describes what an instrument of a kind usually is. It is never the
truth about one instrument: a difference from it is not a fault.

Conventions: left and right are the player's. Rows and positions count from 1.

English: a row runs away from the player, ``row`` counts from the thumb outwards
and ``position`` from the player's side (the low end) upwards.

Anglo and duet: a row runs along the hand rail, ``row`` counts from the rail
outwards and ``position`` from left to right as the end lies fretwork up with the
player's side down, so on the left from the little finger to the index and on the
right from the index to the little finger (low to high on both).
"""

from collections import Counter
from dataclasses import dataclass
from enum import StrEnum

from reedwright.errors import LayoutError
from reedwright.instrument.evidence import Confidence, EvidenceMark
from reedwright.instrument.note import SpelledNote

__all__ = [
    "Action",
    "Direction",
    "Key",
    "Layout",
    "Reed",
    "Row",
    "Side",
    "System",
    "key_identifier",
]


class Side(StrEnum):
    """The end of the instrument, as the player holds it."""

    LEFT = "left"
    RIGHT = "right"


class Direction(StrEnum):
    """The movement of the bellows: press closes them, draw opens them."""

    PRESS = "press"
    DRAW = "draw"


class Action(StrEnum):
    """Double: reeds for both directions. Single: press reeds only, inlet valves for the draw."""

    DOUBLE = "double"
    SINGLE = "single"


class System(StrEnum):
    """How the hand is held, which decides how the rows lie on the end.

    English: thumb strap, rows away from the player. Anglo and duet: hand strap
    and rail, rows along the rail.
    """

    ENGLISH = "english"
    ANGLO = "anglo"
    DUET = "duet"


@dataclass(frozen=True, slots=True, order=True)
class Reed:
    """The address of one reed: the key's identifier and the direction that sounds it."""

    key: str
    direction: Direction


def key_identifier(side: Side, row: int, position: int) -> str:
    """Return the identifier by place, such as ``L2.3``: left, row 2, position 3."""
    return f"{side.value[0].upper()}{row}.{position}"


@dataclass(frozen=True, slots=True)
class Key:
    """One button and its two notes; ``draw`` is None on a single-action instrument.

    ``key`` is the layout's own identifier, such as ``L2.3``: side, row, position.
    Both notes are None on a blank form that the instrument has yet to fill.
    """

    key: str
    side: Side
    row: int
    position: int
    press: SpelledNote | None
    draw: SpelledNote | None

    def note(self, direction: Direction) -> SpelledNote | None:
        """Return the note this key sounds in a direction, or None where it has no reed."""
        return self.press if direction is Direction.PRESS else self.draw

    @property
    def is_unisonoric(self) -> bool:
        """Whether both directions sound one and the same note (or only one direction sounds)."""
        return self.press is None or self.draw is None or self.press == self.draw


@dataclass(frozen=True, slots=True)
class Row:
    """What is said of a row as a whole.

    ``start_spacings`` is how far its first button is set off from the common
    start of the rows, in button spacings, for the drawing of the end.
    """

    side: Side
    row: int
    title: str
    start_spacings: float


@dataclass(frozen=True, slots=True)
class Layout:
    """The keys of one kind of instrument, with the evidence it rests on.

    ``layout`` is the slug by which commands name it; ``evidence`` says where the
    table comes from, ``evidence_mark`` and ``confidence`` how sure it is.
    ``sides`` is the number of sides of an end, ``air_button`` the end that
    carries one, ``home_keys`` the keys of an Anglo's two home rows (``C/G``).
    ``left_chambers`` and ``right_chambers`` are the keys in the order of the pan's
    chambers, clockwise as seen from the chamber side with the player's side down,
    the first one nearest the player; empty where nobody has looked.
    """

    layout: str
    title: str
    action: Action
    keys: tuple[Key, ...]
    evidence: str
    system: System = System.ENGLISH
    sides: int = 6
    air_button: Side | None = None
    home_keys: str | None = None
    rows: tuple[Row, ...] = ()
    evidence_mark: EvidenceMark = EvidenceMark.OWN
    confidence: Confidence = Confidence.MEDIUM
    left_chambers: tuple[str, ...] = ()
    right_chambers: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not self.keys:
            raise LayoutError(f"a layout needs at least one key, {self.layout!r} has none; add one")
        for name, counts in (
            ("key", Counter(key.key for key in self.keys)),
            ("place", Counter(key_identifier(k.side, k.row, k.position) for k in self.keys)),
        ):
            repeated = [value for value, count in counts.items() if count > 1]
            if repeated:
                raise LayoutError(
                    f"each {name} may occur once in a layout, {repeated[0]} occurs "
                    f"{counts[repeated[0]]} times in {self.layout!r}; remove or renumber one"
                )
        for side in Side:
            chambers, keys = self.chambers(side), [key.key for key in self.side_keys(side)]
            if chambers and sorted(chambers) != sorted(keys):
                odd = sorted(set(chambers) ^ set(keys)) or [
                    key for key, count in Counter(chambers).items() if count > 1
                ]
                raise LayoutError(
                    f"a list of chambers names each key of its end once, {odd[0]} is missing, "
                    f"unknown or repeated on the {side} of {self.layout!r}; correct the list"
                )
        if self.action is Action.SINGLE:
            for key in self.keys:
                if key.draw is not None:
                    raise LayoutError(
                        f"a single-action instrument has press reeds only, key {key.key} of "
                        f"{self.layout!r} has {key.draw} on the draw; leave the draw note out "
                        'or make the action "double"'
                    )

    @property
    def is_blank(self) -> bool:
        """Whether no key has a note yet: a form for the instrument to fill."""
        return all(key.press is None and key.draw is None for key in self.keys)

    def side_keys(self, side: Side) -> tuple[Key, ...]:
        """Return the keys of one end, in the order of the layout."""
        return tuple(key for key in self.keys if key.side is side)

    def chambers(self, side: Side) -> tuple[str, ...]:
        """Return the keys in the order of the chambers of one pan, empty where not known."""
        return self.left_chambers if side is Side.LEFT else self.right_chambers

    def compass(self) -> tuple[SpelledNote, SpelledNote]:
        """Return the lowest and the highest note; LayoutError on a blank form."""
        notes = [self.note(reed) for reed in self.reeds()]
        if not notes:
            raise LayoutError(
                f"the compass needs a layout with notes, {self.layout!r} is a blank form; "
                "let the instrument teach it first"
            )
        return (
            min(notes, key=lambda note: note.semitone),
            max(notes, key=lambda note: note.semitone),
        )

    def reeds(self) -> tuple[Reed, ...]:
        """Return every reed, key by key, press before draw."""
        return tuple(
            Reed(key.key, direction)
            for key in self.keys
            for direction in Direction
            if key.note(direction) is not None
        )

    def key(self, key: str) -> Key:
        """Return the key of that identifier; KeyError if the layout has none."""
        for candidate in self.keys:
            if candidate.key == key:
                return candidate
        raise KeyError(key)

    def note(self, reed: Reed) -> SpelledNote:
        """Return the spelled note of a reed; KeyError if the layout has no such reed."""
        note = self.key(reed.key).note(reed.direction)
        if note is None:
            raise KeyError(reed)
        return note
