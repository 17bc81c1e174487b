"""Maps and the as-found report read back from their PDFs."""

from dataclasses import replace

import pytest
from tests.printed import invented
from tests.printed.reading import MM, covering_words, outside_mm, pages_of, words

from reedwright.catalogue import load_layout
from reedwright.documents.map_sheet import map_drawing, map_sheet_pdf
from reedwright.documents.model import PageSize, PanMaps
from reedwright.documents.pan_map import pan_map_pdf
from reedwright.documents.report import as_found_report_pdf
from reedwright.instrument.layout import Layout

TREBLE = load_layout("english-treble-48")
ANGLO = load_layout("anglo-30-a")
BASS = load_layout("english-bass")
DUET = invented.large_duet()
TWELVE_SIDES = replace(TREBLE, sides=12)
SHEETS = [
    (TREBLE, PageSize.A4),
    (TREBLE, PageSize.LETTER),
    (ANGLO, PageSize.A4),
    (BASS, PageSize.A4),
    (DUET, PageSize.LETTER),
    (TWELVE_SIDES, PageSize.A4),
]


@pytest.mark.parametrize(("layout", "page"), SHEETS)
def test_the_map_is_one_sheet_lying_on_its_side(layout: Layout, page: PageSize) -> None:
    """True size, vector pictures, both views named, nothing cut or covered."""
    with pages_of(map_sheet_pdf(invented.end_maps(layout, page=page))) as read:
        assert len(read) == 1
        (sheet,) = read
        assert sheet.width / MM == pytest.approx(page.height_mm, abs=0.01)
        assert sheet.height / MM == pytest.approx(page.width_mm, abs=0.01)
        assert sheet.images == []
        assert len(sheet.curves) > 2 * len(layout.keys)
        assert outside_mm(sheet, 8.0) == []
        assert covering_words(sheet) == []
        text = words(sheet)
        assert "Left end, fretwork up, player's side down" in text
        assert "Right end, fretwork up, player's side down" in text
        assert "page 1 of 1" in text


def test_the_map_is_drawn_at_its_own_size() -> None:
    """The outline of the left end is as wide on paper as in the drawing."""
    drawing = map_drawing(invented.end_maps(TREBLE))
    with pages_of(map_sheet_pdf(invented.end_maps(TREBLE))) as read:
        wide = [
            (curve["x1"] - curve["x0"]) / MM
            for curve in [*read[0].curves, *read[0].rects]
            if (curve["x1"] - curve["x0"]) / MM > 100.0
        ]
    assert drawing.width_mm == 277.0
    assert wide == pytest.approx([(277.0 - 6.0) / 2.0 - 0.4] * 2, abs=0.01)


def test_cents_stand_on_the_map_with_their_signs() -> None:
    """Whole cents, true minus, sharps and flats, and the doubts below."""
    with pages_of(map_sheet_pdf(invented.end_maps(TREBLE))) as read:
        text = words(read[0])
    for phrase in ("+13", "−14", "G♯6", "B♭3", "in tune", "bold rim: outside the tolerance"):
        assert phrase in text
    assert "Not heard: A♭5 draw (L1.4)." in text


@pytest.mark.parametrize("layout", [TREBLE, BASS, DUET], ids=lambda layout: str(layout.layout))
def test_each_pan_has_its_sheet(layout: Layout) -> None:
    """Two sheets, two faces each, vector, nothing cut."""
    maps = invented.end_maps(layout)
    pdf = pan_map_pdf(PanMaps(maps.head, layout, maps.offsets, maps.tolerance))
    with pages_of(pdf) as read:
        assert len(read) == 2
        for sheet, side in zip(read, ("Left", "Right"), strict=True):
            text = words(sheet)
            assert f"{side} reed pan, chamber side, player's side down" in text
            assert f"{side} reed pan, bellows side, player's side down" in text
            assert sheet.images == []
            assert outside_mm(sheet, 8.0) == []
            assert covering_words(sheet) == []


@pytest.mark.parametrize(("layout", "page"), SHEETS)
def test_the_report_tells_owner_and_repairer(layout: Layout, page: PageSize) -> None:
    """Findings, numbers with doubts, graph, map, worst reeds, doubts, every reed."""
    with pages_of(as_found_report_pdf(invented.report(layout, page=page))) as read:
        assert 3 <= len(read) <= 5
        for number, sheet in enumerate(read, start=1):
            upright = number != 2
            width_mm = page.width_mm if upright else page.height_mm
            assert sheet.width / MM == pytest.approx(width_mm, abs=0.01)
            assert sheet.images == []
            assert outside_mm(sheet, 8.0) == []
            assert covering_words(sheet) == []
            assert f"page {number} of {len(read)}" in words(sheet)
        first, rest = words(read[0]), " ".join(words(sheet) for sheet in read[2:])
    heard = len(layout.reeds()) - 1
    offsets = invented.report(layout).offsets
    within = sum(offset.is_within_tolerance is True for offset in offsets)
    for phrase in (
        "For the owner of the instrument.",
        "a hundred cents are the step",
        "One reed, A♭5 on the draw, does not speak.",
        f"reeds heard {heard} of {heard + 1}",
        f"within the tolerance {within} of {heard}",
        "pitch of the whole instrument, A4 440.41 ± 0.08 Hz",
        "against the standard +1.6 ± 0.3 cents",
        "press (bellows closing)",
        "whole instrument",
        "target",
    ):
        assert phrase in first
    for phrase in ("Furthest off", "Not heard, or in doubt", "How it was measured", "Every reed"):
        assert phrase in rest
    for key in layout.keys:
        assert key.key in rest


def test_the_report_of_a_silent_instrument_says_so() -> None:
    """No reading at all: no number is made up, and the reeds are listed once."""
    report = invented.report(TREBLE, is_silent=True)
    with pages_of(as_found_report_pdf(report)) as read:
        first, rest = words(read[0]), " ".join(words(sheet) for sheet in read[2:])
        assert all(covering_words(sheet) == [] for sheet in read)
    assert "No reed was heard, so nothing can be said of the tuning." in first
    assert "reeds heard 0 of 96" in first
    assert "±" not in first.split("What was found")[1]
    assert rest.count("Not heard: ") == 1
    assert rest.count("not heard") == 96


def test_long_names_fit_every_paper() -> None:
    """Cut with an ellipsis, covering nothing."""
    maps = invented.end_maps(TREBLE)
    report = invented.report(TREBLE)
    long = invented.with_long_names(maps.head)
    for pdf in (
        map_sheet_pdf(replace(maps, head=long)),
        as_found_report_pdf(replace(report, head=long, owner=invented.LONG_NAME)),
    ):
        with pages_of(pdf) as read:
            for sheet in read:
                assert "…" in words(sheet)
                assert outside_mm(sheet, 8.0) == []
                assert covering_words(sheet) == []
