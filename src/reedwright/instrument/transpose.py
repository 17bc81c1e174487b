"""The same instrument in other keys: notes moved along the chain of fifths.

A transposition is a step along the chain (the spelling) and a number of
semitones (the sound); the two must agree. Results are spelled with the fourteen
names of ``CONCERTINA_CHAIN``, so a name that falls off the chain comes back as
its enharmonic twin: Db is written C#, A# is written Bb.

Home keys are the keys of an Anglo's two home rows, the upper a fifth above the
lower, written ``G/D``. By common practice (no source) G/D, Ab/Eb and Bb/F lie
below C/G and D/A lies above it: the nearest transposition is taken, and one
octave more or less can be asked for.
"""

from dataclasses import replace
from itertools import pairwise

from reedwright.errors import InputError
from reedwright.instrument.layout import Layout
from reedwright.instrument.note import CONCERTINA_CHAIN, SpelledNote

__all__ = ["HOME_KEYS", "in_home_keys", "on_concertina_chain", "transpose_layout"]

_LOWEST = SpelledNote.parse(f"{CONCERTINA_CHAIN[0]}4").fifths
_HIGHEST = _LOWEST + len(CONCERTINA_CHAIN) - 1

#: Every pair of home keys that the fourteen names can write, along the chain.
HOME_KEYS = tuple(f"{lower}/{upper}" for lower, upper in pairwise(CONCERTINA_CHAIN))


def on_concertina_chain(note: SpelledNote) -> SpelledNote:
    """Return the note of the same semitone spelled with one of the fourteen names.

    A note that has one of those names already keeps it: G# and Ab both stay.
    """
    return _on_chain(note.fifths, note.semitone)


def transpose_layout(layout: Layout, *, fifths: int, semitones: int) -> Layout:
    """Return the layout with every note moved, spelled with the fourteen names.

    Parameters
    ----------
    fifths : int
        Steps along the chain of fifths, > 0 towards the sharps.
    semitones : int
        The same interval in semitones, > 0 upwards; it must sound the note that
        ``fifths`` spells: ``7 * fifths - semitones`` is a multiple of 12.

    Raises
    ------
    InputError
        If the two do not name one interval.
    """
    if (7 * fifths - semitones) % 12:
        raise InputError(
            f"a transposition by {fifths} fifths must sound {7 * fifths % 12} semitones give or "
            f"take octaves, got {semitones}; correct one of the two"
        )

    def moved(note: SpelledNote | None) -> SpelledNote | None:
        if note is None:
            return None
        return _on_chain(note.fifths + fifths, note.semitone + semitones)

    return replace(
        layout,
        keys=tuple(
            replace(key, press=moved(key.press), draw=moved(key.draw)) for key in layout.keys
        ),
    )


def in_home_keys(layout: Layout, home_keys: str, *, octaves: int = 0) -> Layout:
    """Return an Anglo layout with other home keys, its slug and title saying so.

    Parameters
    ----------
    home_keys : str
        Such as ``G/D``: one of ``HOME_KEYS``.
    octaves : int
        Added to the nearest transposition, which is at most six semitones away
        and downwards when both ways are as far.

    Raises
    ------
    InputError
        If the layout has no home keys, or the pair is not one of ``HOME_KEYS``.
    """
    if layout.home_keys is None:
        raise InputError(
            f"only a layout with home keys can be put in others, {layout.layout!r} has none; "
            "leave the home keys out"
        )
    if home_keys not in HOME_KEYS:
        raise InputError(
            "home keys are two names a fifth apart, the lower first, "
            f"got {home_keys!r}; write one of {', '.join(HOME_KEYS)}"
        )
    if home_keys == layout.home_keys and octaves == 0:
        return layout
    fifths = _place(home_keys) - _place(layout.home_keys)
    semitones = (7 * fifths + 6) % 12 - 6 + 12 * octaves
    letters = home_keys.lower().replace("/", "").replace("#", "s")
    height = {-1: "-low", 0: "", 1: "-high"}.get(octaves, f"-{octaves:+d}")
    return replace(
        transpose_layout(layout, fifths=fifths, semitones=semitones),
        layout=f"{layout.layout}-{letters}{height}",
        title=f"{layout.title.removesuffix(f', {layout.home_keys}')}, {home_keys}",
        home_keys=home_keys,
        evidence=f"{layout.evidence} Transposed from {layout.home_keys} to {home_keys}.",
    )


def _on_chain(fifths: int, semitone: int) -> SpelledNote:
    """Return the note moved by twelve fifths until its name is one of the fourteen."""
    while fifths > _HIGHEST:
        fifths -= 12
    while fifths < _LOWEST:
        fifths += 12
    return SpelledNote.from_fifths(fifths, semitone)


def _place(home_keys: str) -> int:
    """Return the place of the lower home key on the chain of fifths."""
    return SpelledNote.parse(f"{home_keys.partition('/')[0]}4").fifths
