"""What docs/theory/learning.md says of figures, checks and the bench is so."""

import math
import re
from pathlib import Path

from reedwright.catalogue.tools import load_bench_kit
from reedwright.reedwork.falling_bench import FallingBench, flow_ml_s, pressure_pa, take_s

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "theory" / "learning.md").read_text(encoding="utf-8")
FLAT = " ".join(PAGE.split())
KIT = load_bench_kit()


def test_the_spreads_told_are_those_shipped() -> None:
    """Factors and strokes, in the order of the formula."""
    rules = KIT.learning
    told = (
        f"log standard deviations {rules.tool:.2f}, {rules.tool_in_metal:.2f}, "
        f"{rules.tool_in_octave:.2f}, {rules.zone:.2f}, {rules.reed:.2f} and "
        f"{rules.reed_at_zone:.2f}"
    )
    assert told in FLAT
    assert f"Single strokes differ by another {100.0 * rules.stroke:.0f} %" in FLAT


def test_the_prices_and_limits_told_are_those_shipped() -> None:
    """The table of prices, and when a reed is left, filed or listened to."""
    rules = KIT.visits
    assert f"up to {rules.off_centre_cost:g}, at its edge" in FLAT
    assert f"by up to {rules.undecided_cents:g} cent | {rules.undecided_cost:g}:" in FLAT
    assert f"for each factor {rules.nearer_per_visit:g} of distance beyond two" in FLAT
    assert rules.finish_from == 2.0
    assert f"the same and {rules.overshoot_cost:g}:" in FLAT
    assert f"| each stroke | {rules.stroke_cost:g} |" in FLAT
    assert f"is {100.0 * rules.least_chance_within:g} % or more" in FLAT
    told = f"below {100.0 * rules.most_chance_within:g} % × readings / {rules.most_readings}"
    assert told in FLAT
    assert f"known to {100.0 * rules.doubt_per_way:g} % of the way" in FLAT
    assert f"beyond {rules.largest_change_cents:g} cents the plan has the word" in FLAT
    left = math.exp(-10.0 / rules.warm_minutes)
    assert f"{rules.warm_cents * left:.2f} ± {rules.warm_doubt_cents * left:.2f}" in FLAT


def test_the_offsets_told_are_those_shipped() -> None:
    """The table of the parts of an offset."""
    rules = KIT.offsets
    assert f"| level | {rules.level_cents:g} |" in FLAT
    assert (
        f"| curve | {rules.curve_cents:g} | squared exponential, {rules.curve_octaves:g} octave"
        in FLAT
    )
    assert f"| curve of its direction | {rules.direction_cents:g} |" in FLAT
    assert f"| the reed's own | {rules.own_cents:g} |" in FLAT
    assert f"| seating | {rules.seating_cents:g} |" in FLAT


def test_the_grades_told_are_those_shipped() -> None:
    """Usual, fine, old reeds."""
    usual, fine, old = (KIT.grade(name) for name in ("usual", "fine", "old reeds"))
    assert f"usual {usual.tolerance_cents:g} cents ({usual.outer_tolerance_cents:g} in" in FLAT
    assert f"fine {fine.tolerance_cents:g}, old reeds {old.tolerance_cents:g} (" in FLAT


def test_the_bench_told_is_so() -> None:
    """Pressure, air and take of the disc."""
    bench = FallingBench(0.4, math.pi * 8.0**2, 120.0)
    flow = flow_ml_s(bench, fall_s=20.0)
    told = (
        f"{pressure_pa(bench):.0f} Pa, {bench.volume_ml:.0f} ml, "
        f"{take_s(bench, flow_ml_s=flow):.0f} s at {flow:.0f} ml/s"
    )
    assert told in FLAT


def test_every_source_and_check_named_is_there() -> None:
    """Keys stand in the bibliography, and the files of tests and benchmarks exist."""
    entries = (ROOT / "docs" / "references.bib").read_text(encoding="utf-8")
    keys = set(re.findall(r"\[([A-Z][A-Za-z]+\d{4})\]", PAGE))
    assert len(keys) == 4
    assert all(f"{{{key}," in entries for key in keys)
    named = re.findall(r"`(tests/[a-z_/]+\.py)`", PAGE)
    assert len(named) == 3
    assert all((ROOT / path).is_file() for path in named)
    assert (ROOT / "benchmarks" / "stroke_plan.py").is_file()
