"""Accuracy of pitch: this program beside general-purpose libraries, the same tones, one run.

``python -m benchmarks.pitch --tones 320 --seed 20261`` prints the tables of
docs/benchmarks.md as markdown. One process; times are processor time of the whole
process (``time.process_time``), so threads of a library are counted too.

Tones are those of benchmarks/virtual, described in docs/benchmarks.md: four in five between G3
and C7, one in five in the bass below. The seed must not be one that the estimator
was tuned on: 20261 is kept for this page.
"""

import argparse
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from benchmarks.pitch_methods import METHODS, Estimate, MemorySound, Method, TrueTone, hear
from benchmarks.virtual.other_tones import make_other_tone
from benchmarks.virtual.tones import BASS_HZ, TREBLE_HZ, VirtualTone, make_tone
from reedwright.listening.segments import find_segments

__all__ = ["main"]

_SNR_DB = (50.0, 30.0, 20.0, 10.0)
#: An estimate further off than this is a gross error, cents.
_GROSS_CENTS = 50.0
#: pyin costs a hundred times the others: it gets this many of the tones.
_PYIN_TONES = 40


def tone(seed: int, number: int, snr_db: float) -> VirtualTone:
    """Return tone ``number`` of a seed; only the noise's level depends on ``snr_db``."""
    return make_tone(
        np.random.default_rng([seed, number]), snr_db=snr_db, frequency_hz=_range(number)
    )


def stationary_tone(seed: int, number: int, snr_db: float) -> VirtualTone:
    """Return a tone without drift, room or hum, in white noise."""
    return make_tone(
        np.random.default_rng([seed, number, 1]),
        snr_db=snr_db,
        frequency_hz=_range(number),
        stationary=True,
    )


def whole_note(seed: int, number: int, snr_db: float) -> VirtualTone:
    """Return a note of 2 to 4 s with its attack, its ring-down and silence around."""
    rng = np.random.default_rng([seed, number, 2])
    return make_tone(
        rng,
        snr_db=snr_db,
        frequency_hz=_range(number),
        whole_note=True,
        duration_s=float(rng.uniform(2.0, 4.0)),
    )


def other_tone(seed: int, number: int, snr_db: float) -> TrueTone:
    """Return a tone of the second make."""
    return make_other_tone(
        np.random.default_rng([seed, number, 3]), snr_db=snr_db, frequency_hz=_range(number)
    )


def other_note(seed: int, number: int, snr_db: float) -> TrueTone:
    """Return a note of 2 to 4 s of the second make, with attack and ring-down."""
    rng = np.random.default_rng([seed, number, 4])
    return make_other_tone(
        rng,
        snr_db=snr_db,
        frequency_hz=_range(number),
        whole_note=True,
        duration_s=float(rng.uniform(2.0, 4.0)),
    )


def _range(number: int) -> tuple[float, float]:
    return BASS_HZ if number % 5 == 4 else TREBLE_HZ


@dataclass(frozen=True, slots=True)
class Cell:
    """A method's result on one kind of tone: magnitudes of error in cents, and what it cost."""

    median_cents: float
    p95_cents: float
    worst_cents: float
    gross_percent: float
    ms_per_tone: float
    coverage: float | None
    estimates: tuple[Estimate, ...]


def judged(method: Method, tones: Sequence[TrueTone]) -> Cell:
    """Return how a method does on tones; their making is not timed."""
    began = time.process_time()
    estimates = tuple(method(one) for one in tones)
    spent_s = time.process_time() - began
    errors = np.abs([estimate.error_cents for estimate in estimates])
    near = errors[errors < _GROSS_CENTS]
    covered = [
        abs(estimate.error_cents) <= estimate.half_interval_cents
        for estimate in estimates
        if estimate.half_interval_cents is not None
    ]
    return Cell(
        median_cents=float(np.median(near)),
        p95_cents=float(np.quantile(near, 0.95)),
        worst_cents=float(np.max(near)),
        gross_percent=100.0 * (1.0 - near.size / errors.size),
        ms_per_tone=1000.0 * spent_s / len(tones),
        coverage=float(np.mean(covered)) if covered else None,
        estimates=estimates,
    )


def print_accuracy(seed: int, count: int) -> None:
    """Print every method's errors at every signal-to-noise ratio."""
    print("median / 95 % of |error| in cents [gross errors in per cent]\n")
    heads = " | ".join(f"{snr_db:.0f} dB" for snr_db in _SNR_DB)
    print(f"| method | {heads} | ms per 1 s tone |\n|---|{'---|' * len(_SNR_DB)}---|")
    made = {snr_db: [tone(seed, number, snr_db) for number in range(count)] for snr_db in _SNR_DB}
    for name, method in METHODS.items():
        method(made[_SNR_DB[0]][0])  # compilers and plans of a library are not timed
        most = min(count, _PYIN_TONES) if name == "librosa pyin" else count
        cells = [judged(method, made[snr_db][:most]) for snr_db in _SNR_DB]
        shown = " | ".join(
            f"{cell.median_cents:.4f} / {cell.p95_cents:.4f} [{cell.gross_percent:.1f}]"
            for cell in cells
        )
        label = name if most == count else f"{name} ({most} tones)"
        spent_ms = np.mean([cell.ms_per_tone for cell in cells])
        print(f"| {label} | {shown} | {spent_ms:.1f} |", flush=True)


def print_honesty(seed: int, count: int) -> None:
    """Print how often this program's 95 % interval holds the truth, on both makes of tone."""
    makes: tuple[tuple[str, Callable[[int, int, float], TrueTone]], ...] = (
        ("1 s windows", tone),
        ("whole notes of 2 to 4 s", whole_note),
        ("1 s windows, second make", other_tone),
        ("whole notes of 2 to 4 s, second make", other_note),
    )
    print("\nshare of tones within the stated 95 % interval;")
    print("median / 95 % / greatest |error| in cents [gross errors in per cent]\n")
    heads = " | ".join(f"{snr_db:.0f} dB" for snr_db in _SNR_DB)
    print(f"| tones | {heads} |\n|---|{'---|' * len(_SNR_DB)}")
    for name, make in makes:
        shown = []
        for snr_db in _SNR_DB:
            cell = judged(hear, [make(seed, number, snr_db) for number in range(count)])
            shown.append(
                f"**{cell.coverage:.3f}**; {cell.median_cents:.4f} / {cell.p95_cents:.4f} / "
                f"{cell.worst_cents:.3f} [{cell.gross_percent:.1f}]"
            )
        print(f"| {name} | {' | '.join(shown)} |", flush=True)


def print_efficiency(seed: int, count: int) -> None:
    """Print the error over the Cramer-Rao bound on stationary tones, root mean square."""
    print("\nstationary tones: root mean square of error over Cramer-Rao bound")
    print("(the bound of the stretch that was measured / of the whole second); coverage\n")
    heads = " | ".join(f"{snr_db:.0f} dB" for snr_db in _SNR_DB)
    print(f"| | {heads} |\n|---|{'---|' * len(_SNR_DB)}")
    shown = []
    for snr_db in _SNR_DB:
        made = [stationary_tone(seed, number, snr_db) for number in range(count)]
        cell = judged(hear, made)
        stretch = [
            estimate.error_cents / one.cramer_rao_cents(estimate.measured_s or one.duration_s)
            for estimate, one in zip(cell.estimates, made, strict=True)
        ]
        whole = [
            estimate.error_cents / one.cramer_rao_cents(one.duration_s)
            for estimate, one in zip(cell.estimates, made, strict=True)
        ]
        shown.append(
            f"{np.sqrt(np.mean(np.square(stretch))):.2f} / "
            f"{np.sqrt(np.mean(np.square(whole))):.2f}; **{cell.coverage:.3f}**"
        )
    print(f"| reedwright | {' | '.join(shown)} |")


def print_cost(seed: int, count: int) -> None:
    """Print the processor time per tone of finding the note and of measuring it."""
    made = [tone(seed, number, 30.0) for number in range(count)]
    sounds = [MemorySound(one.samples, one.sample_rate_hz) for one in made]
    began = time.process_time()
    for sound in sounds:
        find_segments(sound)
    found_ms = 1000.0 * (time.process_time() - began) / count
    both_ms = judged(hear, made).ms_per_tone
    print(
        f"\nprocessor time per 1 s tone: {both_ms:.1f} ms, of which finding the note and its "
        f"coarse pitch {found_ms:.1f} ms, measuring it {both_ms - found_ms:.1f} ms"
    )


def print_gross_errors(seed: int, count: int) -> None:
    """Print how many of many tones at 10 dB are heard wrong, and which."""
    wrong = [
        number
        for number in range(count)
        if abs(hear(tone(seed, number, 10.0)).error_cents) > _GROSS_CENTS
    ]
    print(f"\ngross errors at 10 dB: {len(wrong)} of {count} tones {wrong or ''}")


def main() -> None:
    """Print the tables asked for."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.pitch", description=__doc__)
    parser.add_argument("--tones", type=int, default=320)
    parser.add_argument("--seed", type=int, default=20261)
    parser.add_argument("--gross", type=int, default=1000, help="tones for the gross-error count")
    parser.add_argument("--ours-only", action="store_true", help="leave the other libraries out")
    asked = parser.parse_args()
    if not asked.ours_only:
        print_accuracy(asked.seed, asked.tones)
    print_honesty(asked.seed, asked.tones)
    print_efficiency(asked.seed, asked.tones)
    print_cost(asked.seed, min(asked.tones, 100))
    print_gross_errors(asked.seed, asked.gross)


if __name__ == "__main__":
    main()
