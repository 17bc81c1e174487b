"""What docs/theory/bellows.md says of its example, its defaults and its sources is so."""

import re
import shlex
from pathlib import Path

import pytest

from reedwright.bellows import design_bellows
from reedwright.bellows.cautions import LARGEST_TAPER_ERROR_DEG
from reedwright.bellows.model import BellowsDesign, Slack, WantedBellows
from reedwright.catalogue.bellows import load_bellows_figures
from reedwright.wiring import run

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "theory" / "bellows.md").read_text(encoding="utf-8")
FLAT = " ".join(PAGE.split())
FIGURES = load_bellows_figures()


def example(opening_deg: float = 35.0, slack: Slack = Slack.PEAK) -> BellowsDesign:
    """Return the bellows of the page."""
    return design_bellows(
        WantedBellows(
            sides=6, folds=6, across_flats_mm=158.0, depth_mm=25.0, layers=FIGURES.layers,
            allowances=FIGURES.allowances, opening_deg=opening_deg, slack=slack,
        )
    )  # fmt: skip


def test_the_command_of_the_page_runs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """And leaves the two files it names."""
    monkeypatch.chdir(tmp_path)
    (command,) = re.findall(r"^    reedwright (bellows .*?)\n\n", PAGE, re.MULTILINE | re.DOTALL)
    assert run(shlex.split(command.replace("\\\n", " "))) == 0
    assert capsys.readouterr().out
    assert {path.name for path in tmp_path.iterdir()} == {"set.pdf", "bellows.svg"}


def test_the_numbers_of_the_example_are_what_the_program_finds() -> None:
    """To the digits told."""
    d = example()
    assert (
        f"Cards have {d.card_long_edge_mm:.2f} mm at the peak, {d.card_short_edge_mm:.2f} at the "
        f"valley, and their ends slant by {d.card_end_taper_deg:.2f} degrees. The corner must give "
        f"{d.corner_demand_mm:.3f} mm. The bellows is {d.closed_length_mm:.1f} mm long when "
        f"closed, {d.open_length_mm:.1f} open, holds {d.volume_closed_l:.4f} L closed and "
        f"{d.volume_open_l:.4f} open, and pushes with an effective area of "
        f"{d.effective_area_closed_cm2:.1f} cm² closed and {d.effective_area_open_cm2:.1f} open."
    ) in FLAT


def test_how_the_effective_area_runs() -> None:
    """78 % and 121 % in the example, and nearly constant where shared."""
    for slack, told in ((Slack.PEAK, "78 %"), (Slack.VALLEY, "121 %")):
        d = example(slack=slack)
        share = d.effective_area_open_cm2 / d.effective_area_closed_cm2
        assert f"{100 * share:.0f} %" == told
        assert told in FLAT
    shared = example(slack=Slack.SHARED)
    assert shared.effective_area_open_cm2 == pytest.approx(
        shared.effective_area_closed_cm2, rel=0.012
    )


def test_what_is_told_of_float_and_clearance() -> None:
    """77 mL a millimetre; up to 0.62 of 1.05 mm at 45 degrees."""
    d = example()
    a_o, a_i = d.states[-1].peak_across_flats_mm / 2, d.states[-1].valley_across_flats_mm / 2
    float_ml = d.open_length_mm * 6 * 3**-0.5 * (a_o + a_i) / 1e3
    assert f"{float_ml:.0f} mL for each millimetre" in FLAT
    wide = example(opening_deg=45.0)
    others = FIGURES.layers.half_pitch_mm - FIGURES.layers.card_mm
    lost_mm = wide.valley_clearance_mm / FIGURES.layers.card_mm * others
    assert f"up to {lost_mm:.2f} mm of the {wide.valley_gap_closed_mm:.2f} mm" in FLAT


def test_the_defaults_told_are_those_shipped() -> None:
    """Gaps, openings, playing and hours, and the limit of the taper."""
    allowances = FIGURES.allowances
    assert f"{allowances.peak_gap_mm:g} mm that stays open" in FLAT
    assert f"and {allowances.valley_gap_mm:g} mm (`--valley-gap-mm`)" in FLAT
    assert f"so {FIGURES.usual_opening_deg:g} is the default" in FLAT
    assert f"for {FIGURES.cautious_opening_deg:g} too" in FLAT
    demand = [example(deg).corner_demand_mm for deg in (35.0, 45.0)]
    assert demand[0] / demand[1] < 2.0 / 3.0
    assert (
        f"{FIGURES.stroke_share:g} × air / ({FIGURES.chord_notes:g} notes × "
        f"{FIGURES.air_l_s_per_note:g} L/s)"
    ) in FLAT
    assert (
        f"{FIGURES.hours_low:g} to {FIGURES.hours_high:g} for {FIGURES.hours_cards:g} cards" in FLAT
    )
    assert f"Beyond that by {LARGEST_TAPER_ERROR_DEG:g} degrees" in FLAT


def test_every_key_cited_is_in_the_bibliography() -> None:
    """No source is named that cannot be looked up."""
    entries = (ROOT / "docs" / "references.bib").read_text(encoding="utf-8")
    keys = set(re.findall(r"\[([A-Z][A-Za-z]+\d{4})\]", PAGE))
    assert keys
    assert keys <= set(re.findall(r"^@\w+\{(\w+),", entries, re.MULTILINE))
