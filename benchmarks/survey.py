"""Surveys of 96 reeds in five minutes, held against the truth: the project's goal.

``python -m benchmarks.survey --recordings 3 --seed 20265`` prints a table as
markdown: that many invented recordings for each of the three orders of playing at
40 and at 25 dB signal-to-noise ratio, each surveyed from its file in a process of
its own, the listening spread over the processors. Seconds are wall-clock from the
opening of the file to the survey, processes included; memory is the largest
resident set of the surveying process and of the largest of its helpers. With
``--layout anglo-30-a``, ``--a4-hz 440`` and so on other instruments are tried.

The seed must not be one that anything was tuned on: 20265 is kept for this page.
"""

import argparse
import os
import pickle
import resource
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soundfile

from benchmarks.survey_scoring import SurveyScore, score_survey, total_score
from benchmarks.virtual.recording import VirtualRecording, make_recording
from benchmarks.virtual.steps import Playing, played_reeds, survey_steps
from reedwright.audio import open_recording
from reedwright.catalogue import load_layout
from reedwright.compute import Processes
from reedwright.instrument.layout import Layout
from reedwright.instrument.order import SurveyOrder
from reedwright.instrument.reading import Survey

__all__ = ["main"]

_SNR_DB = (40.0, 25.0)


@dataclass(frozen=True, slots=True)
class _Taken:
    """A survey as the process that took it hands it back."""

    survey: Survey
    seconds: float
    megabytes: float
    helper_megabytes: float


def order_of(layout: Layout, playing: Playing) -> SurveyOrder:
    """Return the order in which an invented recording plays the reeds."""
    return SurveyOrder(playing.value, "as invented", played_reeds(layout, playing))


def _take(recording: Path, layout_name: str, playing: Playing, answer: Path) -> None:
    """Survey a file and leave the survey in another; run in a process of its own."""
    from reedwright.listening.survey import survey  # noqa: PLC0415 - counted in the time

    layout = load_layout(layout_name)
    start = time.perf_counter()
    with Processes(os.cpu_count() or 1) as spread, open_recording(recording) as sound:
        taken = survey(sound, layout, order_of(layout, playing), spread=spread)
    seconds = time.perf_counter() - start
    helpers = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024.0
    answer.write_bytes(pickle.dumps(_Taken(taken, seconds, _peak_megabytes(), helpers)))


def _peak_megabytes() -> float:
    """Return the largest resident set of this process (Linux; getrusage counts its parent's)."""
    for line in Path("/proc/self/status").read_text().splitlines():
        if line.startswith("VmHWM:"):
            return float(line.split()[1]) / 1024.0
    return float("nan")


def _taken(recording: VirtualRecording, layout_name: str, playing: Playing, folder: Path) -> _Taken:
    """Return the survey of an invented recording, written to a file first."""
    sound, answer = folder / "recording.wav", folder / "survey"
    soundfile.write(sound, recording.samples, round(recording.sample_rate_hz), subtype="PCM_24")
    command = [sys.executable, "-m", "benchmarks.survey", "--take"]
    subprocess.run(  # noqa: S603 - our own program
        [*command, str(sound), layout_name, playing.value, str(answer)], check=True
    )
    taken = pickle.loads(answer.read_bytes())  # noqa: S301 - we wrote it ourselves
    assert isinstance(taken, _Taken)
    return taken


def _row(name: str, score: SurveyScore, taken: list[_Taken]) -> str:
    errors = np.abs(score.errors_cents)
    cells = [
        name,
        f"{score.recall:.3f}",
        f"{score.notes_found / score.notes:.3f}",
        f"{score.false_starts_found}/{score.false_starts}",
        f"{score.precision:.3f}",
        f"{score.wrong_notes}",
        f"{score.swaps_unflagged}",
        f"{score.swaps_flagged}",
        f"{score.doubts / score.readings:.1%}",
        f"{score.needless:.1%}",
        f"{np.median(errors):.3f} / {np.quantile(errors, 0.95):.3f}",
        f"{np.median([one.seconds for one in taken]):.1f}",
        f"{max(one.megabytes for one in taken):.0f} + "
        f"{max(one.helper_megabytes for one in taken):.0f}",
    ]
    return "| " + " | ".join(cells) + " |"


def main() -> None:
    """Invent, survey, compare, print."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.survey", description=__doc__)
    parser.add_argument("--recordings", type=int, default=3)
    parser.add_argument("--seed", type=int, default=20265)
    parser.add_argument("--layout", default="english-treble-48")
    parser.add_argument("--a4-hz", type=float, default=452.0)
    parser.add_argument("--spread-cents", type=float, default=25.0)
    parser.add_argument("--meantone", action="store_true")
    parser.add_argument("--sample-rate-hz", type=float, default=44_100.0)
    parser.add_argument("--take", nargs=4, metavar=("FILE", "LAYOUT", "PLAYING", "ANSWER"))
    asked = parser.parse_args()
    if asked.take:
        file, layout_name, playing, answer = asked.take
        _take(Path(file), layout_name, Playing(playing), Path(answer))
        return
    layout = load_layout(asked.layout)
    print(
        "| order, SNR | recall above noise | of all | false starts | precision | wrong notes "
        "| swaps unflagged | flagged | doubts | needless | error, c: median / p95 | s | MB |"
    )
    print("|---" * 13 + "|")
    everything: list[SurveyScore] = []
    for snr_db in _SNR_DB:
        for playing in Playing:
            scores, taken = [], []
            for number in range(asked.recordings):
                rng = np.random.default_rng(
                    [asked.seed, number, round(snr_db), list(Playing).index(playing)]
                )
                steps = survey_steps(
                    rng,
                    layout,
                    playing=playing,
                    a4_hz=asked.a4_hz,
                    spread_cents=asked.spread_cents,
                    meantone=asked.meantone,
                )
                recording = make_recording(
                    rng, steps, snr_db=snr_db, sample_rate_hz=asked.sample_rate_hz
                )
                with tempfile.TemporaryDirectory() as folder:
                    taken.append(_taken(recording, asked.layout, playing, Path(folder)))
                scores.append(score_survey(taken[-1].survey, recording, layout, snr_db=snr_db))
            everything += scores
            print(_row(f"{playing.value}, {snr_db:.0f} dB", total_score(scores), taken), flush=True)
    total = total_score(everything)
    print(
        f"\n{len(everything)} recordings, {total.readings} readings: recall {total.recall:.4f}, "
        f"precision {total.precision:.4f}, {total.wrong_notes} wrong notes, "
        f"{total.swaps_unflagged} unflagged swaps, needless doubts {total.needless:.1%}."
    )


if __name__ == "__main__":
    main()
