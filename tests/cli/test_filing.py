"""The commands at the bench: work, scrape, offsets, bench, on a job in a workshop file."""

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from benchmarks.invented_records import invented_layout
from benchmarks.invented_surveys import survey_of_offsets

from reedwright.catalogue.tunings import read_tunings
from reedwright.instrument.reading import Conditions
from reedwright.store import open_workshop
from reedwright.tuning import Scheme, Tolerance, targets_of
from reedwright.wiring import run

LAYOUT = invented_layout(4)
SCHEME = Scheme(440.0, read_tunings().temperament("equal"))
TARGETS = targets_of(LAYOUT, SCHEME)
FLAT, SHARP = LAYOUT.reeds()[0], LAYOUT.reeds()[3]
NOW = "2026-11-25T14:03:00+00:00"

Ask = Callable[..., str]


@pytest.fixture
def ask(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Ask:
    """Return a call that runs a command on a job surveyed on the bench and closed."""
    path = tmp_path / "shop.reedwright"
    found = {FLAT: -12.0, SHARP: 3.2}
    with open_workshop(path, create=True) as workshop:
        job = workshop.add_job(name="treble", opened_on="2026-11-25")
        instrument = workshop.add_instrument(
            job.job_id, title="treble", layout=LAYOUT, metal="steel", frame_metal="brass"
        )
        for shift, conditions in (
            (-3.0, Conditions(is_on_bench=True, is_end_on=None)),
            (0.0, Conditions()),
        ):
            offsets = {reed: found.get(reed, 0.0) + shift for reed in LAYOUT.reeds()}
            survey = survey_of_offsets(
                LAYOUT, TARGETS, offsets, conditions=conditions, own_doubt_cents=0.04
            )
            workshop.save_survey(instrument.instrument_id, survey, recording_id=None, made_at=NOW)
        workshop.save_targets(
            instrument.instrument_id,
            TARGETS,
            scheme=SCHEME,
            tolerance=Tolerance(2.0, 2.0),
            made_at=NOW,
        )

    def asked(command: str, *words: str, code: int = 0) -> str:
        of_job = [] if command == "bench" else ["--job", "treble", "--workshop", str(path)]
        assert run([command, *of_job, *words]) == code
        printed = capsys.readouterr()
        return printed.err if code else printed.out

    return asked


def as_json(printed: str) -> dict[str, Any]:
    """Return the one JSON object that was printed."""
    found: dict[str, Any] = json.loads(printed)
    return found


def reed_word() -> str:
    """Return the flat reed as it is typed."""
    return f"{FLAT.key}:{FLAT.direction}"


def test_work_lists_passes_openings_and_time(ask: Ask) -> None:
    """Rough, settle, fine, with the strokes of each reed and a summary of the whole."""
    printed = ask("work")
    assert "1. Rough, on the bench" in printed
    assert "2. Close it, let it settle, survey it again: 2 days" in printed
    assert "3. Fine" in printed
    assert "Left end off" in printed
    assert re.search(r"strokes of the [a-z ]+ at the tip", re.sub(r"\s+", " ", printed))
    assert "2 reeds to file, 6 to leave alone, 0 others" in printed
    order = as_json(ask("work", "--json"))["order"]
    assert [each["kind"] for each in order["passes"]] == ["rough", "settle", "fine"]
    assert order["openings"] >= 2
    assert order["minutes"] > 0.0


def test_a_finer_grade_is_more_work(ask: Ask) -> None:
    """At 4 cents of an own grade one reed is left; a grade that is none is refused."""
    usual = as_json(ask("work", "--json"))["order"]
    lenient = as_json(ask("work", "--grade", "old reeds", "--json"))["order"]
    assert len(lenient["left_alone"]) >= len(usual["left_alone"])
    assert "a grade is one of usual, fine, old reeds" in ask("work", "--grade", "best", code=3)


def test_a_scrape_is_logged_and_answered(ask: Ask) -> None:
    """What was foretold and found, what a stroke does by now, and what to do next."""
    asked_first = as_json(ask("scrape", "--reed", reed_word(), "--json"))
    assert asked_first["logged"] is None
    assert asked_first["advice"]["verdict"] == "file"
    printed = ask(
        "scrape", "--reed", reed_word(), "--zone", "tip", "--strokes", "20", "--tool",
        "fine-file", "--after-cents", "-4", "--doubt-cents", "0.1", "--minutes", "10",
    )  # fmt: skip
    assert "Kept as scrape 1." in printed
    assert "A stroke of fine-file at the tip of this reed: " in printed
    assert re.search(r"^20 +fine-file +tip +−12\.0 +−4\.0 ", printed, re.MULTILINE)
    again = as_json(ask("scrape", "--reed", reed_word(), "--json"))
    assert len(again["scrapes"]) == 1
    assert again["advice"]["expected_cents"] > -4.0
    assert again["rate"]["doubt_fraction"] < 0.5 * asked_first["rate"]["doubt_fraction"]


def test_a_scrape_logged_in_error_is_withdrawn(ask: Ask) -> None:
    """Its number takes it back, and the reed is as it was."""
    scrape = ("--zone", "tip", "--strokes", "20", "--tool", "fine-file", "--after-cents", "-4")
    ask("scrape", "--reed", reed_word(), *scrape)
    assert "Scrape 1 withdrawn" in ask("scrape", "--withdraw", "1")
    assert as_json(ask("scrape", "--reed", reed_word(), "--json"))["scrapes"] == []


@pytest.mark.parametrize("ending", ["svg", "pdf"])
def test_a_reed_is_drawn(ask: Ask, tmp_path: Path, ending: str) -> None:
    """As a picture for the screen or a page for the bench; other endings are refused."""
    path = tmp_path / f"reed.{ending}"
    assert f"Drawn: {path}" in ask("scrape", "--reed", reed_word(), "--draw", str(path))
    content = path.read_bytes()
    assert content.startswith(b"<svg" if ending == "svg" else b"%PDF")
    refused = ask("scrape", "--reed", reed_word(), "--draw", str(tmp_path / "a.png"), code=2)
    assert "drawn as .svg or .pdf, got 'a.png'" in refused


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        ((), 2, "give --reed"),
        (("--reed", "L1.1"), 2, "write it like L2.3:press"),
        (("--reed", "L9.9:press"), 2, "has no L9.9 press"),
        (("--reed", "L1.1:press", "--strokes", "3"), 2, "--zone is not given"),
        (("--withdraw", "7"), 3, "no scrape number 7"),
    ],
)
def test_what_cannot_be_logged_is_said(
    ask: Ask, words: tuple[str, ...], code: int, said: str
) -> None:
    """Refusals name what is missing."""
    assert said in ask("scrape", *words, code=code)


def test_offsets_are_learned_from_two_surveys(ask: Ask) -> None:
    """3 cents more closed than on the bench: printed with the bench target of every reed."""
    printed = ask("offsets")
    assert "8 reeds paired from surveys 1 (bench) and 2 (closed)" in printed
    found = as_json(ask("offsets", "--json"))
    assert found["pairs"]["offset_set_id"] == 1
    first = found["offsets"][0]
    assert first["offset_cents"] == pytest.approx(3.0, abs=0.2)
    assert found["bench_targets_hz"][0] < TARGETS[0].frequency_hz
    assert "survey 1 should be one made in the closed instrument" in ask(
        "offsets", "--instrument-survey", "1", code=2
    )


def test_the_bench_is_described(ask: Ask) -> None:
    """400 g on 201.06 cm2 falling 120 mm: 195 Pa; 20 s a fall; without a time it is reckoned."""
    words = ("--mass-kg", "0.4", "--area-cm2", "201.06", "--travel-mm", "120")
    timed = ask("bench", *words, "--fall-s", "20")
    assert "195 Pa steady" in timed
    assert "a take of about 20 s at 121 ml/s (as timed)" in timed
    assert "time one of yours" in ask("bench", *words)
    found = as_json(ask("bench", *words, "--json"))
    assert found["pressure_pa"] == pytest.approx(195.10, abs=0.01)
    assert "must be above zero" in ask("bench", "--mass-kg", "0", *words[2:], code=2)
