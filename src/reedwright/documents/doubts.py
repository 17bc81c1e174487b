"""What was not heard and what is in doubt, as (where, what) for the foot of a sheet."""

from collections.abc import Iterable

from reedwright.instrument.target import ReedOffset

__all__ = ["as_sentence", "doubt_notes", "reed_in_words"]


def reed_in_words(offset: ReedOffset) -> str:
    """Return a reed as a sheet names it: ``C♯4 press (L1.1)``."""
    target = offset.target
    return f"{target.note.printed} {target.direction} ({target.key})"


def doubt_notes(offsets: Iterable[ReedOffset]) -> tuple[tuple[str, str], ...]:
    """Return one note of all reeds that were not heard, and one for each reed in doubt."""
    known = tuple(offsets)
    silent = [reed_in_words(offset) for offset in known if offset.frequency_hz is None]
    notes = [("Not heard:", as_sentence(", ".join(silent)))] if silent else []
    notes += [
        (f"{reed_in_words(offset)}:", as_sentence(offset.doubt))
        for offset in known
        if offset.doubt is not None
    ]
    return tuple(notes)


def as_sentence(words: str) -> str:
    """Return the words closed with a full stop."""
    stripped = words.strip()
    return stripped if stripped.endswith((".", "?", "!")) else stripped + "."
