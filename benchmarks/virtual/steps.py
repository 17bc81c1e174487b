"""What is played in a survey, in turn: every reed of an instrument and its pitch."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from reedwright.instrument.layout import Direction, Key, Layout, Reed, Side
from reedwright.instrument.note import SpelledNote

__all__ = ["Playing", "Step", "played_reeds", "survey_steps"]

#: A fifth of quarter-comma meantone, cents: the fourth root of 5 (four fifths make 5/1).
_MEANTONE_FIFTH_CENTS = 300.0 * float(np.log2(5.0))


class Playing(StrEnum):
    """The order of playing, made here apart from the program so that one can check the other."""

    PRESS_THEN_DRAW = "press-then-draw"
    ALL_PRESS_THEN_ALL_DRAW = "all-press-then-all-draw"
    BY_ROW = "by-row"


@dataclass(frozen=True, slots=True)
class Step:
    """One reed to be played, its spelled note and its settled frequency."""

    key: str
    direction: Direction
    note: SpelledNote
    frequency_hz: float


def _rising(key: Key) -> tuple[int, int, str]:
    """Sort by sounding pitch of the press note, of an enharmonic pair the sharp before the flat."""
    note = key.press if key.press is not None else key.draw
    assert note is not None, f"key {key.key} has no reed"
    return note.semitone, -note.fifths, key.key


def played_reeds(layout: Layout, playing: Playing) -> tuple[Reed, ...]:
    """Return every reed of a layout in the order of playing."""
    keys = [key for key in layout.keys if key.press is not None or key.draw is not None]
    if playing is Playing.BY_ROW:
        keys.sort(key=lambda key: (key.side is Side.RIGHT, key.row, key.position))
    else:
        keys.sort(key=_rising)
    turns = (
        [(key, direction) for direction in Direction for key in keys]
        if playing is Playing.ALL_PRESS_THEN_ALL_DRAW
        else [(key, direction) for key in keys for direction in Direction]
    )
    return tuple(
        Reed(key.key, direction) for key, direction in turns if key.note(direction) is not None
    )


def survey_steps(
    rng: np.random.Generator,
    layout: Layout,
    *,
    playing: Playing = Playing.PRESS_THEN_DRAW,
    a4_hz: float = 452.0,
    spread_cents: float = 25.0,
    meantone: bool = False,
) -> tuple[Step, ...]:
    """Return the steps of a survey of an invented instrument of that layout.

    Every reed is off by its own amount, evenly within ``spread_cents`` either way,
    from equal temperament or from quarter-comma meantone, at ``a4_hz``.
    """
    steps = []
    for reed in played_reeds(layout, playing):
        note = layout.note(reed)
        cents = 100.0 * (note.semitone - 69)
        if meantone:
            away = _MEANTONE_FIFTH_CENTS * (note.fifths - 3)
            cents = away + 1200.0 * round((cents - away) / 1200.0)
        cents += rng.uniform(-spread_cents, spread_cents)
        frequency_hz = float(a4_hz * 2.0 ** (cents / 1200.0))
        steps.append(Step(reed.key, reed.direction, note, frequency_hz))
    return tuple(steps)
