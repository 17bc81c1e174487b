"""The part of a note worth measuring: after its attack, before its air stops, without a gap."""

import numpy as np
from numpy.typing import NDArray

from reedwright.errors import RecordingError
from reedwright.listening.model import Segment
from reedwright.science.demodulation import demodulate, frame_length

__all__ = ["steady_stretch"]

#: Levels are taken from this many partials, in frames of this length.
_PARTIALS = 8
_FRAME_S = 0.012
#: A note sounds where its level is no further below the usual than this.
_SOUNDING_DB = 9.0
#: Its attack is over, and its release not begun, within this of the level nearby.
_PLATEAU_DB = 2.0
#: How much of the sounding part "nearby" is, and at most, seconds.
_NEARBY_SHARE, _NEARBY_S = 0.25, 0.4
#: Left out after the attack, as a share of the note and within limits, for the pitch to settle.
_SETTLING_SHARE, _SETTLING_S = 0.20, (0.040, 0.250)
#: Left out before the release, seconds.
_RELEASE_S = 0.030
#: A note that already sounds this soon after the piece begins has no attack in it, seconds.
_CUT_S = 0.020
#: A dip in level shorter than this does not break a note, seconds.
_DIP_S = 0.020


def steady_stretch(
    samples: NDArray[np.floating],
    sample_rate_hz: float,
    *,
    piece_start_s: float,
    segment: Segment,
    least_s: float,
) -> tuple[float, float, float]:
    """Return when the note of ``segment`` begins, and from when to when it is steady.

    Seconds in the recording. The stretch lies inside the segment and is at least
    ``least_s`` long if the sounding part is, if need be by leaving out less of
    attack and release.

    Raises
    ------
    RecordingError
        If the segment is outside the piece, or holds no sound.
    """
    start_s = max(segment.start_s, piece_start_s)
    end_s = min(segment.end_s, piece_start_s + len(samples) / sample_rate_hz)
    first = round((start_s - piece_start_s) * sample_rate_hz)
    part = samples[first : round((end_s - piece_start_s) * sample_rate_hz)]
    length = frame_length(segment.coarse_frequency_hz, shortest=_FRAME_S)
    if len(part) < 3.0 * length * sample_rate_hz:
        raise RecordingError(
            f"a note of {segment.coarse_frequency_hz:.1f} Hz needs at least {3.0 * length:.3f} s, "
            f"this one has {max(0.0, end_s - start_s):.3f} s; hold it longer"
        )
    reach = 0.47 * sample_rate_hz / segment.coarse_frequency_hz
    frames = demodulate(
        part,
        sample_rate_hz,
        frequency=segment.coarse_frequency_hz,
        partials=max(1, min(_PARTIALS, int(reach))),
        length=length,
    )
    power = np.sum(np.abs(frames.amplitudes) ** 2, axis=1)
    if not np.any(power > 0.0):
        raise RecordingError(
            f"a note must sound, from {start_s:.2f} to {end_s:.2f} s there is silence; "
            "check the microphone"
        )
    level_db = 10.0 * np.log10(power + 1e-12 * float(power.max()))
    begins, ends = _longest_run(level_db > np.median(level_db) - _SOUNDING_DB, frames.hop)
    rising, falling = _plateau(level_db[begins : ends + 1], frames.hop)
    times_s = start_s + frames.times
    note_s = times_s[ends] - times_s[begins]
    settling_s = float(np.clip(_SETTLING_SHARE * note_s, *_SETTLING_S))
    piece_end_s = piece_start_s + len(samples) / sample_rate_hz
    is_cut_at_start = begins + rising == 0 and start_s - piece_start_s < _CUT_S
    is_cut_at_end = begins + falling == len(times_s) - 1 and piece_end_s - end_s < _CUT_S
    from_s = times_s[begins + rising] + (-0.5 * length if is_cut_at_start else settling_s)
    to_s = times_s[begins + falling] + (0.5 * length if is_cut_at_end else -_RELEASE_S)
    missing_s = least_s - (to_s - from_s)
    if missing_s > 0.0:
        from_s, to_s = from_s - 0.7 * missing_s, to_s + 0.3 * missing_s
    earliest_s, latest_s = times_s[begins] - 0.5 * length, times_s[ends] + 0.5 * length
    from_s, to_s = max(from_s, earliest_s), min(to_s, latest_s)
    return float(earliest_s), float(from_s), float(to_s)


def _longest_run(sounding: NDArray[np.bool_], hop_s: float) -> tuple[int, int]:
    """Return the first and last frame of the longest run, short dips not counted."""
    on = np.flatnonzero(sounding)
    breaks = np.flatnonzero(np.diff(on) * hop_s > _DIP_S + hop_s)
    firsts = np.concatenate([on[:1], on[breaks + 1]])
    lasts = np.concatenate([on[breaks], on[-1:]])
    longest = int(np.argmax(lasts - firsts))
    return int(firsts[longest]), int(lasts[longest])


def _plateau(level_db: NDArray[np.float64], hop_s: float) -> tuple[int, int]:
    """Return where the level has first and last reached what is usual nearby."""
    count = len(level_db)
    near = max(1, min(round(_NEARBY_SHARE * count), round(_NEARBY_S / hop_s)))
    head, tail = level_db[: 2 * near], level_db[-2 * near :]
    first = int(np.argmax(head >= np.median(head) - _PLATEAU_DB))
    last = count - 1 - int(np.argmax(tail[::-1] >= np.median(tail) - _PLATEAU_DB))
    return first, max(first, last)
