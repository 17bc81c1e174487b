"""What docs/theory/tongue.md says of its example, of the rules and of the figures is so."""

import re
from pathlib import Path

import pytest

from reedwright.catalogue.tongues import (
    load_filing_rules,
    load_metal,
    load_tongue_scale,
    read_tongue_profile,
)
from reedwright.reedwork import examine_tongue

PAGE = (Path(__file__).parents[2] / "docs" / "theory" / "tongue.md").read_text(encoding="utf-8")
FLAT = " ".join(PAGE.split())


def test_the_example_sounds_as_the_page_says(tmp_path: Path) -> None:
    """Every number told of the example is what the program finds, to the digits told."""
    (example,) = re.findall(r"```toml\n(.*?)```", PAGE, re.DOTALL)
    path = tmp_path / "example.toml"
    path.write_text(example, encoding="utf-8")
    modes = examine_tongue(read_tongue_profile(path))
    told = (
        f"This tongue sounds at {modes.frequencies_hz[0]:.2f} Hz, its second mode at "
        f"{modes.frequencies_hz[1]:.1f} Hz; its neutral point is "
        f"{modes.neutral_point_fraction:.4f} of the length from the root "
        f"({modes.neutral_point_mm:.2f} mm); it weighs {modes.mass_mg:.1f} mg; 1 mg at its tip "
        f"lowers it by {-modes.cents_per_tip_mg:.1f} cents; a micrometre off a millimetre lowers "
        f"it by {-modes.cents_per_um_mm[0]:.3f} cents at the root and raises it by "
        f"{modes.cents_per_um_mm[-1]:.3f} at the tip."
    )
    assert told in FLAT


def test_the_rules_told_are_those_shipped() -> None:
    """The limits in words are the figures of the file."""
    rules = load_filing_rules()
    assert rules.doubts_to_act == 2.0
    assert "an offset of less than two doubts" in FLAT
    assert rules.largest_change_cents == 100.0
    assert "beyond 100 cents" in FLAT
    assert rules.zone_fraction == pytest.approx(1.0 / 3.0, abs=1e-3)
    assert (rules.largest_tip_cut_fraction, rules.largest_root_cut_fraction) == (0.2, 0.1)
    assert "a fifth (tip) or a tenth (root)" in FLAT
    assert f"leave less than {rules.thinnest_mm} mm" in FLAT
    assert f"but for {rules.clamp_clearance_mm:g} mm at the clamp" in FLAT
    assert f"down to {rules.largest_tip_weight_change_cents:.0f} cents lower" in FLAT
    assert f"more than {rules.largest_calibration_cents:.0f} cents is sent back" in FLAT
    assert f"{100 * rules.model_doubt_fraction:.0f} % for the model" in FLAT
    assert f"first after {100 * rules.step_fraction:.0f} % of the depth" in FLAT
    assert f"{rules.first_stop_sigmas} sigma short of the end" in FLAT
    assert rules.least_first_fraction == 0.25


def test_the_figures_told_of_metals_and_scale_are_those_shipped() -> None:
    """Temperature coefficients with their doubts, and the doubt of an assumed profile."""
    for name in ("steel", "brass"):
        metal = load_metal(name)
        assert metal.temperature_coefficient_cents_per_k is not None
        told = (
            f"shipped −{-metal.temperature_coefficient_cents_per_k:.2f} ± "
            f"{metal.temperature_coefficient_doubt_cents_per_k:.2f}"
        )
        assert told in FLAT
    assert f"one sigma is {100 * load_tongue_scale().thickness_doubt_fraction:.0f} %" in FLAT


def test_every_key_cited_is_in_the_bibliography() -> None:
    """No source is named that cannot be looked up."""
    entries = (Path(__file__).parents[2] / "docs" / "references.bib").read_text(encoding="utf-8")
    keys = set(re.findall(r"\[([A-Z][A-Za-z]+\d{4})\]", PAGE))
    assert len(keys) > 5
    assert keys <= set(re.findall(r"^@\w+\{(\w+),", entries, re.MULTILINE))
