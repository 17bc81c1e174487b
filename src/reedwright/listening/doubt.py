"""The honest doubt of a reading: what a second recording would say, in cents.

The estimator's own error is the least of it. A note drifts while it sounds, so
the mean depends on which stretch is taken; pitch moves with the bellows
pressure; the same reed played again reads a little differently; the recorder's
clock is off; and metal softens when it is warm. Each is a standard deviation in
cents and they add as squares, being independent.

A recorder's clock that runs fast counts more samples in a second than it says,
so everything sounds flat in the recording: what was heard is multiplied by
1 + ``clock_ppm`` 1e-6.
"""

import math
from collections import defaultdict
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from reedwright.errors import RecordingError
from reedwright.instrument.reading import DoubtBudget, SecondReed, Tone
from reedwright.units import CENTS_PER_NATURAL_LOG, cents_from_ratio

__all__ = [
    "ClockCalibration",
    "PlayingDoubt",
    "calibrate_clock",
    "clock_corrected",
    "doubt_budget",
    "playing_doubt",
]

#: A reed played again by the same hands: assumption; common practice, no source.
ASSUMED_REPEATABILITY_CENTS = 0.5
#: The assumption counts as much as this many repeats.
_ASSUMPTION_WEIGHT = 4.0
#: How much the level of a note varies from one playing to the next: assumption; common
#: practice, no source. Wider spreads than the limit are reeds of unlike strength.
_ASSUMED_LEVEL_SPREAD_DB, _WIDEST_LEVEL_SPREAD_DB = 2.0, 3.0
#: Pitch against pressure where this reed did not show it, cents per doubling of pressure
#: (6 dB): lowest pitch of the range, cents. From memory, low confidence (notes of the
#: trade, 8.1: top two octaves 0-2, middle 1-3, below C3 3-8); no table was found.
_CENTS_PER_DOUBLING = ((523.0, 1.0), (130.8, 2.0), (0.0, 5.5))
_DOUBLING_DB = 20.0 * math.log10(2.0)
#: Another listener might take a stretch that lies this share of its length to either side.
_STRETCH_MOVED = 0.1
#: No recorder's clock is further off, parts per million; the tone was then another one.
_WORST_CLOCK_PPM = 1_000.0
#: Steel; editable with the metal. Source: derived, docs/theory/tongue.md.
STEEL_CENTS_PER_K, TEMPERATURE_DOUBT_K = -0.20, 2.0


@dataclass(frozen=True, slots=True)
class ClockCalibration:
    """How far a recorder's clock is off: > 0 runs fast; ``doubt_ppm`` is one sigma."""

    clock_ppm: float
    doubt_ppm: float


@dataclass(frozen=True, slots=True)
class PlayingDoubt:
    """What the recording itself tells of how evenly the reeds were played.

    ``repeats`` is the number of comparisons ``repeatability_cents`` rests on; with
    none it is an assumption. ``level_spread_db`` is the standard deviation of a
    note's level from one playing to the next.
    """

    repeatability_cents: float
    repeats: int
    level_spread_db: float


def clock_corrected(tone: Tone, clock_ppm: float) -> Tone:
    """Return a tone with its frequencies as a true clock would have counted them.

    f_true = f_heard (1 + clock_ppm 1e-6), ``clock_ppm`` > 0 for a clock that runs
    fast. Times, some parts per million off, are left as the recorder counts them.
    """
    if clock_ppm == 0.0:
        return tone
    ratio = 1.0 + clock_ppm * 1e-6
    second = tone.second
    return replace(
        tone,
        frequency_hz=tone.frequency_hz * ratio,
        interval_low_hz=tone.interval_low_hz * ratio,
        interval_high_hz=tone.interval_high_hz * ratio,
        second=None if second is None else _second_corrected(second, ratio),
    )


def _second_corrected(second: SecondReed, ratio: float) -> SecondReed:
    frequency_hz = None if second.frequency_hz is None else second.frequency_hz * ratio
    return replace(second, beat_hz=second.beat_hz * ratio, frequency_hz=frequency_hz)


def calibrate_clock(
    tone: Tone, reference_hz: float, *, reference_doubt_ppm: float = 1.0
) -> ClockCalibration:
    """Return how far a recorder's clock is off, from a recorded tone of known frequency.

    Parameters
    ----------
    tone
        The tone as heard, not corrected.
    reference_hz : float > 0
        What the tone truly is, hertz, such as a time signal's 1000 Hz.
    reference_doubt_ppm : float >= 0
        One-sigma doubt of that; a cheap signal generator may be 50 ppm off.

    Raises
    ------
    RecordingError
        If ``reference_hz`` is not positive or the tone is over 1000 ppm from it.
    """
    if not reference_hz > 0.0 or not math.isfinite(reference_hz):
        raise RecordingError(
            f"a reference frequency is more than 0 Hz, got {reference_hz}; give it in hertz"
        )
    clock_ppm = (reference_hz / tone.frequency_hz - 1.0) * 1e6
    if abs(clock_ppm) > _WORST_CLOCK_PPM:
        raise RecordingError(
            f"a recorder's clock is within {_WORST_CLOCK_PPM:.0f} ppm, the tone heard at "
            f"{tone.frequency_hz:.3f} Hz is {abs(clock_ppm):.0f} ppm from {reference_hz:.3f} Hz; "
            "check the reference frequency"
        )
    estimator_ppm = tone.standard_error_cents / CENTS_PER_NATURAL_LOG * 1e6
    return ClockCalibration(clock_ppm, math.hypot(estimator_ppm, reference_doubt_ppm))


def playing_doubt(played: Iterable[tuple[Hashable, Tone]]) -> PlayingDoubt:
    """Return how evenly reeds were played, from those that were played more than once.

    Each playing is compared with the one before it of the same reed. The standard
    deviation of a single playing is the root mean square difference over the
    square root of 2; from four differences on the median is taken instead,
    1.4826 median |d| / sqrt 2, so that one slip does not spoil it. It is then drawn
    to the assumed value as if four differences had shown that
    (s^2 = (n s_n^2 + 4 s_0^2) / (n + 4): [Gelman2013]_ section 2.6, the mean of a
    scaled inverse chi-square, near enough).

    Parameters
    ----------
    played
        Pairs of which reed and what was heard, in order of time; notes that were
        broken off should be left out.
    """
    by_reed: dict[Hashable, list[Tone]] = defaultdict(list)
    for reed, tone in played:
        by_reed[reed].append(tone)
    pairs = [(first, second) for tones in by_reed.values() for first, second in pairwise(tones)]
    apart_cents = [
        cents_from_ratio(second.frequency_hz / first.frequency_hz) for first, second in pairs
    ]
    apart_db = [second.level_dbfs - first.level_dbfs for first, second in pairs]
    return PlayingDoubt(
        repeatability_cents=_drawn(apart_cents, ASSUMED_REPEATABILITY_CENTS),
        repeats=len(pairs),
        level_spread_db=min(_drawn(apart_db, _ASSUMED_LEVEL_SPREAD_DB), _WIDEST_LEVEL_SPREAD_DB),
    )


def _drawn(differences: Sequence[float], assumed: float) -> float:
    """Return a standard deviation from differences of pairs, drawn to an assumed one."""
    count = len(differences)
    if count == 0:
        return assumed
    sizes = np.abs(np.array(differences))
    spread = 1.4826 * float(np.median(sizes)) if count >= 4 else float(np.sqrt(np.mean(sizes**2)))
    shown = spread**2 / 2.0
    return math.sqrt(
        (count * shown + _ASSUMPTION_WEIGHT * assumed**2) / (count + _ASSUMPTION_WEIGHT)
    )


def doubt_budget(
    tone: Tone,
    playing: PlayingDoubt,
    *,
    clock_doubt_ppm: float,
    temperature_doubt_k: float = TEMPERATURE_DOUBT_K,
    cents_per_k: float = STEEL_CENTS_PER_K,
) -> DoubtBudget:
    """Return where the doubt of a tone comes from, one sigma each, in cents.

    - estimator: its own standard error.
    - drift: had the measured stretch, T long, lain anywhere within a tenth of T to
      either side, the mean of a note that drifts by D cents per second would lie
      within 0.1 T D: as a standard deviation 0.1 T D / sqrt 3. Derived here.
    - pressure: cents per decibel times the spread of level. This reed's own slope
      where its standard error is less than the slope assumed for its pitch, else
      that one. Source and limits: free reeds fall by about 14 cents per kilopascal
      ([Misdariis2000]_, read from its figure), but level against pressure is not
      known for concertinas, so the assumed slopes are from memory.
    - repeatability: ``playing_doubt``; it holds some pressure and drift again, so
      the sum errs to the safe side.
    - clock: 1731.23 cents times the doubt as a ratio (1200 / ln 2).
    - temperature: kelvins of doubt times the metal's coefficient.
    """
    measured_s = tone.measured_to_s - tone.measured_from_s
    drift_cents = _STRETCH_MOVED * measured_s * abs(tone.drift_cents_per_s) / math.sqrt(3.0)
    return DoubtBudget(
        estimator_cents=tone.standard_error_cents,
        drift_cents=drift_cents,
        pressure_cents=_cents_per_db(tone) * playing.level_spread_db,
        repeatability_cents=playing.repeatability_cents,
        clock_cents=clock_doubt_ppm * 1e-6 * CENTS_PER_NATURAL_LOG,
        temperature_cents=abs(cents_per_k) * temperature_doubt_k,
    )


def _cents_per_db(tone: Tone) -> float:
    """Return how strongly pitch follows level, measured if it was measured well enough."""
    assumed = next(
        per_doubling / _DOUBLING_DB
        for lowest_hz, per_doubling in _CENTS_PER_DOUBLING
        if tone.frequency_hz >= lowest_hz
    )
    slope, error = tone.drift_cents_per_db, tone.drift_cents_per_db_standard_error
    if slope is None or error is None or error >= assumed:
        return assumed
    return math.hypot(slope, error)
