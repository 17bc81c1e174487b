"""Invented survey recordings, with every note and every disturbance known exactly."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from benchmarks.virtual.disturbance import knock, speech
from benchmarks.virtual.room import (
    DIRECT_TO_REVERBERANT_DB,
    REVERBERATION_S,
    button_click,
    in_room,
    mains_hum,
    noise,
    room_response,
)
from benchmarks.virtual.steps import Step
from benchmarks.virtual.voice import PitchCourse, make_course, make_voice
from reedwright.instrument.layout import Direction, Reed
from reedwright.instrument.note import SpelledNote

__all__ = ["Playback", "TrueEvent", "TrueNote", "VirtualRecording", "make_recording"]

_RING_S = 0.5
_BLOCK = 1 << 20
#: A speaking reed is drawn within this of the nominal level, decibels; a weak one much below.
_LEVEL_DB = (-5.0, 3.0)
_WEAK_DB = (-32.0, -24.0)


class Playback(StrEnum):
    """Why a note sounds: in its turn, once more, or broken off and begun again."""

    TURN = "turn"
    REPEAT = "repeat"
    FALSE_START = "false start"


@dataclass(frozen=True, slots=True)
class TrueNote:
    """One sounding note: whose, when (seconds from the start of the recording), and its pitch.

    ``end_s`` is when the air stops; the ring-down and the room follow.
    ``level_db`` is re the nominal level, whose power the noise is measured against.
    """

    key: str
    direction: Direction
    note: SpelledNote
    start_s: float
    end_s: float
    level_db: float
    playback: Playback
    course: PitchCourse

    def mean_frequency_hz(self, from_s: float, to_s: float) -> float:
        """Return the exact mean frequency between two times of the recording."""
        return self.course.mean_frequency_hz(from_s - self.start_s, to_s - self.start_s)


@dataclass(frozen=True, slots=True)
class TrueEvent:
    """A disturbance: ``speech`` or ``knock``, and when."""

    what: str
    start_s: float
    end_s: float


@dataclass(frozen=True, slots=True)
class VirtualRecording:
    """The samples, full scale 1, and all that happens in them, in order of time.

    ``dead`` are the reeds that were played but stayed silent; ``weak`` those that
    sound 24 to 32 dB below the rest.
    """

    samples: NDArray[np.float32]
    sample_rate_hz: float
    notes: tuple[TrueNote, ...]
    events: tuple[TrueEvent, ...]
    dead: tuple[Reed, ...]
    weak: tuple[Reed, ...]

    @property
    def frames(self) -> int:
        """Length in samples."""
        return self.samples.size

    def read(self, start: int, stop: int) -> NDArray[np.float32]:
        """Return the samples from ``start`` up to ``stop``: a ``Sound`` as listening wants it."""
        return self.samples[start:stop]


@dataclass(frozen=True, slots=True)
class _Placed:
    """A sound to be mixed in at a time."""

    start_s: float
    gain_db: float
    sound: NDArray[np.float64]


def _scheduled(
    rng: np.random.Generator,
    steps: Sequence[Step],
    *,
    note_s: tuple[float, float],
    dead: frozenset[int],
    weak: frozenset[int],
    repeats: int,
    false_starts: int,
    events: int,
) -> tuple[list[TrueNote], list[TrueEvent], float]:
    """Return notes and disturbances in time, and when all is over.

    From press to draw of one key the bellows only turn: gaps around 0.2 s. From
    key to key the hand moves: around 0.5 s. The two overlap, so a gap is a hint
    and no proof. A dead reed costs the player 0.5 to 2 s of waiting.
    """
    living = [index for index in range(len(steps)) if index not in dead]
    doubled = set(rng.choice(living, min(repeats, len(living)), replace=False).tolist())
    stumbled = set(rng.choice(living, min(false_starts, len(living)), replace=False).tolist())
    disturbed = rng.integers(0, len(steps), events).tolist()
    notes: list[TrueNote] = []
    happened: list[TrueEvent] = []
    now_s = float(rng.uniform(0.8, 2.0))
    for index, step in enumerate(steps):
        for _ in range(disturbed.count(index)):
            if rng.uniform() < 0.5:
                length_s = float(rng.uniform(0.6, 2.5))
                happened.append(TrueEvent("speech", now_s, now_s + length_s))
                now_s += length_s + float(rng.uniform(0.2, 0.6))
            else:
                # A knock may fall into the silence or onto the note that follows.
                at_s = now_s + float(rng.uniform(-0.1, 1.0))
                happened.append(TrueEvent("knock", at_s, at_s + 0.3))
                now_s += float(rng.uniform(0.1, 0.4))
        if index in dead:
            now_s += float(rng.uniform(0.5, 2.0))
        else:
            turns = [Playback.FALSE_START] if index in stumbled else []
            turns += [Playback.TURN] + ([Playback.REPEAT] if index in doubled else [])
            level_db = float(rng.uniform(*(_WEAK_DB if index in weak else _LEVEL_DB)))
            for playback in turns:
                is_false = playback is Playback.FALSE_START
                length_s = float(rng.uniform(0.12, 0.40) if is_false else rng.uniform(*note_s))
                course = make_course(
                    rng,
                    step.frequency_hz,
                    drift_cents=float(rng.uniform(0.0, 4.0)),
                    onset_cents=float(rng.uniform(-15.0, 15.0)),
                )
                notes.append(
                    TrueNote(
                        key=step.key,
                        direction=step.direction,
                        note=step.note,
                        start_s=now_s,
                        end_s=now_s + length_s,
                        level_db=level_db + float(rng.uniform(-1.0, 1.0)),
                        playback=playback,
                        course=course,
                    )
                )
                now_s += length_s + float(rng.uniform(0.15, 0.6)) * (playback is not turns[-1])
        is_turning = index + 1 < len(steps) and steps[index + 1].key == step.key
        middle_s, most_s = (0.20, 0.6) if is_turning else (0.50, 2.0)
        gap_s = middle_s * float(np.exp(rng.normal(0.0, 0.4)))
        now_s += min(max(gap_s, 0.08), most_s)
    return notes, happened, now_s + 1.5


def _sounded(
    rng: np.random.Generator, note: TrueNote, *, sample_rate_hz: float
) -> NDArray[np.float64]:
    """Return the note from its start to the end of its ring-down, unit power when settled."""
    voice = make_voice(rng, note.course, sample_rate_hz=sample_rate_hz, dipped=rng.uniform() < 0.4)
    length_s = note.end_s - note.start_s
    time_s = np.arange(round((length_s + _RING_S) * sample_rate_hz)) / sample_rate_hz
    grown = -np.expm1(-((time_s / rng.uniform(0.015, 0.090)) ** 2))
    swell_db = rng.uniform(0.0, 2.5) * np.sin(
        2.0 * np.pi * rng.uniform(0.1, 0.5) * time_s + rng.uniform(0.0, 6.283)
    )
    dying = np.exp(-np.maximum(time_s - length_s, 0.0) / rng.uniform(0.015, 0.040))
    return voice.sounded(time_s) * grown * dying * 10.0 ** (swell_db / 20.0)


def make_recording(
    rng: np.random.Generator,
    steps: Sequence[Step],
    *,
    sample_rate_hz: float = 44_100.0,
    snr_db: float = 40.0,
    note_s: tuple[float, float] = (2.0, 4.0),
    dead: int | Sequence[int] = 5,
    weak: int | Sequence[int] = 6,
    repeats: int = 2,
    false_starts: int = 2,
    events: int = 14,
    level_dbfs: float = -20.0,
) -> VirtualRecording:
    """Return a survey recording of those steps.

    Parameters
    ----------
    snr_db
        Power of a reed at the nominal level over the noise's, 20 Hz to 20 kHz.
    note_s
        Range of the notes' lengths.
    dead, weak
        How many reeds are silent, or 24 to 32 dB down, drawn at random; or which,
        by index into ``steps``. At most all of the steps together.
    repeats, false_starts
        How many notes are played twice, or are broken off and begun again.
    events
        How many times somebody speaks or knocks between (or onto) the notes.
    level_dbfs
        The nominal level, rms; all is turned down together if a peak would clip.
    """
    shuffled = rng.permutation(len(steps)).tolist()
    dead_at = frozenset(shuffled[:dead] if isinstance(dead, int) else dead)
    speaking = [index for index in shuffled if index not in dead_at]
    weak_at = frozenset(speaking[:weak] if isinstance(weak, int) else weak)
    notes, happened, length_s = _scheduled(
        rng,
        steps,
        note_s=note_s,
        dead=dead_at,
        weak=weak_at,
        repeats=repeats,
        false_starts=false_starts,
        events=events,
    )
    response = room_response(
        rng,
        sample_rate_hz=sample_rate_hz,
        reverberation_time_s=rng.uniform(*REVERBERATION_S),
        direct_to_reverberant_db=rng.uniform(*DIRECT_TO_REVERBERANT_DB),
    )
    track = np.zeros(round(length_s * sample_rate_hz), dtype=np.float32)

    def mix(placed: _Placed) -> None:
        start = max(0, round(placed.start_s * sample_rate_hz))
        room = track[start : start + placed.sound.size]
        room += (10.0 ** (placed.gain_db / 20.0) * placed.sound[: room.size]).astype(np.float32)

    for number, note in enumerate(notes):
        dry = _sounded(rng, note, sample_rate_hz=sample_rate_hz)
        mix(_Placed(note.start_s, note.level_db, in_room(dry, response)))
        if number == 0 or notes[number - 1].key != note.key:
            click = button_click(rng, sample_rate_hz=sample_rate_hz)
            before_s = float(rng.uniform(0.005, 0.060))
            mix(_Placed(note.start_s - before_s, float(rng.uniform(-30.0, -10.0)), click))
    for event in happened:
        made = (
            speech(rng, sample_rate_hz=sample_rate_hz, duration_s=event.end_s - event.start_s)
            if event.what == "speech"
            else knock(rng, sample_rate_hz=sample_rate_hz)
        )
        mix(_Placed(event.start_s, float(rng.uniform(-10.0, 8.0)), in_room(made, response)))

    noise_gain = 10.0 ** (-snr_db / 20.0)
    white_share = float(rng.uniform(0.0, 1.0))
    hum = mains_hum(
        rng,
        track.size,
        sample_rate_hz=sample_rate_hz,
        mains_hz=float(rng.choice([50.0, 60.0])),
        level_db=float(rng.uniform(-70.0, -45.0)),
    )
    for start in range(0, track.size, _BLOCK):
        block = track[start : start + _BLOCK]
        made = noise(rng, block.size, sample_rate_hz=sample_rate_hz, white_share=white_share)
        block += (noise_gain * made + hum[start : start + block.size]).astype(np.float32)
    scale = min(10.0 ** (level_dbfs / 20.0), 0.97 / float(np.max(np.abs(track))))
    track *= np.float32(scale)
    return VirtualRecording(
        samples=track,
        sample_rate_hz=sample_rate_hz,
        notes=tuple(notes),
        events=tuple(sorted(happened, key=lambda event: event.start_s)),
        dead=tuple(Reed(steps[at].key, steps[at].direction) for at in sorted(dead_at)),
        weak=tuple(Reed(steps[at].key, steps[at].direction) for at in sorted(weak_at)),
    )
