"""The bench sheet read back from its PDF: millimetres, lines, texts, pages."""

import re
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

import pytest
from pdfplumber.page import Page
from tests.printed import invented
from tests.printed.reading import (
    MM,
    covering_words,
    outside_mm,
    pages_of,
    words,
)

from reedwright.catalogue import load_layout
from reedwright.documents.bench_sheet import bench_sheet_pdf
from reedwright.documents.model import BenchSheet, PageSize
from reedwright.documents.orders import order_of_pan
from reedwright.instrument.layout import Layout

TREBLE = load_layout("english-treble-48")
TENOR_TREBLE = load_layout("english-tenor-treble-56")


@pytest.fixture(scope="module")
def treble_pages() -> Iterator[list[Page]]:
    """Yield the two pages of the invented treble, read once."""
    with pages_of(bench_sheet_pdf(invented.bench_sheet(TREBLE))) as read:
        yield read


def line_heights_mm(page: Page) -> list[float]:
    """Return the distances between the rules that part the keys, which cross the sheet.

    A rule is drawn in pieces, one per cell: the pieces of one height are one rule.
    """
    lengths: dict[float, float] = {}
    for line in page.lines:
        if line["bottom"] - line["top"] < 0.1:
            place = round(line["top"] / MM, 2)
            lengths[place] = lengths.get(place, 0.0) + (line["x1"] - line["x0"]) / MM
    rules = sorted(place for place, length in lengths.items() if length > 180.0)
    return [lower - upper for upper, lower in pairwise(rules)]


def keys_on(page: Page) -> list[str]:
    """Return the key identifiers down the page."""
    return [
        word["text"] for word in page.extract_words() if re.fullmatch(r"[LR]\d+\.\d+", word["text"])
    ]


SHEETS: list[tuple[str, BenchSheet, int]] = [
    ("treble", invented.bench_sheet(TREBLE), 2),
    ("treble-letter", invented.bench_sheet(TREBLE, page=PageSize.LETTER), 2),
    ("28-keys", invented.bench_sheet(TENOR_TREBLE), 2),
    ("28-keys-letter", invented.bench_sheet(TENOR_TREBLE, page=PageSize.LETTER), 4),
    ("anglo", invented.bench_sheet(load_layout("anglo-30-b")), 2),
    ("bass", invented.bench_sheet(load_layout("english-bass")), 2),
    ("41-keys", invented.bench_sheet(invented.large_duet()), 4),
    ("blank", invented.bench_sheet(load_layout("duet-six-column-46")), 2),
    ("pan-order", invented.bench_sheet(TREBLE, order=order_of_pan(TREBLE)), 2),
]


@pytest.mark.parametrize(
    ("sheet", "pages"), [case[1:] for case in SHEETS], ids=[case[0] for case in SHEETS]
)
def test_a_sheet_can_be_worked_from(sheet: BenchSheet, pages: int) -> None:
    """True page size, lines of 8 mm and more, every key once, nothing cut or covered."""
    pdf = bench_sheet_pdf(sheet)
    with pages_of(pdf) as read:
        assert len(read) == pages
        found: list[str] = []
        for number, page in enumerate(read, start=1):
            # The compiler writes whole multiples of a fixed small unit: 0.01 mm is exact here.
            assert page.width / MM == pytest.approx(sheet.page.width_mm, abs=0.01)
            assert page.height / MM == pytest.approx(sheet.page.height_mm, abs=0.01)
            heights = line_heights_mm(page)
            keys = keys_on(page)
            assert len(heights) == len(set(keys)) or not heights
            assert all(height >= 7.99 for height in heights)
            assert page.images == []
            assert outside_mm(page, 6.0) == []
            assert covering_words(page) == []
            text = words(page)
            assert f"page {number} of {pages}" in text
            assert sheet.head.job in text
            assert sheet.head.date in text
            found += list(dict.fromkeys(keys)) if heights else []
        assert found == list(sheet.order.keys)


def test_the_check_rule_measures_100_mm(treble_pages: list[Page]) -> None:
    """On every sheet a rule of 100.00 mm, with a mark every 10.00 mm."""
    for page in treble_pages:
        foot = [line for line in page.lines if line["top"] / MM > 280.0]
        long = [
            float(line["x1"] - line["x0"]) / MM
            for line in foot
            if (line["x1"] - line["x0"]) / MM > 50.0
        ]
        assert long == [pytest.approx(100.0, abs=0.005)]
        marks = sorted(
            float(line["x0"]) / MM for line in foot if (line["x1"] - line["x0"]) / MM < 0.1
        )
        steps = [after - before for before, after in pairwise(marks)]
        assert steps == pytest.approx([10.0] * 10, abs=0.005)


def test_signs_are_printed_as_musicians_write_them(treble_pages: list[Page]) -> None:
    """Sharps, flats and the true minus, from the shipped faces and no others."""
    text = words(treble_pages[0])
    fonts = {char["fontname"].split("+")[1] for page in treble_pages for char in page.chars}
    for sign in ("C♯4", "A♭5", "−4.5", "+8.8", "± 0.2", "µm"):
        assert sign in text
    assert "-4" not in text
    assert fonts == {
        "SourceSans3-Regular",
        "SourceSans3-Semibold",
        "Reedwright-Signs-Regular",
        "Reedwright-Signs-Semibold",
    }


def test_a_line_says_found_target_and_what_to_file(treble_pages: list[Page]) -> None:
    """The first line of the left end, and its column titles."""
    text, right = words(treble_pages[0]), words(treble_pages[1])
    found = treble_pages[0].extract_words(keep_blank_chars=True, x_tolerance=1.5, y_tolerance=1.0)
    cells = {word["text"] for word in found}
    assert {"tip 0–6.5 mm", "7.6 ± 2.3 µm", "stop at 4.6 µm", "leave", "listen again"} <= cells
    for phrase in (
        "Bench sheet: Left end",
        "press (closing)",
        "draw (opening)",
        "found target to file after 1 after 2 final",
        "277.18 Hz",
        "A4 = 440.0 Hz · equal temperament · 20.1 °C · in the instrument, ends on",
        "Lines row by row, from the player's side.",
    ):
        assert phrase in text
    assert "Bench sheet: Right end" in right


def test_silence_and_doubt_are_seen_and_listed(treble_pages: list[Page]) -> None:
    """The word in the cell, the question mark, and the list under the lines."""
    text, right = words(treble_pages[0]), words(treble_pages[1])
    assert "silent" in text
    assert "−1.7 ?" in text
    assert "Not heard: A♭5 draw (L1.4)." in text
    assert "C4 press (L2.1): this may have been the C4 of another key" in text
    assert "Not heard" not in right


def test_everything_silent_or_unknown_still_prints() -> None:
    """No readings at all; and a sheet without targets to be filled by hand."""
    sheet = invented.bench_sheet(TREBLE)
    silent = replace(
        sheet, offsets=invented.invented_offsets(TREBLE, silent=TREBLE.reeds()), plans=()
    )
    with pages_of(bench_sheet_pdf(silent)) as read:
        assert words(read[0]).count("silent") == 48
        assert all(covering_words(page) == [] for page in read)
    with pages_of(bench_sheet_pdf(replace(sheet, offsets=(), plans=()))) as read:
        assert len(read) == 2
        assert "Hz" not in words(read[0]).replace("A4 = 440.0 Hz", "")


def test_long_names_are_cut_and_cover_nothing() -> None:
    """Names far too long for their line end in an ellipsis inside the sheet."""
    sheet = invented.bench_sheet(TREBLE)
    long = replace(sheet, head=invented.with_long_names(sheet.head))
    with pages_of(bench_sheet_pdf(long)) as read:
        assert len(read) == 2
        for page in read:
            assert "…" in words(page)
            assert "Demonstration: the instrument, its faults" in words(page)
            assert outside_mm(page, 6.0) == []
            assert covering_words(page) == []


def test_text_of_a_person_is_never_a_command() -> None:
    """Markup of the page compiler, of SVG and of JSON in a name is printed as it stands."""
    nasty = '#panic("x") $a$ *b* _c_ </text> \\ "quote" [d] {e} @f <g>'
    sheet = invented.bench_sheet(TREBLE)
    with pages_of(bench_sheet_pdf(replace(sheet, head=replace(sheet.head, job=nasty)))) as read:
        assert '#panic("x") $a$ *b* _c_ </text> \\ "quote" [d] {e} @f' in words(read[0])


def test_the_same_values_give_the_same_bytes() -> None:
    """No clock, no chance, no machine in the file."""
    sheet = invented.bench_sheet(TREBLE)
    assert bench_sheet_pdf(sheet) == bench_sheet_pdf(sheet)


def test_a_single_end_prints_alone() -> None:
    """A layout with keys on one end only has that end's pages."""
    keys = tuple(key for key in TREBLE.keys if key.key.startswith("L"))
    one_end: Layout = replace(TREBLE, keys=keys, rows=())
    with pages_of(bench_sheet_pdf(invented.bench_sheet(one_end))) as read:
        assert len(read) == 1


def test_the_lines_reach_across_the_sheet() -> None:
    """From margin to margin, on both sizes of sheet."""
    for page_size in PageSize:
        sheet = invented.bench_sheet(TREBLE, page=page_size)
        with pages_of(bench_sheet_pdf(sheet)) as read:
            lefts = [line["x0"] / MM for line in read[0].lines]
            rights = [line["x1"] / MM for line in read[0].lines]
            # Square ends reach half a stroke, 0.175 mm, further.
            assert min(lefts) == pytest.approx(9.0, abs=0.2)
            assert max(rights) == pytest.approx(page_size.width_mm - 9.0, abs=0.2)
