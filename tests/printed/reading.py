"""Reads papers back: sizes in millimetres, lines, text, and what overlaps."""

import io
from collections.abc import Iterator
from contextlib import contextmanager

import pdfplumber
from pdfplumber.page import Page

__all__ = ["MM", "covering_words", "outside_mm", "pages_of", "words"]

#: Points in a millimetre.
MM = 72.0 / 25.4


@contextmanager
def pages_of(pdf: bytes) -> Iterator[list[Page]]:
    """Yield the pages of a PDF."""
    with pdfplumber.open(io.BytesIO(pdf)) as document:
        yield list(document.pages)


def words(page: Page) -> str:
    """Return the text of a page, its words parted by single spaces."""
    return " ".join((page.extract_text() or "").split())


def outside_mm(page: Page, margin_mm: float) -> list[str]:
    """Return the letters that lie less than so far from the edge of the sheet."""
    return [
        char["text"]
        for char in page.chars
        if char["text"].strip()
        and (
            char["x0"] / MM < margin_mm
            or (page.width - char["x1"]) / MM < margin_mm
            or char["top"] / MM < margin_mm
            or (page.height - char["bottom"]) / MM < margin_mm
        )
    ]


def covering_words(page: Page) -> list[tuple[str, str]]:
    """Return pairs of words that cover each other: their middle halves meet."""
    # Text along a chamber runs aslant: its upright box says nothing of what it covers.
    upright = page.filter(lambda thing: abs(thing.get("matrix", (1.0, 0.0))[1]) < 1e-6)
    boxes = [
        (
            word["text"],
            word["x0"],
            word["x1"],
            word["top"] + 0.3 * (word["bottom"] - word["top"]),
            word["bottom"] - 0.3 * (word["bottom"] - word["top"]),
        )
        for word in upright.extract_words(x_tolerance=1.5, y_tolerance=1.0)
    ]
    slack = 0.3
    return [
        (a[0], b[0])
        for number, a in enumerate(boxes)
        for b in boxes[number + 1 :]
        if a[1] + slack < b[2] and b[1] + slack < a[2] and a[3] < b[4] and b[3] < a[4]
    ]
