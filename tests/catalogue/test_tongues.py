"""Profiles, metals, scale and rules: what their files may hold, and what is refused and how."""

import math
from importlib.resources import files
from pathlib import Path

import pytest

from reedwright.catalogue.tongues import (
    load_filing_rules,
    load_metal,
    load_metals,
    load_tongue_scale,
    read_tongue_profile,
)
from reedwright.errors import CatalogueError, InputError, NotFound
from reedwright.reedwork import examine_tongue

PROFILE = """
youngs_modulus_pa = 200e9
density_kg_m3 = 7850
tip_mass_mg = 2.5

[[station]]
x_mm = 0
thickness_mm = 0.34
width_mm = 2.9

[[station]]
x_mm = 25.0
thickness_mm = 0.25
width_mm = 2.4
"""


def shipped(name: str) -> str:
    return (files("reedwright.catalogue") / name).read_text("utf-8")


def write(folder: Path, text: str) -> Path:
    path = folder / "mine.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_profile_is_read_as_a_measured_tongue(tmp_path: Path) -> None:
    """Figures as typed, whole numbers too; nothing assumed but small doubts of measuring."""
    tongue = read_tongue_profile(write(tmp_path, PROFILE))
    assert [(s.x_mm, s.thickness_mm, s.width_mm) for s in tongue.stations] == [
        (0.0, 0.34, 2.9),
        (25.0, 0.25, 2.4),
    ]
    assert (tongue.metal.youngs_modulus_pa, tongue.metal.density_kg_m3) == (200e9, 7850.0)
    assert tongue.tip_mass_mg == 2.5
    assert not tongue.is_assumed
    assert tongue.metal.temperature_coefficient_cents_per_k is None
    assert (tongue.thickness_doubt_fraction, tongue.length_doubt_fraction) == (0.03, 0.01)


def test_a_profile_without_a_tip_mass_has_none(tmp_path: Path) -> None:
    """The tip mass may be left out; more may be given."""
    text = PROFILE.replace("tip_mass_mg = 2.5", 'metal = "brass"\nlength_doubt_fraction = 0.0')
    tongue = read_tongue_profile(write(tmp_path, text))
    assert tongue.tip_mass_mg == 0.0
    assert tongue.metal.metal == "brass"
    assert tongue.length_doubt_fraction == 0.0


def test_a_profile_file_gives_the_benchmarks_frequencies(tmp_path: Path) -> None:
    """The double taper of SDLL09 through the file: 54.18 Hz and on, as printed there.

    Source: test_double_taper.py names it; the printed Hz are 0.3 to 0.6 cent low.
    """
    text = (
        "youngs_modulus_pa = 2e11\ndensity_kg_m3 = 7800\n"
        "[[station]]\nx_mm = 0\nthickness_mm = 40\nwidth_mm = 40\n"
        "[[station]]\nx_mm = 1000\nthickness_mm = 10\nwidth_mm = 10\n"
    )
    modes = examine_tongue(read_tongue_profile(write(tmp_path, text)))
    printed_hz = (54.18, 171.94, 384.40, 697.24, 1112.28)
    for found, printed in zip(modes.frequencies_hz, printed_hz, strict=True):
        assert 0.0 < 1200.0 * math.log2(found / printed) < 0.7
    assert modes.frequencies_hz[0] == pytest.approx(54.18872, abs=5e-6)


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("youngs_modulus_pa = 200e9\n", "", "'youngs_modulus_pa' must be given"),
        ("youngs_modulus_pa = 200e9", "youngs_modulus_pa = 200", "write pascals"),
        ("density_kg_m3 = 7850", "density_kg_m3 = 7.85", "write kilograms per cubic metre"),
        ("tip_mass_mg = 2.5", "tip_mass_mg = -1", "must not be negative, got -1 mg"),
        ("tip_mass_mg = 2.5", 'tip_mass_mg = "2.5"', "valid number"),
        ("tip_mass_mg = 2.5", "tip_mass_g = 2.5", "'tip_mass_g' is not one"),
        ("x_mm = 0\n", "x_mm = 1\n", "at the clamp, x = 0, got 1 mm"),
        ("x_mm = 25.0", "x_mm = 0", "got 0 mm after 0 mm"),
        ("thickness_mm = 0.25", "thickness_mm = -0.25", "got -0.25 mm at 25 mm"),
        ("thickness_mm = 0.25", "thickness_mm = 3.25", "got 0.130; check that all dimensions"),
        ("thickness_mm = 0.25", "thickness_mm = 0", "cannot carry a mass, got 2.5 mg"),
        ("width_mm = 2.4", "width_mm = nan", "width must be above zero"),
        ("width_mm = 2.4", "", "'width_mm' must be given"),
        ("density_kg_m3 = 7850", "density_kg_m3 = ", "must be TOML"),
        ("tip_mass_mg = 2.5", "temperature_coefficient_cents_per_k = -0.2", "go together"),
    ],
)
def test_a_faulty_profile_is_refused(tmp_path: Path, old: str, new: str, message: str) -> None:
    """The message names the file, the rule and the value."""
    assert old in PROFILE
    with pytest.raises(CatalogueError, match=message) as caught:
        read_tongue_profile(write(tmp_path, PROFILE.replace(old, new)))
    assert "mine.toml" in str(caught.value)


def test_one_station_is_no_tongue(tmp_path: Path) -> None:
    """A tongue has a root and a tip."""
    with pytest.raises(CatalogueError, match="at least 2"):
        read_tongue_profile(write(tmp_path, PROFILE[: PROFILE.rindex("[[station]]")]))


def test_a_missing_file_is_not_found(tmp_path: Path) -> None:
    """Its name is said."""
    with pytest.raises(NotFound, match=r"none\.toml"):
        read_tongue_profile(tmp_path / "none.toml")


def test_every_shipped_figure_carries_its_evidence() -> None:
    """Metals, rows and rules all say where they come from."""
    assert {"steel", "brass", "nickel silver"} <= {metal.metal for metal in load_metals()}
    assert all(metal.evidence for metal in load_metals())
    scale = load_tongue_scale()
    assert scale.evidence
    assert all(row.evidence for row in scale.rows)
    assert shipped("filing_rules.toml").count("evidence =") == len(
        load_filing_rules().__dataclass_fields__
    )


def test_scale_takes_a_range_as_evenly_likely() -> None:
    """The middle of the range, and half of it over the square root of three as one sigma."""
    a4 = next(row for row in load_tongue_scale().rows if row.note == "A4")
    assert a4.length_mm == 25.0
    assert a4.length_doubt_fraction * a4.length_mm == pytest.approx(3.0 / math.sqrt(3.0))


def test_shipped_rows_are_at_the_pitch_of_their_note() -> None:
    """Equal temperament at 440 Hz; C2, G2 ... C7."""
    semitones = {"C2": 36, "G2": 43, "C3": 48, "G3": 55, "C4": 60, "A4": 69, "C6": 84, "C7": 96}
    for row in load_tongue_scale().rows:
        expected = 440.0 * 2.0 ** ((semitones[row.note] - 69) / 12.0)
        assert row.frequency_hz == pytest.approx(expected, rel=1e-4)


def test_ones_own_files_are_read_in_their_place(tmp_path: Path) -> None:
    """An edited copy of each shipped file replaces it."""
    metals = shipped("metals.toml").replace("200e9", "207e9")
    assert load_metal("steel", write(tmp_path, metals)).youngs_modulus_pa == 207e9
    assert load_metal("steel").youngs_modulus_pa == 200e9
    rules = shipped("filing_rules.toml").replace("value = 100\n", "value = 60\n")
    assert load_filing_rules(write(tmp_path, rules)).largest_change_cents == 60.0
    scale = shipped("tongue_scale.toml").replace("longest_mm = 28.0", "longest_mm = 26.0")
    assert load_tongue_scale(write(tmp_path, scale)).rows[5].length_mm == 24.0


def test_an_unknown_metal_is_refused_with_the_known_ones() -> None:
    """The message lists them."""
    with pytest.raises(CatalogueError, match=r"one of steel, brass, .*got 'gold'"):
        load_metal("gold")


@pytest.mark.parametrize(
    ("name", "old", "new", "message"),
    [
        ("metals.toml", 'metal = "brass"', 'metal = "steel"', "'steel' twice"),
        ("metals.toml", "youngs_modulus_pa = 105e9", "youngs_modulus_pa = 105", "write pascals"),
        ("metals.toml", "[[metal]]", "[[metals]]", "'metal' must be given|'metals' is not one"),
        ("tongue_scale.toml", "frequency_hz = 98.00", "frequency_hz = 50.0", "from low to high"),
        ("tongue_scale.toml", "longest_mm = 28.0", "longest_mm = 20.0", "swap them"),
        ("tongue_scale.toml", "[1.0, 0.96, 0.92, 0.88, 0.85]", "[1.0, 0.9]", "2 and 5"),
        ("filing_rules.toml", "value = 0.3333", "value = 1.3", "less than 1"),
        ("filing_rules.toml", "[thinnest_mm]", "[thinnest]", "'thinnest"),
        ("filing_rules.toml", "value = 2\n", "value = 2.5\n", "integer"),
    ],
)
def test_faulty_files_are_refused(
    tmp_path: Path, name: str, old: str, new: str, message: str
) -> None:
    """Each with the rule it breaks."""
    text = shipped(name)
    assert old in text
    loaders = {
        "metals.toml": load_metals,
        "tongue_scale.toml": load_tongue_scale,
        "filing_rules.toml": load_filing_rules,
    }
    with pytest.raises(InputError, match=message):
        loaders[name](write(tmp_path, text.replace(old, new)))
