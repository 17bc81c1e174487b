"""What the tuning as found is worth: simulated instruments against an oracle.

Run ``python -m benchmarks.as_found``: about ten minutes of one processor;
``--instruments 100 --others 0`` for a look, ``--json`` for the numbers. Each instrument
is an English treble with its own A4 and temperament, reeds that scatter by 8 cents, a
tenth of them 30 to 60 cents out instead, mostly on one side, and up to a fifth of the
notes missing.

The oracle is told what no survey tells: which reeds are astray, and how far the others
scatter. Its least-squares line is the limit for pitch and fifth; its choice among the
same tunings, with the same beliefs beforehand, is the ceiling for naming the family.
The simulator draws instruments as those beliefs have them, so that the ceiling is one.
"""

import argparse
import json
import math
from collections.abc import Sequence
from dataclasses import asdict, dataclass

import numpy as np
from numpy.typing import NDArray

from reedwright.catalogue import load_layout
from reedwright.catalogue.tunings import read_tunings
from reedwright.instrument.layout import Direction
from reedwright.instrument.note import SpelledNote
from reedwright.tuning import Family, HeardReed, as_found
from reedwright.tuning.families import Candidate, candidates_of, chain_places
from reedwright.tuning.model_choice import SURE_FROM

__all__ = ["Instrument", "Setting", "Summary", "instruments", "judge", "main", "summary_of"]

Values = NDArray[np.float64]
TUNINGS = read_tunings()
KNOWN = (Family.EQUAL, Family.REGULAR, Family.CIRCULATING)


@dataclass(frozen=True, slots=True)
class Setting:
    """How the instruments are.

    ``missing_share`` is the greatest of missing notes; ``is_astray_added`` says whether
    reeds astray scatter as well; ``pair_correlation`` is that of the reeds of one note.
    """

    title: str = "as the issue has it"
    layout: str = "english-treble-48"
    scatter_cents: float = 8.0
    astray_share: float = 0.1
    one_side_share: float = 0.85
    missing_share: float = 0.2
    is_astray_added: bool = False
    pair_correlation: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Instrument:
    """One simulated instrument and the truth about it."""

    family: Family
    a4_cents: float
    fifth_cents: float | None
    notes: tuple[SpelledNote, ...]
    directions: tuple[Direction, ...]
    offsets_cents: Values
    is_astray: NDArray[np.bool_]

    def readings(self) -> list[HeardReed]:
        """Return what a survey would hold."""
        return [
            HeardReed(
                None,
                note,
                direction,
                440.0 * math.exp2((note.semitone - 69) / 12 + offset / 1200),
                0.2,
            )
            for note, direction, offset in zip(
                self.notes, self.directions, self.offsets_cents, strict=True
            )
        ]


def instruments(setting: Setting, *, count: int, seed: int) -> list[Instrument]:
    """Return simulated instruments, a third of each family."""
    rng = np.random.default_rng(seed)
    layout = load_layout(setting.layout)
    reeds = layout.reeds()
    notes = tuple(layout.note(reed) for reed in reeds)
    candidates = candidates_of(notes, TUNINGS.temperaments)
    made = []
    for number in range(count):
        family = KNOWN[number % len(KNOWN)]
        pattern, fifth_cents = _pattern(rng, family, candidates)
        a4_cents = float(rng.uniform(-80.0, 80.0))
        heard = rng.random(len(notes)) >= rng.uniform(0.0, setting.missing_share)
        astray = rng.random(len(notes)) < setting.astray_share
        side = rng.choice([-1.0, 1.0])
        sides = np.where(rng.random(len(notes)) < setting.one_side_share, side, -side)
        scatter = setting.scatter_cents * _normal(rng, notes, setting.pair_correlation)
        out = rng.uniform(30.0, 60.0, len(notes)) * sides
        off = np.where(astray, out + (scatter if setting.is_astray_added else 0.0), scatter)
        made.append(
            Instrument(
                family=family,
                a4_cents=a4_cents,
                fifth_cents=fifth_cents,
                notes=tuple(n for n, is_heard in zip(notes, heard, strict=True) if is_heard),
                directions=tuple(
                    r.direction for r, is_heard in zip(reeds, heard, strict=True) if is_heard
                ),
                offsets_cents=(a4_cents + pattern + off)[heard],
                is_astray=astray[heard],
            )
        )
    return made


def _pattern(
    rng: np.random.Generator, family: Family, candidates: Sequence[Candidate]
) -> tuple[Values, float | None]:
    """Draw a tuning of a family: cents from equal with A at zero, and its fifth if it has one."""
    own = [candidate for candidate in candidates if candidate.family is family]
    priors = np.array([candidate.prior for candidate in own])
    design = own[rng.choice(len(own), p=priors / priors.sum())].design
    free = design.columns[:, 1:] @ rng.normal(0.0, design.prior_deviations[1:])
    pattern = design.fixed + free
    if family is Family.CIRCULATING:
        return pattern, None
    return pattern, 700.0 + _slope(pattern, candidates)


def _slope(pattern: Values, candidates: Sequence[Candidate]) -> float:
    """Return the slope of a straight pattern along the chain."""
    line = next(c for c in candidates if c.family is Family.REGULAR and c.temperament is None)
    places = line.design.columns[:, 1]
    return float(pattern @ places / (places @ places))


def _normal(rng: np.random.Generator, notes: Sequence[SpelledNote], correlation: float) -> Values:
    """Return unit normal scatter, the reeds of one note correlated."""
    common = {note: rng.normal() for note in notes}
    shared = np.array([common[note] for note in notes])
    own = rng.normal(0.0, 1.0, len(notes))
    return np.asarray(math.sqrt(correlation) * shared + math.sqrt(1.0 - correlation) * own)


@dataclass(frozen=True, slots=True)
class Judged:
    """One instrument judged: errors in cents, ours and the oracle's line; families named."""

    truth: Family
    named: Family
    probability: float
    likeliest: Family
    oracle_named: Family
    oracle_likeliest: Family
    a4_error_cents: float
    is_a4_covered: bool
    a4_limit_cents: float
    fifth_error_cents: float | None
    is_fifth_covered: bool | None
    fifth_limit_cents: float | None


def judge(instrument: Instrument, *, scatter_cents: float) -> Judged:
    """Ask both the program and the oracle."""
    found = as_found(
        instrument.readings(),
        temperaments=TUNINGS.temperaments,
        standards=TUNINGS.pitch_standards,
    )
    best = max(found.family_probabilities, key=lambda each: each.probability)
    oracle = _oracle_probabilities(instrument, scatter_cents)
    oracle_best = max(oracle, key=lambda family: oracle[family])
    places = chain_places(instrument.notes)[~instrument.is_astray]
    line = np.polynomial.polynomial.polyfit(
        places, instrument.offsets_cents[~instrument.is_astray], 1
    )
    a4_true_hz = 440.0 * math.exp2(instrument.a4_cents / 1200)
    true_fifth = instrument.fifth_cents
    return Judged(
        truth=instrument.family,
        named=found.family,
        probability=best.probability,
        likeliest=best.family,
        oracle_named=oracle_best if oracle[oracle_best] >= SURE_FROM else Family.UNCLEAR,
        oracle_likeliest=oracle_best,
        a4_error_cents=1200 * math.log2(found.a4_hz / a4_true_hz),
        is_a4_covered=found.a4_interval_hz[0] <= a4_true_hz <= found.a4_interval_hz[1],
        a4_limit_cents=float(line[0]) - instrument.a4_cents,
        fifth_error_cents=None if true_fifth is None else found.fifth_cents - true_fifth,
        is_fifth_covered=None
        if true_fifth is None
        else found.fifth_interval_cents[0] <= true_fifth <= found.fifth_interval_cents[1],
        fifth_limit_cents=None if true_fifth is None else 700.0 + float(line[1]) - true_fifth,
    )


def _oracle_probabilities(instrument: Instrument, scatter_cents: float) -> dict[Family, float]:
    """Return exact probabilities when scatter and reeds astray are known: all is normal then."""
    clean = ~instrument.is_astray
    values = instrument.offsets_cents[clean]
    variance = scatter_cents**2 + 0.2**2
    candidates = candidates_of(instrument.notes, TUNINGS.temperaments)
    heights = []
    for candidate in candidates:
        # The marginal density of a linear model by the matrix determinant lemma.
        columns = candidate.design.columns[clean] * candidate.design.prior_deviations
        residual = values - candidate.design.fixed[clean]
        inner = np.eye(columns.shape[1]) + columns.T @ columns / variance
        pull = columns.T @ residual / variance
        quadratic = residual @ residual / variance - pull @ np.linalg.solve(inner, pull)
        heights.append(math.log(candidate.prior) - 0.5 * (quadratic + np.linalg.slogdet(inner)[1]))
    weights = np.exp(np.array(heights) - max(heights))
    weights /= weights.sum()
    return {
        family: math.fsum(
            weight
            for weight, candidate in zip(weights, candidates, strict=True)
            if candidate.family is family
        )
        for family in Family
    }


@dataclass(frozen=True, slots=True)
class Summary:
    """A setting's outcome. Pitch and fifth are judged where there is one size of fifth."""

    title: str
    instruments: int
    a4_rms_cents: float
    a4_ratio_to_limit: float
    a4_coverage: float
    fifth_rms_cents: float
    fifth_ratio_to_limit: float
    fifth_coverage: float
    circulating_a4_rms_cents: float
    circulating_a4_coverage: float
    named_right: float
    named_wrong: float
    unclear: float
    ceiling_named_right: float
    ceiling_unclear: float
    likeliest_right: float
    ceiling_likeliest_right: float
    named_right_by_family: dict[str, float]
    ceiling_by_family: dict[str, float]
    calibration: list[tuple[float, float, int]]


def summary_of(title: str, judged: Sequence[Judged]) -> Summary:
    """Put the judgements of one setting together."""
    straight = [j for j in judged if j.truth is not Family.CIRCULATING]
    round_ones = [j for j in judged if j.truth is Family.CIRCULATING]
    a4 = np.array([j.a4_error_cents for j in straight])
    a4_limit = np.array([j.a4_limit_cents for j in straight])
    fifth = np.array([j.fifth_error_cents for j in straight], dtype=float)
    fifth_limit = np.array([j.fifth_limit_cents for j in straight], dtype=float)

    def share(right: Sequence[bool]) -> float:
        return float(np.mean(right)) if len(right) else math.nan

    return Summary(
        title=title,
        instruments=len(judged),
        a4_rms_cents=_rms(a4),
        a4_ratio_to_limit=_rms(a4) / _rms(a4_limit),
        a4_coverage=share([j.is_a4_covered for j in straight]),
        fifth_rms_cents=_rms(fifth),
        fifth_ratio_to_limit=_rms(fifth) / _rms(fifth_limit),
        fifth_coverage=share([bool(j.is_fifth_covered) for j in straight]),
        circulating_a4_rms_cents=_rms(np.array([j.a4_error_cents for j in round_ones])),
        circulating_a4_coverage=share([j.is_a4_covered for j in round_ones]),
        named_right=share([j.named is j.truth for j in judged]),
        named_wrong=share([j.named not in {j.truth, Family.UNCLEAR} for j in judged]),
        unclear=share([j.named is Family.UNCLEAR for j in judged]),
        ceiling_named_right=share([j.oracle_named is j.truth for j in judged]),
        ceiling_unclear=share([j.oracle_named is Family.UNCLEAR for j in judged]),
        likeliest_right=share([j.likeliest is j.truth for j in judged]),
        ceiling_likeliest_right=share([j.oracle_likeliest is j.truth for j in judged]),
        named_right_by_family={
            family: share([j.named is family for j in judged if j.truth is family])
            for family in KNOWN
        },
        ceiling_by_family={
            family: share([j.oracle_named is family for j in judged if j.truth is family])
            for family in KNOWN
        },
        calibration=_calibration(judged),
    )


def _rms(errors: Values) -> float:
    return float(np.sqrt(np.mean(errors**2))) if len(errors) else math.nan


def _calibration(judged: Sequence[Judged]) -> list[tuple[float, float, int]]:
    """Return (said, right, how many) by bands of the probability of the likeliest family."""
    bands = []
    for low, high in ((0.0, 0.6), (0.6, 0.75), (0.75, 0.9), (0.9, 0.97), (0.97, 1.01)):
        own = [j for j in judged if low <= j.probability < high]
        if own:
            said = float(np.mean([j.probability for j in own]))
            right = float(np.mean([j.likeliest is j.truth for j in own]))
            bands.append((said, right, len(own)))
    return bands


SETTINGS = (
    Setting(),
    Setting(title="reeds astray scatter as well", is_astray_added=True),
    Setting(title="a fifth of the reeds astray", astray_share=0.2, is_astray_added=True),
    Setting(title="half of the notes missing", missing_share=0.5),
    Setting(title="scatter of 3 cents", scatter_cents=3.0),
    Setting(title="the reeds of a note agree, correlation 0.6", pair_correlation=0.6),
    Setting(title="an Anglo of 30 buttons", layout="anglo-30-a"),
)


def main() -> None:
    """Judge every setting and print the table."""
    parser = argparse.ArgumentParser(description=main.__doc__)
    parser.add_argument("--instruments", type=int, default=1000)
    parser.add_argument("--others", type=int, default=200, help="instruments of the other settings")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--json", action="store_true")
    arguments = parser.parse_args()
    summaries = []
    for number, setting in enumerate(SETTINGS):
        count = arguments.instruments if number == 0 else arguments.others
        if count == 0:
            continue
        made = instruments(setting, count=count, seed=arguments.seed + number)
        judged = [judge(each, scatter_cents=setting.scatter_cents) for each in made]
        summaries.append(summary_of(setting.title, judged))
        if not arguments.json:
            _print(summaries[-1])
    if arguments.json:
        print(json.dumps([asdict(summary) for summary in summaries]))


def _print(s: Summary) -> None:
    def percent(share: float) -> str:
        return f"{100.0 * share:.1f} %"

    print(f"\n{s.title}: {s.instruments} instruments")
    print(
        f"  A4     rms {s.a4_rms_cents:.2f} cents, {s.a4_ratio_to_limit:.3f} of the limit, 95 % "
        f"intervals hold {percent(s.a4_coverage)}"
    )
    print(
        f"  fifth  rms {s.fifth_rms_cents:.3f} cents, {s.fifth_ratio_to_limit:.3f} of the limit, "
        f"95 % intervals hold {percent(s.fifth_coverage)}"
    )
    print(
        f"  A4 of circulating ones: rms {s.circulating_a4_rms_cents:.2f} cents, "
        f"held {percent(s.circulating_a4_coverage)}"
    )
    print(
        f"  family named right {percent(s.named_right)} (ceiling "
        f"{percent(s.ceiling_named_right)}), wrong {percent(s.named_wrong)}, cannot tell "
        f"{percent(s.unclear)} (ceiling's {percent(s.ceiling_unclear)}); likeliest right "
        f"{percent(s.likeliest_right)} (ceiling {percent(s.ceiling_likeliest_right)})"
    )
    for family in KNOWN:
        print(
            f"    {family:<12} {percent(s.named_right_by_family[family])} "
            f"(ceiling {percent(s.ceiling_by_family[family])})"
        )
    for said, right, count in s.calibration:
        print(f"    said {percent(said)}: right {percent(right)} of {count}")


if __name__ == "__main__":
    main()
