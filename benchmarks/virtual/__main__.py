"""Write an invented survey recording and its truth into a folder.

``python -m benchmarks.virtual FOLDER --seed 1 --layout english-treble-48 --snr-db 40``
leaves ``survey-1.wav`` (24 bit) and ``survey-1.json`` there.
"""

import argparse
import json
from dataclasses import asdict
from pathlib import Path
from typing import Any

import numpy as np
import soundfile

from benchmarks.virtual.recording import TrueNote, VirtualRecording, make_recording
from benchmarks.virtual.steps import Playing, survey_steps
from reedwright.catalogue.layout_file import load_layout

__all__ = ["main", "truth"]


def truth(recording: VirtualRecording) -> dict[str, Any]:
    """Return the truth of a recording as plain values, notes in order of time.

    ``mean_frequency_hz`` is that from a quarter to three quarters of a note;
    ``course`` holds what ``PitchCourse`` needs for any other stretch.
    """

    def plain(note: TrueNote) -> dict[str, Any]:
        quarter_s = (note.end_s - note.start_s) / 4.0
        return {
            "key": note.key,
            "direction": note.direction.value,
            "note": note.note.name,
            "start_s": note.start_s,
            "end_s": note.end_s,
            "level_db": note.level_db,
            "playback": note.playback.value,
            "mean_frequency_hz": note.mean_frequency_hz(
                note.start_s + quarter_s, note.end_s - quarter_s
            ),
            "course": asdict(note.course),
        }

    return {
        "sample_rate_hz": recording.sample_rate_hz,
        "notes": [plain(note) for note in recording.notes],
        "events": [asdict(event) for event in recording.events],
        "dead": [{"key": reed.key, "direction": reed.direction.value} for reed in recording.dead],
        "weak": [{"key": reed.key, "direction": reed.direction.value} for reed in recording.weak],
    }


def main() -> None:
    """Write what the command line asks for."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.virtual", description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--layout", default="english-treble-48")
    parser.add_argument(
        "--playing", type=Playing, choices=list(Playing), default=Playing.PRESS_THEN_DRAW
    )
    parser.add_argument("--a4-hz", type=float, default=452.0)
    parser.add_argument("--spread-cents", type=float, default=25.0)
    parser.add_argument("--meantone", action="store_true")
    parser.add_argument("--snr-db", type=float, default=40.0)
    parser.add_argument("--sample-rate-hz", type=int, default=44_100)
    parser.add_argument("--note-s", type=float, nargs=2, default=(2.0, 4.0))
    asked = parser.parse_args()
    rng = np.random.default_rng(asked.seed)
    steps = survey_steps(
        rng,
        load_layout(asked.layout),
        playing=asked.playing,
        a4_hz=asked.a4_hz,
        spread_cents=asked.spread_cents,
        meantone=asked.meantone,
    )
    recording = make_recording(
        rng,
        steps,
        sample_rate_hz=float(asked.sample_rate_hz),
        snr_db=asked.snr_db,
        note_s=tuple(asked.note_s),
    )
    asked.folder.mkdir(parents=True, exist_ok=True)
    place = asked.folder / f"survey-{asked.seed}"
    soundfile.write(
        place.with_suffix(".wav"), recording.samples, asked.sample_rate_hz, subtype="PCM_24"
    )
    place.with_suffix(".json").write_text(json.dumps(truth(recording), indent=1))
    length_s = recording.frames / recording.sample_rate_hz
    print(f"{place}.wav: {len(recording.notes)} notes in {length_s:.0f} s")


if __name__ == "__main__":
    main()
