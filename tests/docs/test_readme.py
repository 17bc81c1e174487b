"""What the README shows is run: its quick start, its two commands, its pictures, its pages."""

import json
import re
import shlex
from pathlib import Path

import pytest

from reedwright.audio import write_samples
from reedwright.catalogue import load_layout
from reedwright.demo import invent_instrument, record_instrument
from reedwright.instrument.order import SurveyOrder
from reedwright.instrument.orders import survey_order
from reedwright.wiring import run

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def quick_start() -> list[list[str]]:
    """Return the commands of the quick start, word by word."""
    block = README.split("<!-- quick start: begin -->")[1].split("<!-- quick start: end -->")[0]
    lines = [line for line in block.splitlines() if line and not line.startswith("```")]
    return [shlex.split(line) for line in lines]


def test_the_quick_start_runs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Each command of the quick start succeeds, in order, on a short recording."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("REEDWRIGHT_WORKSHOP", str(tmp_path / "workshop.reedwright"))
    layout = load_layout("english-treble-48")
    order = survey_order(layout)
    played = SurveyOrder(order.order, order.explanation, order.reeds[20:32])
    samples = record_instrument(
        invent_instrument(layout, seed=3), played, sample_rate_hz=22_050, seed=3
    )
    write_samples(tmp_path / "visit.flac", samples, sample_rate_hz=22_050)
    commands = quick_start()
    assert [words[1] for words in commands] == [
        "survey", "targets", "plan", "papers", "enter", "check",
    ]  # fmt: skip
    for words in commands:
        assert words[0] == "reedwright"
        assert run(words[1:]) == 0, capsys.readouterr().err
    assert {path.name for path in (tmp_path / "papers").iterdir()} >= {
        "bench-sheet.pdf", "bench-table.csv", "map.pdf", "as-found-report.pdf", "graph.svg",
    }  # fmt: skip
    capsys.readouterr()
    assert run(["jobs", "--json"]) == 0
    jobs = json.loads(capsys.readouterr().out)["jobs"]
    assert [(job["job"], job["metal"], job["surveys"]) for job in jobs] == [
        ("Rosewood treble", "steel", 1)
    ]


def test_the_job_comes_first_in_one_paragraph() -> None:
    """The README opens with its title, then one paragraph, then the two commands."""
    blocks = README.split("\n\n")
    assert blocks[0] == "# Reedwright"
    assert "concertina repairer" in blocks[1]
    assert blocks[3].strip() == "```\nmake demo\nmake test\n```"
    makefile = (ROOT / "Makefile").read_text(encoding="utf-8")
    assert all(re.search(rf"^{target}:", makefile, re.MULTILINE) for target in ("demo", "test"))
    assert "make test" in (ROOT / ".ci" / "run").read_text(encoding="utf-8")


@pytest.mark.parametrize("page", ["README.md", "CONTRIBUTING.md"])
def test_every_file_that_a_page_names_is_there(page: str) -> None:
    """Pictures and pages in links and in code marks exist."""
    text = (ROOT / page).read_text(encoding="utf-8")
    named = set(re.findall(r"\]\(([\w./-]+)\)", text)) | {
        word
        for word in re.findall(r"`([\w./-]+)`", text)
        if word.startswith(("docs/", "src/", "requirements/", "tests/"))
    }
    assert named
    assert [name for name in sorted(named) if not (ROOT / name).exists()] == []


def test_no_pin_names_a_registry() -> None:
    """Requirements carry a hash for every package and no address."""
    for path in sorted((ROOT / "requirements").glob("*.txt")):
        text = path.read_text(encoding="utf-8")
        assert "://" not in text
        assert "--index" not in text
        pins = re.findall(r"^([\w.-]+(?:\[[\w,]+\])?==\S+)", text, re.MULTILINE)
        assert len(pins) > 2
        blocks = re.split(r"^(?=[\w.-]+(?:\[[\w,]+\])?==)", text, flags=re.MULTILINE)[1:]
        assert all("--hash=sha256:" in block for block in blocks)
