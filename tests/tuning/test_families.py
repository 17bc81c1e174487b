"""The tunings held possible: their shares, their patterns, no pattern twice."""

from itertools import combinations

import numpy as np
import pytest
from tests.tuning.invented import TREBLE, TUNINGS

from reedwright.instrument.note import SpelledNote
from reedwright.tuning import Family
from reedwright.tuning.families import candidates_of

NOTES = [TREBLE.note(reed) for reed in TREBLE.reeds()]
CANDIDATES = candidates_of(NOTES, TUNINGS.temperaments)


def test_the_shares_add_up_to_one() -> None:
    """Every candidate has a share, and together they are certain."""
    assert sum(candidate.prior for candidate in CANDIDATES) == pytest.approx(1.0)
    assert all(candidate.prior > 0.0 for candidate in CANDIDATES)


def test_what_is_the_same_notes_is_one_candidate() -> None:
    """No two circulating candidates have one pattern: Vallotti turned by a fifth is Young II."""
    patterns = [c.design.fixed for c in CANDIDATES if c.family is Family.CIRCULATING]
    assert len(patterns) > 24
    assert not any(np.allclose(one, other) for one, other in combinations(patterns, 2))


def test_a_stands_at_zero_in_every_pattern() -> None:
    """What is left of the offset of A is its pitch."""
    is_a = np.array([note.pitch_class_name == "A" for note in NOTES])
    for candidate in CANDIDATES:
        assert candidate.design.fixed[is_a] == pytest.approx(0.0, abs=1e-9)


def test_enharmonic_notes_stand_together_in_circulating_ones_only() -> None:
    """G# and Ab are one pitch where fifths circulate, 41 cents apart in quarter-comma."""
    notes = [SpelledNote.parse("G#4"), SpelledNote.parse("Ab4")]
    for candidate in candidates_of(notes, TUNINGS.temperaments):
        apart = candidate.design.fixed[1] - candidate.design.fixed[0]
        if candidate.family is Family.CIRCULATING:
            assert apart == pytest.approx(0.0, abs=1e-9)
        if candidate.temperament == "quarter-comma":
            assert apart == pytest.approx(41.059, abs=1e-3)
