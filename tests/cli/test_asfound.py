"""``asfound``: the promised JSON from a bare survey file, the words, the job, the refusals."""

import json
from pathlib import Path
from typing import Any

import pytest
from tests.jobs.invented import TREBLE, surveyed
from tests.tuning.invented import scattered, tuned

from reedwright.jobs.keeping import HandedIn, keep_survey
from reedwright.store import open_workshop
from reedwright.wiring import run

LAYOUT = ["--layout", "english-treble-48"]


def bare_readings(a4_hz: float, temperament: str, cents: float = 4.0) -> list[dict[str, Any]]:
    """Return readings with no more than what the command needs."""
    return [
        {
            "note": reed.note.name,
            "direction": reed.direction.value,
            "frequency_hz": reed.frequency_hz,
            "standard_error_cents": 0.2,
            "doubt": None,
        }
        for reed in tuned(a4_hz, temperament, scattered(1, cents))
    ]


def written(tmp_path: Path, survey: object) -> str:
    """Return the path of a survey file."""
    path = tmp_path / "survey.json"
    path.write_text(json.dumps(survey))
    return str(path)


def test_the_promised_fields_from_a_bare_survey(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A4, fifth, their errors, family and verdict, and one JSON object on the output."""
    survey = written(tmp_path, {"readings": bare_readings(452.5, "quarter-comma")})
    assert run(["asfound", survey, *LAYOUT, "--json"]) == 0
    printed = capsys.readouterr()
    assert printed.err == ""
    result = json.loads(printed.out)
    assert result["a4_hz"] == pytest.approx(452.5, rel=1e-3)
    assert 0.1 < result["a4_standard_error_cents"] < 1.0
    assert result["fifth_cents"] == pytest.approx(696.578, abs=0.4)
    assert 0.02 < result["fifth_standard_error_cents"] < 0.3
    assert result["family"] == "regular"
    assert "meantone" in result["verdict"]
    assert result["verdict"].endswith(".")
    assert result["a4_interval_hz"][0] < result["a4_hz"] < result["a4_interval_hz"][1]


@pytest.mark.parametrize("temperament", ["equal", "vallotti"])
def test_doubt_may_be_absent_and_more_fields_do_no_harm(
    temperament: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Whatever else a survey holds is left alone."""
    readings = bare_readings(440.0, temperament, 2.0)
    for reading in readings:
        del reading["doubt"]
        reading["trace"] = {"times_s": [0.0]}
    whole = {"readings": readings, "layout": "english-treble-48", "missing": [], "order": "x"}
    assert run(["asfound", written(tmp_path, whole), *LAYOUT, "--json"]) == 0
    family = "equal" if temperament == "equal" else "circulating"
    assert json.loads(capsys.readouterr().out)["family"] == family


def test_the_words_name_the_tuning_and_the_reeds_that_do_not_fit(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The verdict first, then the table of reeds astray."""
    readings = bare_readings(440.0, "equal", 2.0)
    readings[3]["frequency_hz"] *= 1.03
    assert run(["asfound", written(tmp_path, {"readings": readings}), *LAYOUT]) == 0
    printed = capsys.readouterr().out
    assert printed.startswith("Almost certainly")
    assert "Reeds that do not fit" in printed
    assert "+49" in printed


def test_a_job_is_as_good_as_a_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The latest survey of a job in the workshop file is read instead."""
    place = tmp_path / "workshop.reedwright"
    store = open_workshop(place, create=True)
    quiet = scattered(2, 3.0)
    keep_survey(
        store, surveyed(446.0, "fifth-comma", quiet), job_name="treble", layout=TREBLE,
        metal="steel", frame_metal="brass",
        recording=HandedIn([b"sound"], "a.wav", "audio/wav"), now="2026-01-02T03:04:05+00:00",
    )  # fmt: skip
    store.close()
    assert run(["asfound", "--workshop", str(place), "--job", "treble", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["a4_hz"] == pytest.approx(446.0, rel=1e-3)


def one(**changes: object) -> dict[str, Any]:
    """Return a survey of six readings, the first changed."""
    readings = bare_readings(440.0, "equal")[:6]
    readings[0].update(changes)
    return {"readings": readings}


@pytest.mark.parametrize(
    ("survey", "said"),
    [
        ([], "a JSON object with readings, this is a list"),
        ({}, "'readings' must be given"),
        ({"readings": []}, "at least 5 reeds, got 0"),
        ({"readings": bare_readings(440.0, "equal")[:4]}, "at least 5 reeds, got 4"),
        (one(note="H4"), "reading 1: a note is a capital letter A to G"),
        (one(note="A1"), "has no A1"),
        (one(direction="push"), "'press' or 'draw', got 'push'"),
        (one(frequency_hz=-1.0), "greater than 0, got -1"),
        (one(frequency_hz=float("nan")), "finite number"),
        (one(frequency_hz="440"), "valid number, got '440'"),
        (one(standard_error_cents=-0.1), "greater than or equal to 0"),
        (one(standard_error_cents=None), "valid number, got None"),
        ({**one(), "layout": "anglo-30-a"}, "must belong together"),
    ],
)
def test_a_file_that_is_no_survey_is_refused_in_words(
    survey: object, said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit code 2, one sentence with the rule and the value, nothing on the output."""
    assert run(["asfound", written(tmp_path, survey), *LAYOUT, "--json"]) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert said in printed.err


def test_text_that_is_not_json_and_files_that_are_not_there(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Not JSON is code 2, no such file code 3; neither file nor job, or no layout, code 2."""
    path = tmp_path / "survey.json"
    path.write_text("{readings")
    assert run(["asfound", str(path), *LAYOUT]) == 2
    assert "is JSON as 'survey --json' prints it" in capsys.readouterr().err
    assert run(["asfound", str(tmp_path / "none.json"), *LAYOUT]) == 3
    assert run(["asfound", str(path)]) == 2
    assert run(["asfound", *LAYOUT]) == 2
