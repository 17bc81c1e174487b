"""An invented instrument: what each of its reeds does, faults and all.

Nothing here was measured. The numbers are drawn so that every paper of the
demonstration has something to show; no conclusion about real instruments follows.
"""

import math
import random
from dataclasses import dataclass, replace

from reedwright.instrument.layout import Direction, Layout, Reed
from reedwright.instrument.note import SpelledNote

__all__ = ["InventedInstrument", "InventedReed", "invent_instrument"]

#: The invented instrument's own pitch, hertz: an old high pitch, not 440.
DEMO_A4_HZ = 452.0


@dataclass(frozen=True, slots=True)
class InventedReed:
    """One reed: what it sounds and how; ``fault`` is None or what was invented.

    ``level`` is the amplitude re full scale, 0 for a reed that does not speak;
    ``leak_hz`` is the pitch of the opposite reed leaking through, if any.
    """

    reed: Reed
    note: SpelledNote
    frequency_hz: float
    level: float
    rise_s: float
    breath: float
    leak_hz: float | None
    fault: str | None


@dataclass(frozen=True, slots=True)
class InventedInstrument:
    """The reeds of the invented instrument, in the order of its layout."""

    layout: Layout
    reeds: tuple[InventedReed, ...]


def invent_instrument(layout: Layout, *, seed: int) -> InventedInstrument:
    """Return an instrument of that layout with an old pitch, scatter, and a few faults."""
    draw = random.Random(seed)  # noqa: S311 - invented data, no secret
    reeds = [_sound_reed(layout, reed, draw) for reed in layout.reeds()]
    places = draw.sample(range(len(reeds)), k=min(8, len(reeds)))
    for place, make in zip(places, _FAULTS, strict=False):
        reeds[place] = make(reeds[place], reeds)
    return InventedInstrument(layout, tuple(reeds))


def _sound_reed(layout: Layout, reed: Reed, draw: random.Random) -> InventedReed:
    note = layout.note(reed)
    scatter_cents = draw.gauss(0.0, 5.0)
    frequency_hz = DEMO_A4_HZ * math.exp2((note.semitone - 69) / 12 + scatter_cents / 1200)
    return InventedReed(
        reed=reed,
        note=note,
        frequency_hz=frequency_hz,
        level=0.12 * math.exp(draw.gauss(0.0, 0.2)),
        # Low reeds are slow by nature; common practice, no source.
        rise_s=0.02 + 8.0 / frequency_hz * draw.uniform(0.7, 1.3),
        breath=0.003 * draw.uniform(0.5, 2.0),
        leak_hz=None,
        fault=None,
    )


def _moved(reed: InventedReed, cents: float, fault: str) -> InventedReed:
    return replace(reed, frequency_hz=reed.frequency_hz * math.exp2(cents / 1200), fault=fault)


def _silent(reed: InventedReed, _: list[InventedReed]) -> InventedReed:
    return replace(reed, level=0.0, fault="does not speak")


def _flat(reed: InventedReed, _: list[InventedReed]) -> InventedReed:
    return _moved(reed, -27.0, "far flat")


def _sharp(reed: InventedReed, _: list[InventedReed]) -> InventedReed:
    return _moved(reed, +19.0, "far sharp")


def _weak(reed: InventedReed, _: list[InventedReed]) -> InventedReed:
    return replace(reed, level=reed.level * 0.08, fault="weak")


def _slow(reed: InventedReed, _: list[InventedReed]) -> InventedReed:
    return replace(reed, rise_s=0.45, fault="slow to speak")


def _airy(reed: InventedReed, _: list[InventedReed]) -> InventedReed:
    return replace(reed, breath=reed.breath * 12.0, fault="airy")


def _leaking(reed: InventedReed, reeds: list[InventedReed]) -> InventedReed:
    """Let the opposite reed of the key sound along, as a valve that does not seal does."""
    opposite = Direction.DRAW if reed.reed.direction is Direction.PRESS else Direction.PRESS
    other = next((r for r in reeds if r.reed == Reed(reed.reed.key, opposite)), None)
    if other is None:
        return replace(reed, fault=None)
    return replace(reed, leak_hz=other.frequency_hz, fault="the opposite valve leaks")


_FAULTS = (_silent, _flat, _sharp, _weak, _slow, _airy, _leaking, _leaking)
