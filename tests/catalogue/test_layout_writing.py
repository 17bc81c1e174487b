"""Layouts written as files."""

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reedwright.catalogue import (
    layout_from_toml,
    layout_names,
    layout_toml,
    load_layout,
    write_layout,
)
from reedwright.errors import Conflict, LayoutError
from reedwright.instrument.layout import Direction
from reedwright.instrument.teach import HeardTone, teach_layout

TREBLE = load_layout("english-treble-48")


@pytest.mark.parametrize("name", [*layout_names(), "anglo-30-b-abeb"])
def test_every_layout_reads_back_as_it_was(name: str, tmp_path: Path) -> None:
    """Notes, rows, evidence: nothing is lost on the way."""
    layout = load_layout(name)
    write_layout(layout, tmp_path / "mine.toml")
    assert load_layout(tmp_path / "mine.toml") == layout


@given(st.text(min_size=1).filter(lambda text: text.strip() == text))
def test_any_words_survive(words: str) -> None:
    """Quotes, backslashes, line ends and signs in a title."""
    layout = replace(TREBLE, title=words)
    assert layout_from_toml(layout_toml(layout), place="mine.toml") == layout


def test_a_taught_layout_with_gaps_reads_back(tmp_path: Path) -> None:
    """Places without a note stay places."""
    taught = teach_layout(
        load_layout("duet-six-column-46"),
        [
            HeardTone("L1.2", Direction.PRESS, 262.0),
            HeardTone("L1.2", Direction.DRAW, 262.0),
            HeardTone("R1.1", Direction.DRAW, 415.0),
        ],
        a4_hz=440.0,
        layout="mine",
        title="Mine",
    ).layout
    path = tmp_path / "mine.toml"
    write_layout(taught, path)
    assert load_layout(path) == taught
    assert 'notes = ["-", "C4", "-", "-", "-", "-"]' in path.read_text(encoding="utf-8")


def test_a_file_of_the_users_is_not_overwritten_unasked(tmp_path: Path) -> None:
    """Unless it is asked for."""
    path = tmp_path / "mine.toml"
    path.write_text("precious", encoding="utf-8")
    with pytest.raises(Conflict, match=r"mine.toml exists; give another name"):
        write_layout(TREBLE, path)
    assert path.read_text(encoding="utf-8") == "precious"
    write_layout(TREBLE, path, overwrite=True)
    assert load_layout(path) == TREBLE


def test_keys_with_names_of_their_own_cannot_be_written() -> None:
    """The file names keys by place, and says so."""
    keys = (replace(TREBLE.keys[0], key="first"), *TREBLE.keys[1:])
    with pytest.raises(LayoutError, match=r"'first' .* would be L1.1; rename it"):
        layout_toml(replace(TREBLE, keys=keys))
