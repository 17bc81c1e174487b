"""Tools and bench habits: what is shipped is what the program assumes, mistakes are named."""

from importlib.resources import files
from pathlib import Path

import pytest

from reedwright.catalogue.tools import load_bench_kit, load_filing_tools
from reedwright.errors import CatalogueError, NotFound
from reedwright.reedwork.bench_kit import BenchMinutes
from reedwright.reedwork.bench_offset import OffsetRules
from reedwright.reedwork.scrapes import LearningRules, VisitRules

TOOLS = (files("reedwright.catalogue") / "tools.toml").read_text("utf-8")
RULES = (files("reedwright.catalogue") / "bench_rules.toml").read_text("utf-8")


def test_the_shipped_habits_are_the_defaults() -> None:
    """A bench opened without a file and one opened with ours behave alike."""
    kit = load_bench_kit()
    assert kit.learning == LearningRules()
    assert kit.visits == VisitRules()
    assert kit.offsets == OffsetRules()
    assert kit.minutes == BenchMinutes()


def test_grades_run_from_fine_to_lenient() -> None:
    """2 and 3 cents by custom, 1 on request; a grade that is not there is refused."""
    kit = load_bench_kit()
    usual, fine = kit.grade("usual"), kit.grade("fine")
    assert (usual.tolerance_cents, usual.outer_tolerance_cents) == (2.0, 3.0)
    assert (fine.tolerance_cents, fine.outer_tolerance_cents) == (1.0, 1.0)
    with pytest.raises(NotFound, match="a grade is one of usual, fine, old reeds, got 'best'"):
        kit.grade("best")


def test_the_fine_file_is_finer_than_the_file() -> None:
    """Four tools with their evidence; brass files faster than steel, what is not listed like it."""
    tools = {tool.tool: tool for tool in load_filing_tools()}
    assert list(tools) == ["fine-file", "file", "scraper", "fibreglass-pencil"]
    fine = tools["fine-file"]
    assert fine.depth_um_in("steel") == fine.depth_um_per_stroke == 0.08
    assert fine.depth_um_in("brass") == pytest.approx(0.16)
    assert fine.depth_um_in("tin") == 0.08
    assert fine.depth_um_per_stroke < tools["file"].depth_um_per_stroke
    assert all(tool.evidence for tool in tools.values())


@pytest.mark.parametrize(
    ("of", "old", "new", "said"),
    [
        ("tools", "stroke_s = 2.0", "", "'stroke_s' must be given"),
        ("tools", "depth_um_per_stroke = 0.08", "depth_um_per_stroke = -1.0", "greater than 0"),
        ("tools", 'tool = "file"', 'tool = "fine-file"', "named once, got 'fine-file' twice"),
        ("rules", "value = 0.01", "value = 1.5", "less than 1"),
        ("rules", "[learning.stroke]", "[learning.strokes]", "must be given"),
        ("rules", "value = 120", "value = 0", "greater than or equal to 1"),
        ("rules", 'evidence = "common practice, no source"', "", "'evidence' must be given"),
    ],
)
def test_a_mistake_in_a_file_is_named(
    tmp_path: Path, of: str, old: str, new: str, said: str
) -> None:
    """The refusal says where it is and what should stand there."""
    text = TOOLS if of == "tools" else RULES
    assert old in text
    file = tmp_path / f"{of}.toml"
    file.write_text(text.replace(old, new, 1), "utf-8")
    with pytest.raises(CatalogueError, match=said):
        load_bench_kit(**{of: file})


def test_own_files_take_the_place_of_ours(tmp_path: Path) -> None:
    """An edited figure is the one used; a file that is not there is refused."""
    file = tmp_path / "own.toml"
    file.write_text(RULES.replace("value = 0.30", "value = 0.45"), "utf-8")
    assert load_bench_kit(rules=file).learning.stroke == 0.45
    with pytest.raises(NotFound, match=r"none\.toml"):
        load_bench_kit(tools=tmp_path / "none.toml")
