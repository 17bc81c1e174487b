"""``leastwork``: targets of a job side by side, other instruments, the plot, the refusals."""

import json
from pathlib import Path

import pytest
from tests.jobs.invented import surveyed
from tests.tuning.invented import scattered

from reedwright.catalogue import load_layout
from reedwright.jobs.keeping import HandedIn, keep_survey
from reedwright.store import open_workshop
from reedwright.wiring import run

ANGLO = load_layout("anglo-20")


@pytest.fixture(scope="module")
def workshop(tmp_path_factory: pytest.TempPathFactory) -> str:
    """Return a workshop file with two Anglos: a job at 446 Hz and one at 440."""
    place = tmp_path_factory.mktemp("workshop") / "shop.reedwright"
    store = open_workshop(place, create=True)
    for job, a4_hz in (("first", 446.0), ("second", 440.0)):
        keep_survey(
            store, surveyed(a4_hz, "equal", scattered(1, 3.0), layout=ANGLO), job_name=job,
            layout=ANGLO, metal="steel", frame_metal="brass",
            recording=HandedIn([b"sound"], "a.wav", "audio/wav"),
            now="2026-01-02T03:04:05+00:00",
        )  # fmt: skip
    store.close()
    return str(place)


def test_targets_side_by_side_with_the_free_optimum_and_a_plot(
    workshop: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """JSON holds every candidate least first, the optimum no dearer, curves and meetings."""
    plot = tmp_path / "work.svg"
    words = ["leastwork", "--workshop", workshop, "--job", "first", "--match", "second"]
    assert run([*words, "--share", "second", "--svg", str(plot), "--json"]) == 0
    result = json.loads(capsys.readouterr().out)
    hours = [estimate["hours"] for estimate in result["estimates"]]
    assert hours == sorted(hours)
    assert result["free_optimum"]["hours"] <= hours[0]
    assert result["free_optimum"]["a4_hz"] == pytest.approx(446.0, rel=2e-3)
    titles = [estimate["title"] for estimate in result["estimates"]]
    assert {"as second is", "pitch and fifths as found", "a440, equal"} <= set(titles)
    assert result["as_found"]["a4_hz"] == pytest.approx(446.0, rel=2e-3)
    assert [shared["meeting"] for shared in result["shared"]] == ["line", "mean", "least metal"]
    assert len(result["curves"]) == 4
    assert plot.read_text().startswith("<svg")


def test_the_table_says_what_hours_rest_on(
    workshop: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Only the pitch and temperament asked for, the optimum above, and the caution below."""
    words = ["leastwork", "--workshop", workshop, "--job", "first", "--pitch", "440"]
    assert run([*words, "--temperament", "equal", "--minutes-per-reed", "12"]) == 0
    printed = capsys.readouterr().out
    assert "the least of all" in printed
    assert "440 Hz, equal" in printed
    assert "quarter-comma meantone  " not in printed
    assert "common practice, not measured" in printed


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (["--job", "third"], 3, "there is no job 'third'"),
        (["--job", "first", "--match", "third"], 3, "there is no job 'third'"),
        (["--job", "first", "--temperament", "nice"], 3, "no temperament 'nice'"),
        (["--job", "first", "--pitch", "high"], 3, "no pitch standard 'high'"),
        (["--job", "first", "--pitch", "44"], 2, "between 300 and 600 Hz"),
        (["--job", "first", "--minutes-per-cent", "-1"], 2, "between 0 and 1000 minutes"),
        (["--job", "first", "--share", "first"], 2, "cannot be matched to itself"),
    ],
)
def test_refusals(
    words: list[str], code: int, said: str, workshop: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Each is refused in words with its code."""
    assert run(["leastwork", "--workshop", workshop, *words]) == code
    assert said in capsys.readouterr().err
