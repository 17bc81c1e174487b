"""Templates read back from PDF (pdfplumber), DXF (ezdxf) and SVG (the XML itself), measured.

100.00 mm is 100.00 within 0.02; the parts are the parts that were designed; every sheet has
its rules and its words; nothing is scaled.
"""

import io
import itertools
import math
import re
from collections.abc import Iterator
from functools import cache
from xml.etree import ElementTree as ET

import pypdfium2  # type: ignore[import-untyped]
import pytest
from ezdxf.document import Drawing as DxfDocument
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.filemanagement import read
from pdfplumber.page import Page
from tests.bellows.wanted import FIGURES, wanted
from tests.printed.reading import MM, covering_words, outside_mm, pages_of, words

from reedwright.bellows import bellows_templates, design_bellows
from reedwright.bellows.model import BellowsDesign, PeakRuns, Slack
from reedwright.documents.template_dxf import templates_dxf
from reedwright.documents.template_files import templates_pdf, templates_svg
from reedwright.documents.template_packing import SheetSize, packed_sheets
from reedwright.documents.template_pages import PatternPage
from reedwright.drawing.template import Layer, TemplateSet
from reedwright.errors import InputError

#: What the printer's rule must be, and how far it may be off.
RULE_MM, OFF_MM = 100.0, 0.02
A3 = SheetSize(297.0, 420.0)

SIX = design_bellows(wanted(opening_deg=45.0))
SET = bellows_templates(SIX, FIGURES)
FOLD = bellows_templates(design_bellows(wanted(peak_runs=PeakRuns.FOLD)), FIGURES)
VALLEY = bellows_templates(design_bellows(wanted(sides=8, folds=7, slack=Slack.VALLEY)), FIGURES)

#: The cards alone: what many tiles and sheets are tried with.
CARDS = TemplateSet(SET.title, SET.facts, SET.templates[:1])

Point = tuple[float, float]


def sides_mm(points: list[Point]) -> list[float]:
    """Return the lengths of the sides of a closed outline, shortest first."""
    closed = [*points, points[0]]
    lengths = [math.dist(a, b) for a, b in itertools.pairwise(closed)]
    return sorted(length for length in lengths if length > 1e-6)


def card_sides_mm(design: BellowsDesign) -> list[float]:
    """Return the sides of a card, shortest first."""
    end = design.card_end_edge_mm
    return sorted([design.card_long_edge_mm, design.card_short_edge_mm, end, end])


def size_mm(points: list[Point]) -> tuple[float, float]:
    """Return width and height of the box round an outline."""
    xs, ys = zip(*points, strict=True)
    return max(xs) - min(xs), max(ys) - min(ys)


def has_outline(outlines: list[list[Point]], sides: list[float]) -> int:
    """Return how many outlines have just these sides, to 0.02 mm."""
    return sum(
        len(sides_mm(points)) == len(sides)
        and all(abs(a - b) < OFF_MM for a, b in zip(sides_mm(points), sides, strict=True))
        for points in outlines
    )


# ---- PDF ----


def pdf_outlines(page: Page) -> list[list[Point]]:
    """Return the closed outlines of a page."""
    drawn = [
        [(x / MM, y / MM) for x, y in curve["pts"]]
        for curve in page.curves
        if len(curve["pts"]) > 3
    ]
    boxes = [
        [(r["x0"] / MM, r["top"] / MM), (r["x1"] / MM, r["top"] / MM),
         (r["x1"] / MM, r["bottom"] / MM), (r["x0"] / MM, r["bottom"] / MM)]
        for r in page.rects
    ]  # fmt: skip
    return drawn + boxes


def pdf_rules(page: Page) -> tuple[list[float], list[float]]:
    """Return the lengths of the level and the upright lines of about 100 mm."""
    found: tuple[list[float], list[float]] = ([], [])
    for line in page.lines:
        wide, high = (line["x1"] - line["x0"]) / MM, (line["bottom"] - line["top"]) / MM
        for number, (along, across) in enumerate(((wide, high), (high, wide))):
            if 95.0 < along < 105.0 and across < 0.01:
                found[number].append(along)
    return found


PDFS = [
    ("six-a4", SET, PatternPage.A4, None),
    ("six-letter", SET, PatternPage.LETTER, None),
    ("valley-a3", VALLEY, PatternPage.A3, None),
    ("fold-a4", FOLD, PatternPage.A4, None),
    ("fold-letter", FOLD, PatternPage.LETTER, None),
    ("packed-a3", SET, PatternPage.A3, A3),
    ("packed-tiled-a4", CARDS, PatternPage.A4, SheetSize(600.0, 420.0)),
    ("packed-narrow-a4", CARDS, PatternPage.A4, SheetSize(140.0, 250.0)),
]


@pytest.fixture(scope="module", params=PDFS, ids=[case[0] for case in PDFS])
def pdf(
    request: pytest.FixtureRequest,
) -> Iterator[tuple[TemplateSet, PatternPage, SheetSize | None, list[Page]]]:
    """Yield each set with its pages, made and read once."""
    _, templates, page, sheet = request.param
    with pages_of(templates_pdf(templates, page, sheet)) as pages:
        yield templates, page, sheet, pages


PdfCase = tuple[TemplateSet, PatternPage, SheetSize | None, list[Page]]


def test_pages_have_the_size_of_the_paper(pdf: PdfCase) -> None:
    """To 0.01 mm; packed sheets their own."""
    _, paper, sheet, pages = pdf
    sizes = {(paper.width_mm, paper.height_mm)}
    if sheet is not None:
        sizes.add((sheet.width_mm, sheet.height_mm))
    for page in pages:
        assert any(
            abs(page.width / MM - wide) < 0.01 and abs(page.height / MM - high) < 0.01
            for wide, high in sizes
        )


def test_every_sheet_carries_rules_of_100_mm_and_says_to_measure_them(pdf: PdfCase) -> None:
    """Level on every sheet, upright too on the program's own pages."""
    _, _, _, pages = pdf
    for page in pages:
        level, upright = pdf_rules(page)
        assert any(abs(length - RULE_MM) < OFF_MM for length in level)
        text = words(page)
        assert "easure" in text
        assert "100 mm" in text
        if "page " in text:
            assert any(abs(length - RULE_MM) < OFF_MM for length in upright)


def test_nothing_is_cut_off_and_no_word_covers_another(pdf: PdfCase) -> None:
    """Letters keep 1.5 mm from the edge of the sheet."""
    _, _, _, pages = pdf
    for page in pages:
        assert outside_mm(page, 1.5) == []
        assert covering_words(page) == []


@pytest.mark.parametrize("paper", [PatternPage.A4, PatternPage.A3])
def test_the_patterns_are_the_parts_designed(paper: PatternPage) -> None:
    """Card and gusset by their sides, strips by length and width, one of each."""
    with pages_of(templates_pdf(SET, paper)) as pages:
        outlines = [outline for page in pages for outline in pdf_outlines(page)]
    assert has_outline(outlines, card_sides_mm(SIX)) == 1
    for template in SET.templates:
        boxes = [
            (
                max(x for x, _ in o) - min(x for x, _ in o),
                max(y for _, y in o) - min(y for _, y in o),
            )
            for o in outlines
        ]
        wide, high = template.width_mm, template.height_mm
        assert any(abs(w - wide) < OFF_MM and abs(h - high) < OFF_MM for w, h in boxes)


def test_captions_tell_number_count_material_grain_and_size() -> None:
    """Every part by name, on the list and under its pattern."""
    with pages_of(templates_pdf(SET, PatternPage.A4)) as pages:
        listed, drawn = words(pages[0]), words(pages[1])
    for template in SET.templates:
        assert f"{template.number} {template.title}, {template.count} pieces" in drawn
        assert f"{template.width_mm:.2f} × {template.height_mm:.2f} mm" in listed
    assert "grain along the long edge" in drawn
    assert "bellows card, 1 mm" in drawn
    assert "score: crease before gluing" in listed


def test_the_layers_have_their_strokes() -> None:
    """Creases are dashed, folds dashed and dotted, cuts solid."""
    with pages_of(templates_pdf(SET, PatternPage.A4)) as pages:
        dashes = {tuple(line["dash"][0]) for line in pages[1].lines if line["dash"]}
        solid = [curve for curve in pages[1].curves if not curve["dash"]]
    assert dashes == {(2, 1), (4, 1.2, 0, 1.2)}
    assert len(solid) >= 4


def test_a_run_round_a_fold_comes_in_tiles_that_share_crosses() -> None:
    """Laid cross on cross the tiles show the whole length: 559 mm and the overlap, to 0.02."""
    strip = next(t for t in FOLD.templates if "peak strip" in t.title)
    assert strip.width_mm > 500.0
    with pages_of(templates_pdf(FOLD, PatternPage.A4)) as pages:
        page = next(page for page in pages if "tile 1 of" in words(page))
        count = int(re.findall(r"B5: tile 1 of (\d) across", words(page))[0])
        # The folds along the middle of each tile, and the crosses' discs.
        folds = sorted(
            (line["top"], line["x0"] / MM, line["x1"] / MM)
            for line in page.lines
            if line["dash"] and len(line["dash"][0]) == 4 and line["x1"] - line["x0"] > 20 * MM
        )[-count:]
        crosses = [
            ((c["x0"] + c["x1"]) / 2 / MM, (c["top"] + c["bottom"]) / 2)
            for c in page.curves
            if abs(c["x1"] - c["x0"] - 3 * MM) < 0.01
        ]
    length = 0.0
    for number, (top, left, right) in enumerate(folds):
        here = sorted(x for x, y in crosses if abs(y - top) < 25 * MM / 2)
        start = left if number == 0 else here[0]
        end = right if number == count - 1 else here[-1]
        length += end - start
    assert count == 4
    assert length == pytest.approx(strip.width_mm, abs=OFF_MM)


def test_packed_sheets_hold_every_piece() -> None:
    """As many cards on the sheets as are needed, and the words say how many."""
    packed = {sheet.template.number: sheet for sheet in packed_sheets(SET, A3)}
    with pages_of(templates_pdf(SET, PatternPage.A3, A3)) as pages:
        sheets = [page for page in pages if "B1 card, sheet" in words(page)]
        found = [has_outline(pdf_outlines(page), card_sides_mm(SIX)) for page in sheets]
        texts = [words(page) for page in sheets]
    assert sum(found) == 72
    assert found[0] == len(packed["B1"].pieces)
    assert f"{found[0]} of 72 pieces" in texts[0]
    assert "% of all sheets used" in texts[1]


def test_the_same_templates_give_the_same_bytes() -> None:
    """No date, no chance, in any of the three formats."""
    assert templates_pdf(SET, PatternPage.A4) == templates_pdf(SET, PatternPage.A4)
    assert templates_dxf(SET) == templates_dxf(SET)
    assert templates_svg(SET) == templates_svg(SET)


def test_a_second_reader_draws_the_page() -> None:
    """Another library opens the file and finds ink where the card lies."""
    document = pypdfium2.PdfDocument(templates_pdf(SET, PatternPage.A4))
    picture = document[1].render(scale=1.0).to_numpy()
    document.close()
    assert picture[50:200].min() < 128


# ---- DXF ----


@cache
def dxf(templates: TemplateSet, sheet: SheetSize | None = None) -> DxfDocument:
    """Return the file read back."""
    return read(io.StringIO(templates_dxf(templates, sheet).decode("utf-8")))


def dxf_outlines(document: DxfDocument, layer: Layer) -> list[list[Point]]:
    """Return the closed outlines of a layer."""
    found = document.modelspace().query(f'LWPOLYLINE[layer=="{layer.value}"]')
    return [
        [(x, y) for x, y in line.get_points("xy")]
        for line in found
        if isinstance(line, LWPolyline) and line.closed
    ]


@pytest.mark.parametrize("templates", [SET, FOLD, VALLEY], ids=["six", "fold", "valley"])
def test_dxf_is_r2010_in_millimetres_without_errors(templates: TemplateSet) -> None:
    """Version, units, measurement and layers as promised; the auditor finds nothing."""
    document = dxf(templates)
    assert document.dxfversion == "AC1024"
    assert document.header["$INSUNITS"] == 4
    assert document.header["$MEASUREMENT"] == 1
    assert {layer.value for layer in Layer} <= {layer.dxf.name for layer in document.layers}
    assert document.audit().errors == []
    used = {entity.dxf.layer for entity in document.modelspace()}
    assert used == {layer.value for layer in Layer}


def test_dxf_rules_are_100_mm() -> None:
    """Both, exactly."""
    lines = dxf(SET).modelspace().query('LINE[layer=="mark"]')
    lengths = [(line.dxf.end - line.dxf.start).magnitude for line in lines]
    assert sum(abs(length - RULE_MM) < 1e-9 for length in lengths) == 2


def test_dxf_parts_are_the_parts_designed() -> None:
    """Card sides to 1e-9 mm, long edge up as drawn; all boxes; folds and creases there."""
    document = dxf(SET)
    outlines = dxf_outlines(document, Layer.CUT)
    assert len(outlines) == len(SET.templates)
    assert any(
        sides_mm(points) == pytest.approx(card_sides_mm(SIX), abs=1e-9) for points in outlines
    )
    (card,) = (o for o in outlines if sides_mm(o) == pytest.approx(card_sides_mm(SIX), abs=1e-6))
    top = max(y for _, y in card)
    long_edge = [x for x, y in card if abs(y - top) < 1e-9]
    assert max(long_edge) - min(long_edge) == pytest.approx(SIX.card_long_edge_mm, abs=1e-9)
    texts = [text.dxf.text for text in document.modelspace().query("TEXT")]
    assert any("B1 card, 72 pieces" in text for text in texts)
    assert any("100 mm" in text for text in texts)


def test_dxf_packed_sheets_lie_side_by_side() -> None:
    """All 72 cards, none twice at one place, sheets bordered in the layer of marks."""
    document = dxf(SET, A3)
    cards = [
        outline
        for outline in dxf_outlines(document, Layer.CUT)
        if has_outline([outline], card_sides_mm(SIX))
    ]
    assert len({(round(o[0][0], 3), round(o[0][1], 3)) for o in cards}) == 72
    borders = [
        outline
        for outline in dxf_outlines(document, Layer.MARK)
        if has_outline([outline], [297.0, 297.0, 420.0, 420.0])
    ]
    assert len(borders) == sum(sheet.sheets for sheet in packed_sheets(SET, A3))


# ---- SVG ----

_SVG = "{http://www.w3.org/2000/svg}"


def svg_tree(text: str) -> ET.Element:
    """Return the root of an SVG of ours."""
    return ET.fromstring(text)  # noqa: S314 - written by the program itself


def test_svg_is_in_millimetres_and_its_rules_are_100() -> None:
    """One user unit is a millimetre: size and view box agree."""
    root = svg_tree(templates_svg(SET))
    width = float(root.attrib["width"].removesuffix("mm"))
    assert root.attrib["viewBox"].split()[2] == f"{width:g}"
    (marks,) = (g for g in root.iter(f"{_SVG}g") if g.attrib.get("data-name") == "mark")
    lengths = [
        math.dist(
            (float(line.attrib["x1"]), float(line.attrib["y1"])),
            (float(line.attrib["x2"]), float(line.attrib["y2"])),
        )
        for line in marks.iter(f"{_SVG}line")
    ]
    assert sum(abs(length - RULE_MM) < OFF_MM for length in lengths) == 2


def test_svg_layers_hold_the_parts_designed() -> None:
    """Outlines to cut in their group: the card by its sides, as many as templates."""
    root = svg_tree(templates_svg(SET))
    groups = {g.attrib.get("data-name"): g for g in root.iter(f"{_SVG}g")}
    outlines = [
        [(float(x), float(y)) for x, y in (pair.split(",") for pair in p.attrib["points"].split())]
        for p in groups["cut"].iter(f"{_SVG}polygon")
    ]
    assert len(outlines) == len(SET.templates)
    assert has_outline(outlines, card_sides_mm(SIX)) == 1
    assert {"cut", "score", "fold", "mark", "text"} <= set(groups)
    assert list(groups["score"].iter(f"{_SVG}polyline"))


def test_packed_svg_holds_every_card() -> None:
    """All on one area, as in the DXF."""
    root = svg_tree(templates_svg(SET, A3))
    outlines = [
        [(float(x), float(y)) for x, y in (pair.split(",") for pair in p.attrib["points"].split())]
        for p in root.iter(f"{_SVG}polygon")
    ]
    assert has_outline(outlines, card_sides_mm(SIX)) == 72


# ---- refusals ----


@pytest.mark.parametrize(
    "size", [(100.0, 420.0, 2.0), (297.0, 420.0, -1.0), (math.nan, 420.0, 2.0)]
)
def test_a_sheet_too_small_for_its_rule_is_refused(size: tuple[float, float, float]) -> None:
    """With the least and a usual size."""
    with pytest.raises(InputError, match="140 mm or more each way"):
        SheetSize(*size)
