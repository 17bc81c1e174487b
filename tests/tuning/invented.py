"""Invented instruments for the tests of tuning: reeds of a layout in a known tuning."""

from collections.abc import Callable

import numpy as np

from reedwright.catalogue import load_layout
from reedwright.catalogue.tunings import read_tunings
from reedwright.instrument.layout import Layout, Reed
from reedwright.tuning import AsFound, HeardReed, Scheme, as_found, target_frequency_hz
from reedwright.units import ratio_from_cents

TUNINGS = read_tunings()
TREBLE = load_layout("english-treble-48")


def tuned(
    a4_hz: float,
    temperament: str,
    off_cents: Callable[[Reed], float | None] = lambda _: 0.0,
    *,
    layout: Layout = TREBLE,
) -> list[HeardReed]:
    """Return the reeds of an instrument in a tuning, each off by what a function says.

    None is a reed that was not heard.
    """
    scheme = Scheme(a4_hz, TUNINGS.temperament(temperament))
    heard = []
    for reed in layout.reeds():
        off = off_cents(reed)
        if off is not None:
            note = layout.note(reed)
            frequency_hz = target_frequency_hz(note, scheme) * ratio_from_cents(off)
            heard.append(HeardReed(reed.key, note, reed.direction, frequency_hz, 0.2))
    return heard


def scattered(seed: int, cents: float) -> Callable[[Reed], float]:
    """Return a function that scatters reeds normally."""
    rng = np.random.default_rng(seed)
    return lambda _: float(rng.normal(0.0, cents))


def found(readings: list[HeardReed]) -> AsFound:
    """Return the tuning as found, with the shipped tunings to name."""
    return as_found(readings, temperaments=TUNINGS.temperaments, standards=TUNINGS.pitch_standards)
