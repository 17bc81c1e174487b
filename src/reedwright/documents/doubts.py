"""What was not heard and what is in doubt, as (where, what) for the foot of a sheet."""

from collections.abc import Iterable

from reedwright.instrument.target import ReedOffset

__all__ = ["as_sentence", "doubt_notes", "reed_in_words"]


def reed_in_words(offset: ReedOffset) -> str:
    """Return a reed as a sheet names it: ``C♯4 press (L1.1)``."""
    target = offset.target
    return f"{target.note.printed} {target.direction} ({target.key})"


def doubt_notes(offsets: Iterable[ReedOffset]) -> tuple[tuple[str, str], ...]:
    """Return a note for every reed that was not heard or is in doubt, in their order."""
    notes = []
    for offset in offsets:
        if offset.frequency_hz is None:
            notes.append((reed_in_words(offset), "was not heard."))
        if offset.doubt is not None:
            notes.append((reed_in_words(offset), as_sentence(offset.doubt)))
    return tuple(notes)


def as_sentence(words: str) -> str:
    """Return the words closed with a full stop."""
    stripped = words.strip()
    return stripped if stripped.endswith((".", "?", "!")) else stripped + "."
