"""From a recording to tones: each note found, cut out and heard, wherever it came from."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from reedwright.errors import RecordingError
from reedwright.instrument.reading import Tone
from reedwright.listening.doubt import clock_corrected
from reedwright.listening.model import Segment, Sound, Spread
from reedwright.listening.segments import find_segments
from reedwright.listening.tone import hear_tone

__all__ = ["Piece", "cut_pieces", "hear_piece", "hear_segments", "listen"]

#: What is steady and harmonic enough to be heard as a tone (``Segment.salience``).
LEAST_SALIENCE = 0.35
#: A note by itself, with no order to confirm it, must be more like a reed; a syllable is short.
_LEAST_SALIENCE_ALONE, _LEAST_SALIENCE_SHORT, _SHORT_S = 0.5, 0.65, 0.30
#: Cut out with a note: the click before it, the noise around it.
_BEFORE_S, _AFTER_S = 0.4, 0.3
#: A longer note is heard in its middle only, so that memory stays bounded.
_MOST_SAMPLES = 4_000_000
#: Share of the work that finding the notes takes.
_FINDING = 0.5


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """The samples of one note and its surroundings, for one process to work on."""

    samples: NDArray[np.float32]
    sample_rate_hz: float
    start_s: float
    segment: Segment
    caution: str | None


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
    segments = [
        segment
        for segment in found_segments(sound, progress=progress)
        if segment.salience >= _least_salience(segment.end_s - segment.start_s)
    ]
    heard = hear_segments(sound, segments, spread=spread, progress=progress)
    return tuple(clock_corrected(tone, clock_ppm) for _, tone in heard)


def _least_salience(length_s: float) -> float:
    return _LEAST_SALIENCE_SHORT if length_s < _SHORT_S else _LEAST_SALIENCE_ALONE


def found_segments(
    sound: Sound, *, progress: Callable[[float], None] | None = None
) -> tuple[Segment, ...]:
    """Return the stretches of a recording that may be notes.

    Raises
    ------
    RecordingError
        If the recording is empty or silent.
    """
    if sound.frames == 0:
        raise RecordingError("a recording must hold sound, this one is empty; record it again")
    segments = find_segments(sound)
    if not segments and _is_silent(sound):
        raise RecordingError(
            "a recording must hold sound, this one is silent from end to end; check the "
            "microphone and its level, then record it again"
        )
    if progress is not None:
        progress(_FINDING)
    return tuple(segment for segment in segments if segment.salience >= LEAST_SALIENCE)


def hear_segments(
    sound: Sound,
    segments: Sequence[Segment],
    *,
    spread: Spread,
    progress: Callable[[float], None] | None = None,
) -> tuple[tuple[Segment, Tone], ...]:
    """Return each segment with the tone heard in it; those with no single pitch are left out."""
    heard: list[tuple[Segment, Tone]] = []
    tones = spread.map(hear_piece, cut_pieces(sound, segments))
    for count, (segment, tone) in enumerate(zip(segments, tones, strict=True), start=1):
        if tone is not None:
            heard.append((segment, tone))
        if progress is not None:
            progress(_FINDING + (1.0 - _FINDING) * count / len(segments))
    return tuple(heard)


def cut_pieces(sound: Sound, segments: Sequence[Segment]) -> Iterator[Piece]:
    """Yield the piece of each segment, read when it is asked for."""
    rate_hz = sound.sample_rate_hz
    for given in segments:
        segment, caution = given, None
        longest_s = _MOST_SAMPLES / rate_hz
        if given.end_s - given.start_s > longest_s:
            middle_s = 0.5 * (given.start_s + given.end_s)
            segment = replace(
                given, start_s=middle_s - 0.5 * longest_s, end_s=middle_s + 0.5 * longest_s
            )
            caution = (
                f"The note is {given.end_s - given.start_s:.0f} s long; its middle "
                f"{longest_s:.0f} s were measured."
            )
        start = max(0, round((segment.start_s - _BEFORE_S) * rate_hz))
        stop = min(sound.frames, round((segment.end_s + _AFTER_S) * rate_hz))
        yield Piece(sound.read(start, stop), rate_hz, start / rate_hz, segment, caution)


def hear_piece(piece: Piece) -> Tone | None:
    """Return the tone in a piece, or None if no single pitch can be heard in it."""
    try:
        tone = hear_tone(
            piece.samples,
            piece.sample_rate_hz,
            piece_start_s=piece.start_s,
            segment=piece.segment,
        )
    except RecordingError:
        return None
    if piece.caution is not None:
        tone = replace(tone, cautions=(*tone.cautions, piece.caution))
    return tone


def _is_silent(sound: Sound) -> bool:
    """Whether all samples are the same."""
    block = 1 << 20
    first = float(sound.read(0, 1)[0])
    return all(
        bool(np.all(sound.read(start, min(start + block, sound.frames)) == first))
        for start in range(0, sound.frames, block)
    )
