"""Masses and sizes of parts from files."""

from importlib.resources import files
from pathlib import Path

import pytest

from reedwright.catalogue import load_layout, load_part_figures
from reedwright.errors import CatalogueError, NotFound
from reedwright.instrument.parts import parts_list

SHIPPED = (files("reedwright.catalogue") / "parts" / "part-figures.toml").read_text("utf-8")


def test_every_figure_has_its_working() -> None:
    """And a mark; only a chamber, which is a room, weighs nothing."""
    figures = load_part_figures()
    assert all(len(mass.working) > 15 for mass in figures.parts.values())
    assert {part for part, mass in figures.parts.items() if mass.mass_g == 0.0} == {"chamber"}


def test_a_file_of_ones_own_changes_the_list(tmp_path: Path) -> None:
    """Half-heavy buttons: 48 times 0.4 g less."""
    path = tmp_path / "mine.toml"
    path.write_text(SHIPPED.replace("mass_g = 0.8", "mass_g = 0.4"), encoding="utf-8")
    layout = load_layout("english-treble-48")
    ours = parts_list(layout, load_part_figures())
    theirs = parts_list(layout, load_part_figures(path))
    assert ours.mass_g - theirs.mass_g == pytest.approx(48 * 0.4)


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("[part.lever]", "[part.leaver]", "leaver is none of them; the parts are clamp_bar"),
        ("mass_g = 0.8", "mass_g = -0.8", r"part, button, mass_g: .*greater.* got -0.8"),
        ("mass_g = 0.8", "weight_g = 0.8", r"part, button"),
        ('note = "C2"', 'note = "C"', r"mine.toml, reed, size 1, note: .*got 'C'"),
        ('note = "C2"', 'note = "C9"', "the sizes go up in pitch, G2 comes after C9"),
        ("doubt_fraction = 0.25", "doubt_fraction = 2.0", "doubt_fraction: .*less than 1, got 2.0"),
        ("[reed]", "[reed", "must be TOML"),
    ],
)
def test_a_file_that_is_no_list_of_figures_is_refused(
    tmp_path: Path, old: str, new: str, message: str
) -> None:
    """The message gives the file and the place."""
    path = tmp_path / "mine.toml"
    assert old in SHIPPED
    path.write_text(SHIPPED.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(CatalogueError, match=message):
        load_part_figures(path)


def test_a_part_left_out_is_missed(tmp_path: Path) -> None:
    """And a file that is not there is not found."""
    path = tmp_path / "mine.toml"
    path.write_text(SHIPPED[: SHIPPED.index("[part.bellows_paper]")], encoding="utf-8")
    with pytest.raises(CatalogueError, match="bellows_paper is missing"):
        load_part_figures(path)
    with pytest.raises(NotFound):
        load_part_figures(tmp_path / "none.toml")
