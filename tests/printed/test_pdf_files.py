"""The PDF files as files: the wish not to be scaled, the shipped faces, no date."""

import re

import pypdfium2  # type: ignore[import-untyped]
import pytest
from tests.printed import invented
from tests.printed.reading import pages_of
from tests.printed.signs_font import FACES, SIGNS, build_signs_font, shipped_path

from reedwright.catalogue import load_layout
from reedwright.documents.bench_sheet import bench_sheet_pdf
from reedwright.documents.print_scaling import ask_for_true_size
from reedwright.errors import FileError

PDF = bench_sheet_pdf(invented.bench_sheet(load_layout("english-treble-48")))


def test_the_viewer_is_asked_not_to_scale() -> None:
    """PrintScaling None stands in the catalogue that a reader finds, beside what was there."""
    with pages_of(PDF) as read:
        catalogue = read[0].pdf.doc.catalog
    wishes = {str(name): str(value) for name, value in catalogue["ViewerPreferences"].items()}
    assert wishes["PrintScaling"] == "/'None'"
    assert len(wishes) > 1


def test_a_second_reader_opens_the_amended_file() -> None:
    """Another library, with its own parser, counts the pages and draws one of them."""
    document = pypdfium2.PdfDocument(PDF)
    assert len(document) == 2
    assert document[0].render(scale=0.2).to_numpy().min() < 128
    document.close()


def test_the_amended_table_points_at_its_object() -> None:
    """The last cross-reference entry is the place of the new catalogue."""
    start = int(re.findall(rb"startxref\s+(\d+)", PDF)[-1])
    number, place = re.findall(rb"\n(\d+) 1\n(\d{10}) 00000 n", PDF[start:])[0]
    assert PDF[int(place) :].startswith(number + b" 0 obj\n<<")
    assert PDF[start:].startswith(b"xref")


@pytest.mark.parametrize(
    ("pdf", "message"),
    [
        (b"%PDF-1.7 nothing", "needs startxref"),
        (b"%PDF-1.7\nxref\nstartxref\n9\n%%EOF", "needs a classic trailer"),
        (b"%PDF\ntrailer\n<</Size 1>>\nstartxref\n5\n%%EOF", "needs /Root"),
        (b"%PDF\ntrailer\n<</Root 7 0 R>>\nstartxref\n5\n%%EOF", "needs a plain catalogue"),
    ],
)
def test_a_file_of_another_build_is_refused(pdf: bytes, message: str) -> None:
    """Rather an error than a file that a viewer may not open."""
    with pytest.raises(FileError, match=message):
        ask_for_true_size(pdf)


def test_preferences_are_added_where_there_were_none() -> None:
    """A catalogue without preferences gets them."""
    plain = (
        b"%PDF-1.7\n1 0 obj\n<</Type/Catalog/Pages 2 0 R>>\nendobj\n"
        b"xref\ntrailer\n<</Size 3/Root 1 0 R>>\nstartxref\n57\n%%EOF\n"
    )
    assert b"/Pages 2 0 R/ViewerPreferences<</PrintScaling/None>>>>" in ask_for_true_size(plain)


def test_the_file_carries_no_date() -> None:
    """Nothing in it depends on when it was made."""
    assert b"CreationDate" not in PDF
    assert b"ModDate" not in PDF


def test_the_file_is_tagged_for_those_who_cannot_see() -> None:
    """It names its language and title and has a structure, as PDF/UA-1 asks."""
    with pages_of(PDF) as read:
        catalogue, info = read[0].pdf.doc.catalog, read[0].pdf.metadata
    assert catalogue["Lang"] == b"en"
    assert "StructTreeRoot" in catalogue
    assert info["Title"] == "Rosewood treble, six sides, no. 4417, Bench sheet"


@pytest.mark.parametrize("face", FACES, ids=lambda face: face[0])
def test_the_shipped_signs_are_the_drawn_ones(face: tuple[str, int, float]) -> None:
    """The font file is what the drawing in this folder makes, byte for byte."""
    assert shipped_path(face[0]).read_bytes() == build_signs_font(*face)


def test_the_signs_are_those_of_notes() -> None:
    """Flat, natural, sharp and the two doubles."""
    assert {chr(code) for code, _ in SIGNS.values()} == set("♭♮♯𝄪𝄫")


def test_the_licence_of_the_text_face_is_shipped() -> None:
    """The Open Font License goes with the font, whole."""
    text = (shipped_path("Regular").parent / "SourceSans3-LICENSE.md").read_text(encoding="utf-8")
    assert "SIL OPEN FONT LICENSE Version 1.1" in text
    assert "PERMISSION & CONDITIONS" in text
    assert text.rstrip().endswith("OTHER DEALINGS IN THE FONT SOFTWARE.")
