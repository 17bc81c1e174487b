"""A file of tunings, shipped or the user's own, is read whole or refused in words."""

from pathlib import Path

import pytest

from reedwright.catalogue.tunings import read_tunings
from reedwright.errors import CatalogueError, NotFound
from reedwright.instrument.note import SpelledNote

OWN = """
[[pitch_standard]]
pitch_standard = "band"
title = "our band"
a4_hz = 443.0
evidence = "agreed in the kitchen"

[[temperament]]
temperament = "ours"
title = "our own"
kind = "table"
cents_above_c = { C = 0.0, D = 200.0, E = 395.0 }
evidence = "by ear"

[[temperament]]
temperament = "two-sevenths"
title = "two-sevenths comma"
kind = "regular"
narrowed_by = [0.2857142857142857, "syntonic"]
evidence = "Zarlino 1558, from memory"
"""


def test_own_tunings_come_before_the_shipped_ones(tmp_path: Path) -> None:
    """A user's file adds its names and leaves the shipped ones."""
    (tmp_path / "own.toml").write_text(OWN)
    tunings = read_tunings(tmp_path / "own.toml")
    assert tunings.pitch_standard("band").a4_hz == 443.0
    assert tunings.temperament("ours").deviation_cents(SpelledNote.parse("E4")) == -5.0
    assert tunings.temperament("two-sevenths").fifth_cents == pytest.approx(695.810, abs=0.001)
    assert tunings.temperament("equal").fifth_cents == 700.0


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("a4_hz = 443.0", "a4_hz = 44.0", "greater than 300, got 44"),
        ("a4_hz = 443.0", 'a4_hz = "high"', "valid number, got 'high'"),
        ('evidence = "by ear"', "", "'evidence' must be given"),
        ('kind = "table"', 'kind = "odd"', "odd"),
        ("C = 0.0", "C = 1.0", "needs C = 0"),
        ("E = 395.0", "H = 395.0", "capital letter A to G"),
        ('narrowed_by = [0.2857142857142857, "syntonic"]', "", "has neither"),
        ('title = "our band"', 'colour = "red"\ntitle = "our band"', "'colour' is not one"),
        ("[[temperament]]", "[[temperament", "must be TOML"),
    ],
)
def test_a_faulty_file_is_refused_in_words(tmp_path: Path, old: str, new: str, words: str) -> None:
    """Each fault is named with the file, the place and what would be right."""
    (tmp_path / "own.toml").write_text(OWN.replace(old, new, 1))
    with pytest.raises(CatalogueError, match=words):
        read_tunings(tmp_path / "own.toml")


def test_unknown_names_are_refused_with_the_known_ones() -> None:
    """A name that is not there is answered with those that are."""
    with pytest.raises(NotFound, match="equal, quarter-comma"):
        read_tunings().temperament("quatre")
    with pytest.raises(NotFound, match="a440"):
        read_tunings().pitch_standard("loud")
    with pytest.raises(NotFound, match="must exist"):
        read_tunings(Path("nowhere.toml"))
