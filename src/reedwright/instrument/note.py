"""Spelled notes: G# and Ab are two notes, and the spelling decides the pitch.

Conventions: octave numbers of scientific pitch notation (C4 = middle C, A4 the
pitch reference), ``semitone`` counts equal semitones with C4 = 60, and
``fifths`` is the place on the chain of fifths with C = 0 (..., Ab -4, Eb -3,
Bb -2, F -1, C 0, G 1, ..., G# 8, D# 9).
"""

import re
from dataclasses import dataclass

from reedwright.errors import InputError

__all__ = ["CONCERTINA_CHAIN", "SpelledNote"]

_SEMITONE = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_FIFTHS = {"F": -1, "C": 0, "G": 1, "D": 2, "A": 3, "E": 4, "B": 5}
_PATTERN = re.compile(r"([A-G])(##|#|bb|b|)(-?\d)")
_SIGN = {"": 0, "#": 1, "##": 2, "b": -1, "bb": -2}
_ASCII = {value: sign for sign, value in _SIGN.items()}
_LETTER_AT = {place: letter for letter, place in _FIFTHS.items()}
_PRINTED = {-2: "𝄫", -1: "♭", 0: "", 1: "♯", 2: "𝄪"}

#: The fourteen names an English concertina tells apart, along the chain of fifths.
CONCERTINA_CHAIN = ("Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#", "G#", "D#")


@dataclass(frozen=True, slots=True)
class SpelledNote:
    """A note by letter, alteration (-2 double flat ... +2 double sharp) and octave."""

    letter: str
    alteration: int
    octave: int

    def __post_init__(self) -> None:
        if self.letter not in _SEMITONE or self.alteration not in _ASCII:
            raise InputError(
                "a note needs a letter A to G and an alteration from -2 to 2, got "
                f"{self.letter!r} and {self.alteration}; write it like G#4 or Ab4"
            )

    @classmethod
    def parse(cls, text: str) -> "SpelledNote":
        """Return the note written like ``G#4``, ``Ab4`` or ``C4``.

        Raises
        ------
        InputError
            If the text is not a letter A to G, an optional #, ##, b or bb, and an octave.
        """
        written = text.strip().replace("♯", "#").replace("♭", "b")
        match = _PATTERN.fullmatch(written)
        if match is None:
            raise InputError(
                "a note is a capital letter A to G, an optional # or b, and an octave, "
                f"got {text!r}; write it like G#4 or Ab4"
            )
        letter, sign, octave = match.groups()
        return cls(letter, _SIGN[sign], int(octave))

    @classmethod
    def from_fifths(cls, fifths: int, semitone: int) -> "SpelledNote":
        """Return the note at a place on the chain of fifths that sounds a semitone.

        Parameters
        ----------
        fifths : int, -15 (Fbb) to 19 (B##)
            Place on the chain of fifths, C = 0: the spelling.
        semitone : int
            Equal semitone, C4 = 60: the octave follows from it.

        Raises
        ------
        InputError
            If the spelling needs more than two signs, or does not sound that semitone.
        """
        alteration, place = divmod(fifths + 1, 7)
        letter = _LETTER_AT[place - 1]
        octave, remainder = divmod(semitone - alteration - _SEMITONE[letter], 12)
        if remainder:
            raise InputError(
                f"a spelling must sound the semitone it stands for, place {fifths} on the chain "
                f"of fifths does not sound semitone {semitone}; give a semitone of that note"
            )
        return cls(letter, alteration, octave - 1)

    @property
    def pitch_class_name(self) -> str:
        """The name without octave, ASCII: ``G#``."""
        return self.letter + _ASCII[self.alteration]

    @property
    def name(self) -> str:
        """The name with octave, ASCII: ``G#4``."""
        return f"{self.pitch_class_name}{self.octave}"

    @property
    def printed(self) -> str:
        """The name as a musician writes it: ``G♯4``."""
        return f"{self.letter}{_PRINTED[self.alteration]}{self.octave}"

    @property
    def semitone(self) -> int:
        """Equal semitones, C4 = 60, A4 = 69."""
        return 12 * (self.octave + 1) + _SEMITONE[self.letter] + self.alteration

    @property
    def fifths(self) -> int:
        """Place on the chain of fifths, C = 0."""
        return _FIFTHS[self.letter] + 7 * self.alteration

    def __str__(self) -> str:
        return self.name
