"""Which key sounds which reed, in which direction of the bellows.

A layout describes what an instrument of a kind usually is. It is never the
truth about one instrument: a difference from it is not a fault.

Conventions: ``row`` counts from 1 at the thumb (English) or at the hand rail
(Anglo, duet) outwards; ``position`` counts from 1 at the player's side (the low
end of a row on an English) upwards. Left and right are the player's.
"""

from dataclasses import dataclass
from enum import StrEnum

from reedwright.instrument.note import SpelledNote

__all__ = ["Action", "Direction", "Key", "Layout", "Reed", "Side"]


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


@dataclass(frozen=True, slots=True, order=True)
class Reed:
    """The address of one reed: the key's identifier and the direction that sounds it."""

    key: str
    direction: Direction


@dataclass(frozen=True, slots=True)
class Key:
    """One button and its two notes; ``draw`` is None on a single-action instrument.

    ``key`` is the layout's own identifier, such as ``L2.3``: side, row, position.
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
class Layout:
    """The keys of one kind of instrument, with the evidence it rests on.

    ``layout`` is the slug by which commands name it; ``evidence`` says where the
    table comes from and how sure it is.
    """

    layout: str
    title: str
    action: Action
    keys: tuple[Key, ...]
    evidence: str

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
