"""The figures of bellows: what ships, what a file of the user's may say, what is refused."""

from importlib.resources import files
from pathlib import Path

import pytest

from reedwright.catalogue.bellows import load_bellows_figures
from reedwright.errors import CatalogueError, NotFound
from reedwright.instrument.evidence import EvidenceMark

SHIPPED = (files("reedwright.catalogue") / "bellows.toml").read_text(encoding="utf-8")


def own(tmp_path: Path, before: str, after: str) -> Path:
    """Return a file of the user's: the shipped one with one change."""
    assert SHIPPED.count(before) >= 1
    path = tmp_path / "mine.toml"
    path.write_text(SHIPPED.replace(before, after, 1), encoding="utf-8")
    return path


def test_defaults_that_outside_checks_rely_on() -> None:
    """Layers 1.0, 0.2, 0.4, 0.35; gaps 1.0 and 0.4; 45 degrees usual, 35 cautious."""
    figures = load_bellows_figures()
    layers = figures.layers
    assert (layers.card_mm, layers.cloth_mm, layers.strip_mm, layers.gusset_mm) == (
        1.0, 0.2, 0.4, 0.35,
    )  # fmt: skip
    assert (figures.allowances.peak_gap_mm, figures.allowances.valley_gap_mm) == (1.0, 0.4)
    assert (figures.usual_opening_deg, figures.cautious_opening_deg) == (45.0, 35.0)


def test_every_figure_carries_its_evidence() -> None:
    """A mark and a sentence; most are from memory and say so."""
    figures = load_bellows_figures()
    assert all(material.evidence for material in figures.materials)
    assert all(figure.evidence for figure in figures.figures)
    marks = [entry.evidence_mark for entry in figures.figures]
    assert marks.count(EvidenceMark.MEMORY) > len(marks) / 2
    assert figures.material("card").grain == "grain along the long edge"
    with pytest.raises(KeyError):
        figures.material("tin")


def test_the_users_own_file_replaces_the_shipped_one(tmp_path: Path) -> None:
    """One figure and one thickness changed are what is used."""
    thick = load_bellows_figures(own(tmp_path, "thickness_mm = 1.0", "thickness_mm = 1.5"))
    assert thick.layers.card_mm == 1.5
    usual = own(tmp_path, "value = 45.0", "value = 40.0")
    assert load_bellows_figures(usual).usual_opening_deg == 40.0


@pytest.mark.parametrize(
    ("before", "after", "message"),
    [
        ('figure = "peak_gap_mm"', 'figure = "peek_gap_mm"', "fails for peak_gap_mm, peek_gap_mm"),
        ('material = "card"', 'material = "tin"', "fails for card, tin"),
        ('material = "card"', 'material = "cloth"', "every material stands in the file once"),
        ("value = 6.0", "value = -6.0", "figure 1, value: .*got -6.0"),
        ("value = 6.0", 'value = "six"', "got 'six'"),
        ('evidence_mark = "memory"', 'evidence_mark = "guess"', "evidence_mark"),
        ("value = 0.10", "value = 0.0", "air_l_s_per_note divides and is above 0, got 0"),
        ("thickness_mm = 1.0", "thick_mm = 1.0", "the field 'thickness_mm' must be given"),
        ("thickness_mm = 1.0", "thickness_mm = 1.0\ntint = 2", "known fields .* 'tint'"),
    ],
)
def test_files_that_say_something_else_are_refused(
    tmp_path: Path, before: str, after: str, message: str
) -> None:
    """With the place, the rule and what was found."""
    with pytest.raises(CatalogueError, match=message):
        load_bellows_figures(own(tmp_path, before, after))


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    """Is not replaced by the shipped one in silence."""
    with pytest.raises(NotFound, match="does not; check the name"):
        load_bellows_figures(tmp_path / "none.toml")
