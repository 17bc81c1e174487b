"""The front door: help at once, every command described, refusals in words with their code."""

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest

from reedwright.cli import COMMANDS, Command
from reedwright.wiring import run

HEAVY = {"numpy", "scipy", "sqlalchemy", "pydantic", "typst", "av", "soundfile", "rich"}


def test_help_lists_every_command_and_loads_nothing_heavy() -> None:
    """``--help`` names each command with its line, and imports no library but Python's own."""
    code = (
        "import sys\n"
        "from reedwright.wiring import run\n"
        "try:\n    run(['--help'])\n"
        "except SystemExit:\n    pass\n"
        "print('LOADED', *sorted({name.split('.')[0] for name in sys.modules}))\n"
    )
    printed = subprocess.run(  # noqa: S603 - our own code
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    ).stdout
    for command in COMMANDS:
        assert re.search(
            rf"^  {command.command} +{re.escape(command.summary)}$", printed, re.MULTILINE
        )
    loaded = set(printed.split("LOADED")[1].split())
    assert "reedwright" in loaded
    assert not HEAVY & loaded


@pytest.mark.parametrize("command", COMMANDS, ids=lambda command: command.command)
def test_every_command_has_help(command: Command, capsys: pytest.CaptureFixture[str]) -> None:
    """Each command says what it takes, and offers the same result as JSON."""
    with pytest.raises(SystemExit) as end:
        run([command.command, "--help"])
    assert end.value.code == 0
    printed = capsys.readouterr().out
    assert command.command in printed
    assert "--json" in printed


def test_an_unknown_command_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    """A word that is no command ends with code 2 and the list of those there are."""
    with pytest.raises(SystemExit) as end:
        run(["polish"])
    assert end.value.code == 2
    assert "survey" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (["survey", "none.wav", "--layout", "english-treble-48"], 2, "must be a file"),
        (["survey", "none.wav", "--layout", "harmonium"], 3, "named by its slug"),
        (["survey", "x.wav", "--layout", "english-treble-48", "--order", "odd"], 3, "'odd'"),
        (["listen", "none.wav"], 2, "must be a file"),
        (["tongue", "--profile", "none.toml"], 3, "none.toml"),
        (["layouts", "harmonium"], 3, "named by its slug"),
        (["check", "--workshop", "none.reedwright"], 3, "none.reedwright"),
        (["targets", "--job", "x", "--workshop", "none.reedwright"], 3, "none.reedwright"),
        (["map", "x.svg"], 2, "either --layout or --job"),
        (["map", "x.png", "--layout", "anglo-20"], 2, "written as .svg"),
    ],
)
def test_refusals_come_in_words_with_their_code(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    words: list[str],
    code: int,
    said: str,
) -> None:
    """What cannot be done is said on the error stream; standard output stays empty."""
    monkeypatch.chdir(tmp_path)
    assert run([*words, "--json"]) == code
    printed = capsys.readouterr()
    assert printed.out == ""
    assert said in printed.err
    assert "Traceback" not in printed.err


def test_layouts_tunings_and_parts_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    """The lists come as one JSON object each, with the numbers the tables show."""
    assert run(["layouts", "--json"]) == 0
    layouts = json.loads(capsys.readouterr().out)["layouts"]
    assert "english-treble-48" in {layout["layout"] for layout in layouts}
    assert run(["tunings", "--json"]) == 0
    tunings = json.loads(capsys.readouterr().out)
    quarter = next(t for t in tunings["temperaments"] if t["temperament"] == "quarter-comma")
    assert quarter["cents_from_equal"]["C"] == pytest.approx(10.265, abs=0.001)
    assert run(["parts", "--layout", "english-treble-48", "--json"]) == 0
    parts = json.loads(capsys.readouterr().out)
    assert parts["pieces"] > 1000


def test_a_tongue_profile_gives_the_published_double_taper(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The double taper of SDLL09, case 1: 54.18 Hz published, 54.18872 Hz exact.

    Source: SFM/AFNOR, Guide de validation des progiciels de calcul de structures, 1990,
    test SDLL09; the exact value by shooting, computed independently.
    """
    (tmp_path / "beam.toml").write_text(
        "youngs_modulus_pa = 2e11\ndensity_kg_m3 = 7800\n"
        "[[station]]\nx_mm = 0\nthickness_mm = 40\nwidth_mm = 40\n"
        "[[station]]\nx_mm = 1000\nthickness_mm = 10\nwidth_mm = 10\n"
    )
    assert run(["tongue", "--profile", str(tmp_path / "beam.toml"), "--json"]) == 0
    printed = json.loads(capsys.readouterr().out)
    assert printed["frequencies_hz"] == pytest.approx(
        [54.18872, 171.96982, 384.53123, 697.42850, 1112.47099], rel=2e-6
    )
    assert 0.5 < printed["neutral_point_fraction"] < 0.8
