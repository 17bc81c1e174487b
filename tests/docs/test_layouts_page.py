"""What docs/layouts.md says of layouts is so."""

import re
from pathlib import Path

import pytest

from reedwright.catalogue import (
    layout_from_toml,
    layout_names,
    load_layout,
    load_part_figures,
)
from reedwright.instrument.evidence import EvidenceMark
from reedwright.instrument.layout import Direction, Side
from reedwright.instrument.orders import SURVEY_ORDERS
from reedwright.instrument.parts import parts_list

PAGE = (Path(__file__).parents[2] / "docs" / "layouts.md").read_text(encoding="utf-8")
TABLE = re.findall(
    r"^\| `([a-z0-9-]+)` \| (\d+) \+ (\d+) \| (.+?) \| (.+?) \|$", PAGE, re.MULTILINE
)


def test_the_example_on_the_page_loads() -> None:
    """With its odd button, its missing reed and its chambers."""
    (example,) = re.findall(r"```toml\n(.*?)```", PAGE, re.DOTALL)
    layout = layout_from_toml(example, place="the example")
    assert len(layout.keys) == 9
    assert str(layout.key("R1.1").press) == str(layout.key("R1.1").draw) == "F3"
    assert layout.key("R1.3").note(Direction.PRESS) is None
    assert layout.chambers(Side.LEFT)[1] == "L2.1"


def test_the_table_lists_every_layout() -> None:
    """No layout is left out and none is invented."""
    assert tuple(sorted(row[0] for row in TABLE)) == layout_names()


@pytest.mark.parametrize(("name", "left", "right", "compass", "sure"), TABLE)
def test_a_line_of_the_table_is_the_layout(
    name: str, left: str, right: str, compass: str, sure: str
) -> None:
    """Keys on each end, range, and how sure it is."""
    layout = load_layout(name)
    assert (len(layout.side_keys(Side.LEFT)), len(layout.side_keys(Side.RIGHT))) == (
        int(left),
        int(right),
    )
    found = "blank form" if layout.is_blank else " to ".join(map(str, layout.compass()))
    assert compass == found
    assert sure == f"{layout.evidence_mark}, {layout.confidence}"


@pytest.mark.parametrize(
    "name", sorted(set(re.findall(r"`(anglo-[a-z0-9-]+)`", PAGE)) - set(layout_names()))
)
def test_the_transposed_names_on_the_page_load(name: str) -> None:
    """As slugs of their own."""
    assert load_layout(name).layout == name


def test_every_mark_and_every_order_is_explained() -> None:
    """The page knows all there are."""
    assert set(re.findall(r"^\| `([a-z ]+)` \| [a-z]", PAGE, re.MULTILINE)) >= set(EvidenceMark)
    assert all(f"`{order}`" in PAGE for order in SURVEY_ORDERS)


def test_the_mass_of_the_treble_is_the_one_on_the_page() -> None:
    """Rounded to 0.1 kg, with a doubt of a quarter."""
    parts = parts_list(load_layout("english-treble-48"), load_part_figures())
    assert f"comes to {parts.mass_g / 1000.0:.1f} kg" in PAGE.replace("\n", " ")
    assert parts.mass_doubt_g / parts.mass_g == pytest.approx(0.25)
