"""From a recording to tones: each note found, cut out and heard, wherever it came from."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from reedwright.errors import RecordingError
from reedwright.instrument.reading import Tone
from reedwright.listening.doubt import clock_corrected
from reedwright.listening.model import Segment, Sound, Spread
from reedwright.listening.segments import (
    Stretch,
    steady_stretches,
    stretch_notes,
    without_hum,
)
from reedwright.listening.tone import hear_tone

__all__ = ["Piece", "hear_piece", "heard_notes", "listen"]

#: What is steady and harmonic enough to be heard as a tone (``Segment.salience``).
_LEAST_SALIENCE = 0.35
#: A note by itself, with no order to confirm it, must be more like a reed; a syllable is short.
_LEAST_SALIENCE_ALONE, _LEAST_SALIENCE_SHORT, _SHORT_S = 0.5, 0.65, 0.30
#: Cut out with a note: the click before it, the noise around it.
_BEFORE_S, _AFTER_S = 0.4, 0.3
#: A longer note is heard in its middle only, so that memory stays bounded.
_MOST_SAMPLES = 4_000_000
#: Share of the work that is done when the steady stretches are found.
_FOUND = 0.3


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """A stretch of a recording, cut out with its surroundings for one process to work on.

    It is a ``Sound`` that holds no samples but its own: frames are counted from
    the start of the recording, ``first`` is the first it holds. The notes in it
    are still to be found unless ``segments`` gives them.
    """

    samples: NDArray[np.float32]
    sample_rate_hz: float
    first: int
    stretch: Stretch
    segments: tuple[Segment, ...] | None = None
    caution: str | None = None

    @property
    def frames(self) -> int:
        """End of the piece, in samples from the start of the recording."""
        return self.first + self.samples.size

    def read(self, start: int, stop: int) -> NDArray[np.float32]:
        """Return samples of the recording; silence before the piece begins."""
        inside = self.samples[max(0, start - self.first) : max(0, stop - self.first)]
        return np.pad(inside, (min(max(0, self.first - start), stop - start), 0))


def listen(
    sound: Sound,
    *,
    spread: Spread,
    clock_ppm: float = 0.0,
    progress: Callable[[float], None] | None = None,
) -> tuple[Tone, ...]:
    """Return every single note of a recording, in order of time, with no layout.

    Parameters
    ----------
    sound
        From half a second with one note to an hour.
    spread
        Over which the notes are heard, one piece of the sound each.
    clock_ppm
        How far the recorder's clock runs fast: frequencies are multiplied by
        1 + clock_ppm 1e-6.
    progress
        Called with the share done, 0 to 1.

    Raises
    ------
    RecordingError
        If the recording is empty or silent.
    """
    return tuple(
        clock_corrected(tone, clock_ppm)
        for segment, tone in heard_notes(sound, spread=spread, progress=progress)
        if segment.salience >= _least_salience(segment.end_s - segment.start_s)
    )


def _least_salience(length_s: float) -> float:
    return _LEAST_SALIENCE_SHORT if length_s < _SHORT_S else _LEAST_SALIENCE_ALONE


def heard_notes(
    sound: Sound,
    *,
    spread: Spread,
    progress: Callable[[float], None] | None = None,
) -> tuple[tuple[Segment, Tone], ...]:
    """Return whatever may be a note, with the tone heard in it, in order of time.

    Raises
    ------
    RecordingError
        If the recording is empty or silent.
    """
    if sound.frames == 0:
        raise RecordingError("a recording must hold sound, this one is empty; record it again")
    heard: list[tuple[Segment, Tone]] = []
    for found in spread.map(hear_piece, _pieces(sound)):
        heard += found
        if progress is not None and found:
            done = found[-1][0].end_s * sound.sample_rate_hz / sound.frames
            progress(_FOUND + (1.0 - _FOUND) * min(1.0, done))
    if not heard and _is_silent(sound):
        raise RecordingError(
            "a recording must hold sound, this one is silent from end to end; check the "
            "microphone and its level, then record it again"
        )
    tones = dict(heard)
    return tuple((segment, tones[segment]) for segment in without_hum(tones))


def _pieces(sound: Sound) -> Iterator[Piece]:
    """Yield the pieces of a recording, each read when it is asked for."""
    for stretch in steady_stretches(sound):
        if (stretch.end_s - stretch.start_s) * sound.sample_rate_hz <= _MOST_SAMPLES:
            yield _cut(sound, stretch.start_s, stretch.end_s, stretch)
            continue
        for segment in stretch_notes(sound, stretch):
            yield _long_note(sound, segment, stretch)


def _cut(sound: Sound, start_s: float, end_s: float, stretch: Stretch) -> Piece:
    """Return the piece between two times with its surroundings."""
    first = max(0, round((start_s - _BEFORE_S) * sound.sample_rate_hz))
    stop = min(sound.frames, round((end_s + _AFTER_S) * sound.sample_rate_hz))
    return Piece(sound.read(first, stop), sound.sample_rate_hz, first, stretch)


def _long_note(sound: Sound, segment: Segment, stretch: Stretch) -> Piece:
    """Return the piece of a note from a stretch too long to be cut out whole."""
    longest_s = _MOST_SAMPLES / sound.sample_rate_hz
    length_s = segment.end_s - segment.start_s
    if length_s <= longest_s:
        piece = _cut(sound, segment.start_s, segment.end_s, stretch)
        return replace(piece, segments=(segment,))
    middle_s = 0.5 * (segment.start_s + segment.end_s)
    start_s, end_s = middle_s - 0.5 * longest_s, middle_s + 0.5 * longest_s
    return replace(
        _cut(sound, start_s, end_s, stretch),
        segments=(replace(segment, start_s=start_s, end_s=end_s),),
        caution=f"The note is {length_s:.0f} s long; {longest_s:.0f} s in its middle were heard.",
    )


def hear_piece(piece: Piece) -> tuple[tuple[Segment, Tone], ...]:
    """Return the notes in a piece with the tones heard in them, where there is a single pitch."""
    segments = piece.segments
    if segments is None:
        segments = tuple(stretch_notes(piece, piece.stretch))
    heard = []
    for segment in segments:
        if segment.salience < _LEAST_SALIENCE:
            continue
        first = max(piece.first, round((segment.start_s - _BEFORE_S) * piece.sample_rate_hz))
        stop = min(piece.frames, round((segment.end_s + _AFTER_S) * piece.sample_rate_hz))
        try:
            tone = hear_tone(
                piece.read(first, stop),
                piece.sample_rate_hz,
                piece_start_s=first / piece.sample_rate_hz,
                segment=segment,
            )
        except RecordingError:
            continue
        if piece.caution is not None:
            tone = replace(tone, cautions=(*tone.cautions, piece.caution))
        heard.append((segment, tone))
    return tuple(heard)


def _is_silent(sound: Sound) -> bool:
    """Whether all samples are the same."""
    block = 1 << 20
    first = float(sound.read(0, 1)[0])
    return all(
        bool(np.all(sound.read(start, min(start + block, sound.frames)) == first))
        for start in range(0, sound.frames, block)
    )
