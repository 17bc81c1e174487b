"""``bellows`` and ``bellows-fit``: the promised JSON, the files, the words, the refusals."""

import json
from pathlib import Path
from typing import Any

import pytest
from tests.printed.reading import pages_of, words

from reedwright.wiring import run

SIX = ["--sides", "6", "--folds", "6", "--across-flats-mm", "158", "--depth-mm", "25"]
MEASURED = [
    "--sides", "6", "--folds", "6", "--card-long-edge-mm", "84.9", "--card-short-edge-mm", "61.3",
    "--depth-mm", "25", "--closed-length-mm", "23.4", "--open-length-mm", "172.6",
]  # fmt: skip


def result(words_given: list[str], capsys: pytest.CaptureFixture[str]) -> dict[str, Any]:
    """Return the JSON of a command that must succeed and print nothing else."""
    assert run([*words_given, "--json"]) == 0
    printed = capsys.readouterr()
    assert printed.err == ""
    found = json.loads(printed.out)
    assert isinstance(found, dict)
    return found


def test_the_promised_fields_with_the_reference_numbers(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Unrounded, as worked out before the program was written."""
    found = result(["bellows", *SIX, "--opening-deg", "35"], capsys)
    promised = {
        "card_long_edge_mm": 84.9178359,
        "card_short_edge_mm": 61.3052003,
        "card_end_taper_deg": 25.2791507,
        "closed_length_mm": 23.4,
        "open_length_mm": 172.5955830,
        "volume_closed_l": 0.3624490,
        "volume_open_l": 2.4905833,
        "effective_area_closed_cm2": 154.52559,
        "effective_area_open_cm2": 120.76970,
        "corner_demand_mm": 4.4589968,
    }
    for name, value in promised.items():
        assert found[name] == pytest.approx(value, rel=5e-8)
    assert found["counts"] == {
        "cards": 72, "gussets": 36, "peak_strips": 36, "valley_strips": 30, "frame_strips": 12,
        "peak_hinges": 36, "valley_hinges": 42, "frame_rails": 12, "frames": 2, "papers": 72,
    }  # fmt: skip


def test_every_option_reaches_the_design(capsys: pytest.CaptureFixture[str]) -> None:
    """Each changes what it names."""
    options = {
        "card-mm": 0.8, "cloth-mm": 0.25, "strip-mm": 0.5, "gusset-mm": 0.4, "packing-mm": 0.1,
        "opening-deg": 40.0, "peak-gap-mm": 1.5, "valley-gap-mm": 0.6, "strip-margin-mm": 7.0,
        "gusset-margin-mm": 5.0, "strip-overlap-mm": 10.0, "end-run-on-frame-mm": 20.0,
        "frame-wall-mm": 7.0, "frame-depth-mm": 25.0, "chambers-l": 0.5,
    }  # fmt: skip
    given = [word for name, value in options.items() for word in (f"--{name}", str(value))]
    found = result(["bellows", *SIX, *given, "--slack", "shared", "--peak-runs", "fold"], capsys)[
        "wanted"
    ]
    flat = {**found, **found["layers"], **found["allowances"]}
    for name, value in options.items():
        assert flat[name.replace("-", "_")] == value
    assert (flat["slack"], flat["peak_runs"]) == ("shared", "fold")


def test_45_degrees_unless_asked_with_35_beside_it(capsys: pytest.CaptureFixture[str]) -> None:
    """Stroke and corner demand of both are told."""
    found = result(["bellows", *SIX], capsys)
    assert found["wanted"]["opening_deg"] == 45.0
    choices = {choice["opening_deg"]: choice for choice in found["choices"]}
    assert choices[45.0]["corner_demand_mm"] == pytest.approx(7.27, abs=5e-3)
    assert choices[35.0]["corner_demand_mm"] == pytest.approx(4.459, abs=5e-4)
    assert choices[45.0]["stroke_mm"] > choices[35.0]["stroke_mm"] == pytest.approx(149.2, abs=0.05)


def test_what_is_printed_for_people(capsys: pytest.CaptureFixture[str]) -> None:
    """Sizes, openings, parts, comparison, and the warning of what was asked for."""
    assert run(["bellows", *SIX, "--slack", "valley", "--compare", "5,6,7"]) == 0
    printed = capsys.readouterr().out
    assert "mm at the peak" in printed
    assert "35°" in printed
    assert "72" in printed
    assert "bellows paper" in printed
    assert "Look out (end-run): the valleys move outwards by 7.27 mm" in printed
    assert "Seconds: a chord of 3 notes at 0.1 L/s each, 90 % of the stroke." in printed


def test_files_are_written_by_their_ending(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Templates as PDF, DXF and SVG, one of each or packed; picture and plot as PDF and SVG."""
    heads = {".pdf": b"%PDF-", ".dxf": b"  0\r\nSECTION", ".svg": b"<svg "}
    for ending, head in heads.items():
        for packed in ([], ["--packed", "297x420"]):
            path = tmp_path / f"set{len(packed)}{ending}"
            found = result(["bellows", *SIX, "--template", str(path), *packed], capsys)
            assert found["written"] == [str(path)]
            assert (
                path.read_bytes().replace(b"\r\n", b"\n").startswith(head.replace(b"\r\n", b"\n"))
            )
    for ending in (".pdf", ".svg"):
        picture, plot = tmp_path / f"picture{ending}", tmp_path / f"plot{ending}"
        found = result(
            ["bellows", *SIX, "--picture", str(picture), "--at-deg", "20", "--compare", "5,7",
             "--plot", str(plot)], capsys,
        )  # fmt: skip
        assert [row["folds"] for row in found["compared"]] == [5, 7]
        assert picture.read_bytes().startswith(heads[ending])
        assert plot.read_bytes().startswith(heads[ending])
    with pages_of((tmp_path / "picture.pdf").read_bytes()) as (page,):
        assert "Cards at 20.0°" in words(page)


def test_a_measured_bellows_is_explained_and_its_templates_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Six measurements, with or without across flats, and the set is there."""
    path = tmp_path / "set.pdf"
    found = result(["bellows-fit", *MEASURED, "--template", str(path)], capsys)
    assert found["is_explained"]
    assert found["design"]["wanted"]["across_flats_mm"] == pytest.approx(158.0, abs=0.1)
    assert path.exists()
    assert run(["bellows-fit", *MEASURED, "--across-flats-mm", "158.5"]) == 0
    printed = capsys.readouterr().out
    assert "slack at the corner: peak gusset, frame at the valleys" in printed
    assert "across_flats_mm" in printed
    assert "All that was measured is explained within its doubt." in printed


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (["bellows", *SIX, "--template", "x.png"], "kind, .pdf, .dxf, .svg, got 'x.png'"),
        (["bellows", *SIX, "--picture", "x.dxf"], "kind, .svg, .pdf, got 'x.dxf'"),
        (["bellows", *SIX, "--template", "no/such/x.pdf"], "name another"),
        (["bellows", *SIX, "--packed", "297x420"], "add --template FILE"),
        (["bellows", *SIX, "--template", "x.pdf", "--packed", "A3"], "A3 is 297x420"),
        (
            ["bellows", *SIX, "--peak-runs", "fold", "--template", "x.pdf", "--packed", "297x420"],
            "peak strip (top run) of 559.3 by 14.4 mm does not fit 297 by 420 mm",
        ),
        (["bellows", *SIX, "--plot", "x.svg"], "add --compare 5,6,7"),
        (["bellows", *SIX, "--compare", "five"], "got 'five'; write 5,6,7"),
        (["bellows", *SIX, "--compare", "5,99"], "from 1 to 30 folds, got 99"),
        (["bellows", *SIX, "--picture", "x.svg", "--at-deg", "60"], "as far as its corners give"),
        (["bellows-fit", *MEASURED[:-1], "23"], "shorter than an open one"),
    ],
)
def test_refusals_end_with_code_2_and_leave_nothing(
    given: list[str],
    said: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """In one sentence on the error stream, with no file written."""
    monkeypatch.chdir(tmp_path)
    assert run(given) == 2
    printed = capsys.readouterr()
    assert said in printed.err
    assert printed.out == ""
    assert list(tmp_path.iterdir()) == []
