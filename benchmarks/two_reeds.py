"""Two reeds at once: how often found, how often one is taken for two, how true the pitches.

``python -m benchmarks.two_reeds --tones 60 --seed 20262`` prints the tables of
docs/benchmarks.md as markdown. One process; times are processor time
(``time.process_time``) and leave out the making of the tones.

Tones are those of benchmarks/virtual, one second between G3 and C7 at 40 dB unless
said, the first reed drifting by up to 4 cents, the second by 1 cent on a course of
its own, both in one room. The seed must not be one that the thresholds were set on:
20262 is kept for this page.
"""

import argparse
import contextlib
import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.stats import beta

from benchmarks.pitch_methods import TrueTone
from benchmarks.virtual.other_tones import make_other_tone
from benchmarks.virtual.tones import BASS_HZ, SecondVoice, VirtualTone, make_tone
from reedwright.errors import RecordingError
from reedwright.listening.second_reed import ReedsTogether, hear_reeds
from reedwright.science.harmonic_fit import HarmonicFit, fit_harmonics
from reedwright.units import CENTS_PER_NATURAL_LOG

__all__ = ["Trial", "binomial_interval", "main", "tried"]

_LEVELS_DB = (0.0, -6.0, -10.0, -20.0, -30.0, -40.0)
_DISTANCES_CENTS = (0.5, 1.0, 2.0, 5.0, 15.0, 25.0, 50.0)
_NEAR_CENTS = 0.05


@dataclass(frozen=True, slots=True)
class Trial:
    """What was heard in a tone, and what it cost, processor seconds; the fit of one reed not."""

    together: ReedsTogether | None
    measured_from_s: float
    measured_to_s: float
    spent_s: float


def tried(tone: TrueTone) -> Trial:
    """Return what is heard in a tone, its pitch known to within a few cents beforehand."""
    duration_s = tone.samples.size / tone.sample_rate_hz
    coarse_hz = tone.mean_frequency_hz(0.0, duration_s)
    fit: HarmonicFit | None = None
    # Refused where the partials have no single pitch, which is what is being looked for.
    with contextlib.suppress(RecordingError):
        fit = fit_harmonics(tone.samples, tone.sample_rate_hz, coarse_frequency=coarse_hz)
    began = time.process_time()
    together = hear_reeds(tone.samples, tone.sample_rate_hz, frequency_hz=coarse_hz, fit=fit)
    spent_s = time.process_time() - began
    if fit is None:
        return Trial(together, 0.0, duration_s, spent_s)
    return Trial(together, fit.start, fit.stop, spent_s)


def binomial_interval(found: int, trials: int) -> tuple[float, float]:
    """Return the 95 % interval of a share: C. Clopper, E. Pearson, Biometrika 26 (1934) 404-413."""
    low = beta.ppf(0.025, found, trials - found + 1) if found else 0.0
    high = beta.ppf(0.975, found + 1, trials - found) if found < trials else 1.0
    return float(low), float(high)


def pair(
    seed: int, number: int, *, level_db: float, distance_cents: float, **kind: object
) -> VirtualTone:
    """Return a tone of two reeds, the second above or below in turn."""
    rng = np.random.default_rng([seed, number])
    sign = 1.0 if number % 2 else -1.0
    second = SecondVoice(level_db, sign * distance_cents)
    return make_tone(rng, snr_db=40.0, second=second, **kind)  # type: ignore[arg-type]


def errors_cents(tone: VirtualTone, trial: Trial) -> tuple[float, float, float, float] | None:
    """Return errors of both reeds and what they were stated as; None if not told apart.

    Of reeds equally strong either may be called the first.
    """
    if trial.together is None or len(trial.together.reeds) < 2:
        return None
    first, second = trial.together.reeds[:2]
    span = (trial.measured_from_s, trial.measured_to_s)
    truth = (tone.mean_frequency_hz(*span), tone.second_mean_frequency_hz(*span))
    heard = (first.frequency_hz, second.frequency_hz)
    orders = (truth, truth[::-1]) if tone.second_level_db == 0.0 else (truth,)
    errors = [
        tuple(CENTS_PER_NATURAL_LOG * np.log(h / t) for h, t in zip(heard, order, strict=True))
        for order in orders
    ]
    best = min(errors, key=lambda both: max(map(abs, both)))
    return best[0], best[1], first.standard_error_cents, second.standard_error_cents


def print_pairs(seed: int, count: int) -> None:
    """Print detection and errors by level and distance."""
    print("found / told apart; both within 0.05 c; median and 95 % of |error| of first, second, c;")
    print("share of first, second within 1.96 standard errors; ms for a tone\n")
    print("| level | distance | found | apart | both near | first | second | covered | ms |")
    print("|---|---|---|---|---|---|---|---|---|")
    for level_db in _LEVELS_DB:
        for distance_cents in _DISTANCES_CENTS:
            tones = [
                pair(seed, number, level_db=level_db, distance_cents=distance_cents)
                for number in range(count)
            ]
            print_cell(f"| {level_db:.0f} dB | {distance_cents:g} c", tones)


def print_cell(head: str, tones: Sequence[VirtualTone]) -> None:
    """Print one line of the table of pairs."""
    trials = [tried(tone) for tone in tones]
    found = sum(trial.together is not None for trial in trials)
    told = [errors_cents(tone, trial) for tone, trial in zip(tones, trials, strict=True)]
    errors = np.array([each for each in told if each is not None]).reshape(-1, 4)
    spent_ms = 1000.0 * np.mean([trial.spent_s for trial in trials])
    shares = f"{found / len(tones):.2f} | {len(errors) / len(tones):.2f}"
    if len(errors) == 0:
        print(f"{head} | {shares} | - | - | - | - | {spent_ms:.0f} |", flush=True)
        return
    size = np.abs(errors[:, :2])
    near = np.mean(np.max(size, axis=1) < _NEAR_CENTS)
    median, p95 = np.median(size, axis=0), np.quantile(size, 0.95, axis=0)
    covered = np.mean(size < 1.96 * errors[:, 2:], axis=0)
    print(
        f"{head} | {shares} | {near:.2f} | {median[0]:.4f}, {p95[0]:.3f} | "
        f"{median[1]:.4f}, {p95[1]:.3f} | {covered[0]:.2f}, {covered[1]:.2f} | {spent_ms:.0f} |",
        flush=True,
    )


def single_tones(seed: int) -> Iterable[tuple[str, Callable[[int], TrueTone]]]:
    """Yield kinds of tones of one reed."""

    def rng(number: int) -> np.random.Generator:
        return np.random.default_rng([seed, number, 7])

    yield "1 s, 40 dB", lambda number: make_tone(rng(number), snr_db=40.0)
    yield "1 s, 20 dB", lambda number: make_tone(rng(number), snr_db=20.0)
    yield "1 s, 55 dB", lambda number: make_tone(rng(number), snr_db=55.0)
    yield "0.4 s, 40 dB", lambda number: make_tone(rng(number), snr_db=40.0, duration_s=0.4)
    yield "3 s, 40 dB", lambda number: make_tone(rng(number), snr_db=40.0, duration_s=3.0)
    yield (
        "1 s, 40 dB, bass",
        lambda number: make_tone(rng(number), snr_db=40.0, frequency_hz=BASS_HZ),
    )
    yield "1 s, 40 dB, second make", lambda number: make_other_tone(rng(number), snr_db=40.0)
    yield (
        "3 s, 40 dB, second make",
        lambda number: make_other_tone(rng(number), snr_db=40.0, duration_s=3.0),
    )


def print_false_alarms(seed: int, count: int) -> None:
    """Print how often one reed is taken for two."""
    print("\nsingle reeds taken for two, with the 95 % interval of the share; ms for a tone\n")
    print("| tones | taken for two | told apart | ms, median |\n|---|---|---|---|")
    for name, make in single_tones(seed):
        trials = [tried(make(number)) for number in range(count)]
        heard = [trial.together for trial in trials if trial.together is not None]
        apart = sum(len(together.reeds) > 1 for together in heard)
        low, high = binomial_interval(len(heard), count)
        spent_ms = 1000.0 * np.median([trial.spent_s for trial in trials])
        print(
            f"| {name} | {len(heard)}/{count} ({100 * low:.1f} to {100 * high:.1f} %) | "
            f"{apart} | {spent_ms:.1f} |",
            flush=True,
        )


def main(arguments: Sequence[str] | None = None) -> None:
    """Print all tables."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--tones", type=int, default=60, help="pairs for each cell")
    parser.add_argument("--single", type=int, default=300, help="single reeds of each kind")
    parser.add_argument("--seed", type=int, default=20262)
    options = parser.parse_args(arguments)
    print_false_alarms(options.seed, options.single)
    print()
    print_pairs(options.seed, options.tones)
    print("\nbass (C2 to G3), and 3 s notes\n")
    for name, kind in (("bass", {"frequency_hz": BASS_HZ}), ("3 s", {"duration_s": 3.0})):
        for distance_cents in (0.5, 1.0, 2.0):
            tones = [
                pair(options.seed, number, level_db=-20.0, distance_cents=distance_cents, **kind)
                for number in range(options.tones // 2)
            ]
            print_cell(f"| -20 dB, {name} | {distance_cents:g} c", tones)


if __name__ == "__main__":
    main()
