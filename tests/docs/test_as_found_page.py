"""What docs/theory/as-found.md says of shares, limits and minutes is what the program has."""

from pathlib import Path

import pytest

from reedwright.catalogue.tunings import read_tunings
from reedwright.instrument.note import CONCERTINA_CHAIN, SpelledNote
from reedwright.jobs.work_estimate import WorkTimes
from reedwright.tuning import Family, Scheme, target_frequency_hz
from reedwright.tuning.families import candidates_of, chain_places
from reedwright.tuning.model_choice import ALL_BUT_CERTAIN_FROM, SURE_FROM
from reedwright.tuning.outlier_mixture import (
    ASTRAY_BETA,
    ASTRAY_CENTS,
    SOUND_BETA,
    USUAL_SCATTER_CENTS,
)

ROOT = Path(__file__).parents[2]
FLAT = " ".join((ROOT / "docs/theory/as-found.md").read_text(encoding="utf-8").split())
NOTES = [SpelledNote.parse(name + "4") for name in CONCERTINA_CHAIN]


def test_the_chain_is_numbered_as_told() -> None:
    """Each of the fourteen names stands with its place."""
    for note, place in zip(NOTES, chain_places(NOTES), strict=True):
        written = f"{note.printed[:-1]} {place:.0f}".replace("-", "−")
        assert written in FLAT


def test_the_shares_beforehand_are_as_told() -> None:
    """Of all tunings held possible, the families share as in the table."""
    candidates = candidates_of(NOTES, read_tunings().temperaments)
    for family, told in (
        (Family.EQUAL, 0.317), (Family.REGULAR, 0.317), (Family.CIRCULATING, 0.317),
        (Family.UNCLEAR, 0.05),
    ):  # fmt: skip
        share = sum(c.prior for c in candidates if c.family is family)
        assert share == pytest.approx(told, abs=5e-4)
        assert f"| {told} |" in FLAT


def test_the_figures_told_are_those_used() -> None:
    """Scatter, share astray, sureness and minutes."""
    assert f"T = {ASTRAY_CENTS:.0f} cents" in FLAT
    assert f"s is about {USUAL_SCATTER_CENTS:.0f} cents" in FLAT
    assert f"Beta({ASTRAY_BETA:.0f}, {SOUND_BETA:.0f})" in FLAT
    assert f"probability of {SURE_FROM}" in FLAT
    assert f"{100 * ALL_BUT_CERTAIN_FROM:.0f} % sure" in FLAT
    times = WorkTimes()
    assert f"{times.minutes_per_reed:.0f} minutes for each reed touched" in FLAT
    assert f"{times.minutes_per_cent} for each cent" in FLAT
    assert f"{times.minutes_per_tip_weight:.0f} for solder" in FLAT
    assert f"{times.minutes_per_new_tongue:.0f} for a new tongue" in FLAT


def test_the_a_of_werckmeister_is_four_cents_off_its_line() -> None:
    """The mean over the fourteen names lies so far above A, as the page says."""
    scheme = Scheme(440.0, read_tunings().temperament("werckmeister-3"))
    equal = Scheme(440.0, read_tunings().temperament("equal"))
    off = [
        1731.2 * (target_frequency_hz(n, scheme) / target_frequency_hz(n, equal) - 1.0)
        for n in NOTES
    ]
    assert sum(off) / len(off) == pytest.approx(4.0, abs=1.0)
    assert "off the line (by 4 cents in Werckmeister III)" in FLAT
