"""Survey orders from files."""

from pathlib import Path

import pytest

from reedwright.catalogue import load_layout, load_order, order_text
from reedwright.errors import CatalogueError, NotFound
from reedwright.instrument.orders import survey_order

ANGLO = load_layout("anglo-20")
LINES = [f"{reed.key} {reed.direction}" for reed in ANGLO.reeds()]


def test_an_order_written_out_reads_back(tmp_path: Path) -> None:
    """The text form of an order of ours is an order of one's own."""
    path = tmp_path / "mine.txt"
    ours = survey_order(ANGLO, "press-then-draw")
    path.write_text(order_text(ours), encoding="utf-8")
    read = load_order(path, ANGLO)
    assert read.reeds == ours.reeds
    assert read.order == "mine"
    assert "mine.txt" in read.explanation


def test_a_toml_order_may_explain_itself(tmp_path: Path) -> None:
    """Name, explanation, and the same lines in a list."""
    path = tmp_path / "mine.toml"
    lines = ",".join(f'"{line}"' for line in reversed(LINES))
    path.write_text(f'order = "down"\nexplanation = "Backwards."\nreeds = [{lines}]\n')
    order = load_order(path, ANGLO)
    assert (order.order, order.explanation) == ("down", "Backwards.")
    assert order.reeds == ANGLO.reeds()[::-1]


@pytest.mark.parametrize(
    ("name", "text", "message"),
    [
        ("o.txt", "", "o.txt: an order lists at least one reed"),
        ("o.txt", "# nothing\n\n", "o.txt: an order lists at least one reed"),
        ("o.txt", "L1.1 press\nL1.1\n", r"o.txt, line 2: .*got 'L1.1'; write it like L2.3 press"),
        ("o.txt", "L1.1 push\n", "line 1: a line is a key and press or draw, got 'L1.1 push'"),
        ("o.txt", "L1.1 press\n\nL1.1 press\n", r"line 3: .* already there \(o.txt, line 1\)"),
        ("o.txt", "Q1.1 press\n", "o.txt: an order lists reeds of the layout, Q1.1 press is none"),
        ("o.txt", "\n".join(LINES[:-1]), "1 of 40 are left out, first R2.5 draw"),
        ("o.toml", 'order = "x"\n', "o.toml, reeds: the field 'reeds' must be given"),
        ("o.toml", 'order = "x"\nreeds = ["L1.1"]\n', "o.toml, reeds 1: a line is a key and press"),
        ("o.toml", 'order = "x"\nreed = []\n', "'reeds' must be given.*1 more"),
        ("o.toml", "order", "o.toml: the file must be TOML"),
    ],
)
def test_a_file_that_is_no_order_is_refused(
    tmp_path: Path, name: str, text: str, message: str
) -> None:
    """The message gives the file, the line, and what to write."""
    (tmp_path / name).write_text(text, encoding="utf-8")
    with pytest.raises(CatalogueError, match=message):
        load_order(tmp_path / name, ANGLO)


def test_a_missing_or_unreadable_order_file_is_refused(tmp_path: Path) -> None:
    """Absent, or not text."""
    with pytest.raises(NotFound):
        load_order(tmp_path / "none.txt", ANGLO)
    (tmp_path / "bytes.txt").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(CatalogueError, match="UTF-8"):
        load_order(tmp_path / "bytes.txt", ANGLO)
