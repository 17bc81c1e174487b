"""Offsets from targets, pairs, overall pitch and what they say."""

import math
from collections.abc import Callable

import numpy as np
import pytest

from reedwright.catalogue import load_layout
from reedwright.catalogue.tunings import read_tunings
from reedwright.errors import InputError
from reedwright.instrument.layout import Direction, Layout, Reed
from reedwright.instrument.note import SpelledNote
from reedwright.instrument.reading import DoubtBudget, Missing, Reading, Survey, Tone, Trace
from reedwright.tuning import (
    Scheme,
    Tolerance,
    findings_of,
    overall_pitch,
    reed_offsets,
    target_frequency_hz,
    targets_of,
)

TUNINGS = read_tunings()
EQUAL = Scheme(440.0, TUNINGS.temperament("equal"))
ENGLISH = load_layout("english-treble-48")


def tone(frequency_hz: float) -> Tone:
    """Return a tone of that frequency and nothing remarkable else."""
    return Tone(
        start_s=0.0, end_s=2.0, measured_from_s=0.4, measured_to_s=1.8,
        frequency_hz=frequency_hz, standard_error_cents=0.01,
        interval_low_hz=frequency_hz, interval_high_hz=frequency_hz,
        trace=Trace((), (), (), ()), partials=(), level_dbfs=-20.0, steadiness_cents=0.1,
        drift_cents_per_s=0.0, drift_cents_per_s_standard_error=0.1,
        drift_cents_per_db=None, drift_cents_per_db_standard_error=None,
        rise_time_s=None, speaking_delay_s=None, noise_bands=(), hum_hz=None,
        clipped_fraction=0.0, second=None, cautions=(),
    )  # fmt: skip


def reading(
    layout: Layout, reed: Reed, frequency_hz: float, *, own_cents: float = 0.3,
    doubt: str | None = None,
) -> Reading:  # fmt: skip
    """Return a reading of a reed with a given own doubt; clock and temperature 0.4 together."""
    key = layout.key(reed.key)
    return Reading(
        key=reed.key, side=key.side, note=layout.note(reed), direction=reed.direction,
        tone=tone(frequency_hz), confidence=0.99, doubt=doubt, also_possible=(),
        doubt_budget=DoubtBudget(0.0, 0.0, 0.0, own_cents, 0.0, 0.4),
    )  # fmt: skip


def survey(
    layout: Layout,
    frequency_hz: Callable[[Reed], float | None],
    extra: tuple[Reading, ...] = (),
) -> Survey:
    """Return a survey with the frequencies a function gives; None is a reed that is missing."""
    heard = [(reed, frequency_hz(reed)) for reed in layout.reeds()]
    return Survey(
        layout=layout.layout, order="ascending", duration_s=400.0, sample_rate_hz=44100.0,
        shift_cents=0.0,
        readings=(*(reading(layout, reed, f) for reed, f in heard if f is not None), *extra),
        missing=tuple(
            Missing(reed.key, layout.key(reed.key).side, layout.note(reed), reed.direction)
            for reed, f in heard
            if f is None
        ),
        unplaced=(), cautions=(),
    )  # fmt: skip


def shifted(layout: Layout, cents: Callable[[Reed], float], a4_hz: float = 440.0) -> Survey:
    """Return a survey of an instrument in equal temperament with given offsets."""
    scheme = Scheme(a4_hz, EQUAL.temperament)
    return survey(
        layout,
        lambda reed: target_frequency_hz(layout.note(reed), scheme) * math.exp2(cents(reed) / 1200),
    )


def test_offsets_come_back_with_their_doubt() -> None:
    """What each reed is off, and the doubt of it: its own 0.3 and the shared 0.4 make 0.5."""
    heard = shifted(ENGLISH, lambda reed: 5.0 if reed.direction is Direction.PRESS else -1.0)
    offsets = reed_offsets(ENGLISH, heard, targets_of(ENGLISH, EQUAL), tolerance=Tolerance())
    assert len(offsets) == 96
    for offset in offsets:
        is_press = offset.target.direction is Direction.PRESS
        assert offset.offset_cents == pytest.approx(5.0 if is_press else -1.0, abs=1e-9)
        assert offset.doubt_cents == pytest.approx(0.5)
        assert offset.partner_difference_cents == pytest.approx(6.0, abs=1e-9)
        assert offset.is_within_tolerance is not is_press


def test_the_outer_reeds_have_a_wider_tolerance() -> None:
    """2.5 cents is out of tolerance in the middle, within it at the top and the bottom."""
    offsets = reed_offsets(
        ENGLISH, shifted(ENGLISH, lambda _: 2.5), targets_of(ENGLISH, EQUAL), tolerance=Tolerance()
    )
    within = {o.target.note.name for o in offsets if o.is_within_tolerance}
    assert {"G3", "F#4", "C7", "G6"} <= within
    assert not {"G4", "C5", "F6"} & within


def test_missing_reeds_stay_in_the_list() -> None:
    """A reed that was not heard keeps its target and has no numbers."""
    heard = survey(ENGLISH, lambda reed: None if reed.key == "L2.1" else 440.0)
    offsets = reed_offsets(ENGLISH, heard, targets_of(ENGLISH, EQUAL), tolerance=Tolerance())
    silent = [o for o in offsets if o.target.key == "L2.1"]
    assert len(silent) == 2
    assert all(o.offset_cents is None and o.is_within_tolerance is None for o in silent)


def test_repeats_are_weighted_and_doubtful_ones_set_aside() -> None:
    """Two equal readings halve the variance; a doubtful third does not count beside them."""
    reed = Reed("L2.1", Direction.PRESS)
    target_hz = target_frequency_hz(ENGLISH.note(reed), EQUAL)
    up = target_hz * math.exp2(2.0 / 1200)
    heard = survey(
        ENGLISH,
        lambda each: target_hz if each == reed else None,
        extra=(reading(ENGLISH, reed, up), reading(ENGLISH, reed, 2 * up, doubt="or another")),
    )
    offset = next(
        o
        for o in reed_offsets(ENGLISH, heard, targets_of(ENGLISH, EQUAL), tolerance=Tolerance())
        if (o.target.key, o.target.direction) == ("L2.1", Direction.PRESS)
    )
    assert offset.offset_cents == pytest.approx(1.0, abs=1e-9)
    assert offset.doubt_cents == pytest.approx(math.hypot(0.3 / math.sqrt(2), 0.4))


def test_an_anglo_compares_with_like_pitch_never_with_the_other_direction() -> None:
    """On a bisonoric key the partner is every other reed of that pitch."""
    anglo = load_layout("anglo-30-a")
    notes = [anglo.note(reed).semitone for reed in anglo.reeds()]
    first = next(reed for reed in anglo.reeds() if notes.count(anglo.note(reed).semitone) > 1)
    heard = shifted(anglo, lambda reed: 6.0 if reed == first else 1.0)
    offsets = reed_offsets(anglo, heard, targets_of(anglo, EQUAL), tolerance=Tolerance())
    astray = next(
        o for o in offsets if (o.target.key, o.target.direction) == (first.key, first.direction)
    )
    assert astray.partner_difference_cents == pytest.approx(5.0)
    alone = [
        o
        for o in offsets
        if sum(p.target.frequency_hz == o.target.frequency_hz for p in offsets) == 1
    ]
    assert alone
    assert all(o.partner_difference_cents is None for o in alone)


def test_overall_pitch_is_robust_and_honest() -> None:
    """With five of 96 reeds far off the pitch is found within its 95 % doubt, mostly."""
    inside = 0
    trials = 200
    spreads = []
    for seed in range(trials):
        rng = np.random.default_rng(seed)
        scatter = dict(zip(ENGLISH.reeds(), rng.normal(0.0, 5.0, 96), strict=True))
        for reed in rng.choice(96, 5, replace=False):
            scatter[ENGLISH.reeds()[reed]] += rng.choice([-45.0, 45.0])
        heard = shifted(ENGLISH, scatter.__getitem__, a4_hz=452.5)
        pitch = overall_pitch(
            reed_offsets(ENGLISH, heard, targets_of(ENGLISH, EQUAL), tolerance=Tolerance()), EQUAL
        )
        inside += abs(1200 * math.log2(pitch.a4_hz / 452.5)) < 1.96 * pitch.doubt_cents
        assert pitch.reeds == 96
        spreads.append(pitch.spread_cents)
    # 95 % of 200 is 190, standard deviation 3.1: five of them either way.
    assert 174 <= inside <= trials
    assert 4.9 < float(np.mean(spreads)) < 6.0


def test_an_old_pitch_is_said_and_is_no_fault() -> None:
    """At 452.5 Hz the finding names the old pitch and the cents; at 440 nothing is said."""
    for a4_hz, expected in ((452.5, 1), (440.0, 0)):
        heard = shifted(ENGLISH, lambda _: 0.3, a4_hz=a4_hz)
        offsets = reed_offsets(ENGLISH, heard, targets_of(ENGLISH, EQUAL), tolerance=Tolerance())
        found = findings_of(offsets, overall_pitch(offsets, EQUAL), TUNINGS.pitch_standards)
        assert len(found) == expected
        if found:
            assert "49 cents above 440 Hz" in found[0].statement
            assert "old philharmonic" in found[0].statement
            assert "not a fault" in found[0].statement


def test_meantone_shows_as_notes_tuned_apart() -> None:
    """An instrument in quarter-comma: E flat lies 41 cents above D sharp, and it is no fault."""
    scheme = Scheme(440.0, TUNINGS.temperament("quarter-comma"))
    heard = survey(ENGLISH, lambda reed: target_frequency_hz(ENGLISH.note(reed), scheme))
    offsets = reed_offsets(ENGLISH, heard, targets_of(ENGLISH, EQUAL), tolerance=Tolerance())
    found = findings_of(offsets, overall_pitch(offsets, EQUAL), TUNINGS.pitch_standards)
    assert any("E♭ lies 41 cents above D♯" in finding.statement for finding in found)
    assert any("A♭ lies 41 cents above G♯" in finding.statement for finding in found)


def test_too_few_reeds_for_an_overall_pitch_are_refused() -> None:
    """Four reeds say nothing about an instrument."""
    reeds = ENGLISH.reeds()[:4]
    heard = survey(ENGLISH, lambda reed: 440.0 if reed in reeds else None)
    offsets = reed_offsets(ENGLISH, heard, targets_of(ENGLISH, EQUAL), tolerance=Tolerance())
    with pytest.raises(InputError, match="at least five reeds, 4 were heard"):
        overall_pitch(offsets, EQUAL)


def test_targets_follow_the_layout() -> None:
    """One target per reed, key by key, in the frequency of its spelled note."""
    targets = targets_of(ENGLISH, EQUAL)
    assert [(t.key, t.direction) for t in targets] == [
        (reed.key, reed.direction) for reed in ENGLISH.reeds()
    ]
    a4 = next(t for t in targets if t.note == SpelledNote.parse("A4"))
    assert a4.frequency_hz == 440.0
