"""The sentences of a plan: what a repairer reads, with no digit finer than the doubt."""

import re

import pytest

from reedwright.catalogue.tongues import load_filing_rules
from reedwright.reedwork.cut_plan import CutPlan
from reedwright.reedwork.model import FilingStep, Zone
from reedwright.reedwork.wording import dust_care, file_it, off_target

RULES = load_filing_rules()


def cut(zone: Zone = Zone.TIP, **changes: float) -> CutPlan:
    figures = {
        "zone_from_mm": 0.0 if zone is Zone.TIP else 1.0,
        "zone_to_mm": 7.0,
        "depth_um": 3.1416,
        "depth_doubt_um": 1.234,
        "mass_mg": 0.2345,
        "thinnest_mm": 0.25,
    } | changes
    steps = (
        FilingStep(1.8765, 0.12, -3.3333, 0.61),
        FilingStep(3.1416, 0.2345, 0.0, 1.3),
    )
    return CutPlan(zone=zone, steps=steps, **figures)


def test_the_sentence_for_the_tip() -> None:
    """Where from which end, how deep with its doubt, how much metal, where to stop."""
    assert file_it(cut(), off_target(-8.31, 0.44), RULES) == (
        "8.3 ± 0.4 cents flat: file the tip third, from the tip 7 mm inwards, about 3.1 ± 1.2 µm "
        "in all (0.23 mg). Stop and measure after 1.9 µm, near −3.3 cents."
    )


def test_the_sentence_for_the_root() -> None:
    """The zone runs between two distances from the root; half millimetres are told."""
    sentence = file_it(cut(Zone.ROOT, zone_to_mm=8.5), off_target(8.31, 0.44), RULES)
    assert "8.3 ± 0.4 cents sharp: file the root third, from 1 to 8.5 mm off the root" in sentence


def test_without_stops_none_is_told() -> None:
    """A cut too small to stop in is told in one sentence."""
    whole = cut()
    alone = CutPlan(
        zone=whole.zone,
        zone_from_mm=whole.zone_from_mm,
        zone_to_mm=whole.zone_to_mm,
        depth_um=whole.depth_um,
        depth_doubt_um=whole.depth_doubt_um,
        mass_mg=whole.mass_mg,
        thinnest_mm=whole.thinnest_mm,
        steps=whole.steps[-1:],
    )
    assert "Stop" not in file_it(alone, off_target(-2.2, 0.4), RULES)


@pytest.mark.parametrize(("depth_um", "doubt_um"), [(0.3123, 0.1), (12.345, 4.6), (41.7, 16.0)])
def test_depth_is_told_no_finer_than_its_doubt(depth_um: float, doubt_um: float) -> None:
    """Depth and doubt end at the same digit, of the two that the doubt may show."""
    sentence = file_it(
        cut(depth_um=depth_um, depth_doubt_um=doubt_um), off_target(-8.0, 0.4), RULES
    )
    match = re.search(r"about ([\d.]+) ± ([\d.]+) µm", sentence)
    assert match is not None
    value, doubt = match.groups()
    decimals = [len(text.partition(".")[2]) for text in (value, doubt)]
    assert decimals[0] == decimals[1]
    assert len(doubt.replace(".", "").lstrip("0")) <= 2


def test_off_target_has_no_sign_but_a_side() -> None:
    """Sharp or flat is said in a word; what rounds to nothing is neither."""
    assert off_target(8.31, 0.44) == "8.3 ± 0.4 cents sharp"
    assert off_target(-8.31, 0.44) == "8.3 ± 0.4 cents flat"
    assert off_target(0.02, 0.44) == "0.0 ± 0.4 cents off"


@pytest.mark.parametrize(
    ("metal", "word"),
    [("steel", "magnet"), ("Stainless steel", "magnet"), ("brass", "lead"), ("not named", "lead")],
)
def test_dust_is_named_by_metal(metal: str, word: str) -> None:
    """What is not steel is taken for an alloy with lead in it: the safer side."""
    assert word in dust_care(metal)
