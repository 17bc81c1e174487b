"""Asks PDF viewers not to scale a page when they print it.

The page compiler has no setting for the viewer preference ``PrintScaling``, so the
file gets an incremental update (ISO 32000-1, 7.5.6): one new version of its
catalogue, a cross-reference section for that one object and a trailer, all behind
the old end of the file, which stays as it was. A viewer may still ignore the wish,
so a sheet that must be true carries a rule to measure.
"""

import re

from reedwright.errors import FileError

__all__ = ["ask_for_true_size"]

_REMEDY = "report the version of the page compiler; the page itself is true"


def ask_for_true_size(pdf: bytes) -> bytes:
    """Return the PDF with ``/ViewerPreferences << /PrintScaling /None >>`` in its catalogue.

    Needs a classic cross-reference table and a catalogue outside object streams, as
    the page compiler writes them; other preferences are kept.

    Raises
    ------
    FileError
        If the file has no such trailer or catalogue.
    """
    start = _last_number(rb"startxref\s+(\d+)\s+%%EOF\s*$", pdf, "startxref")
    trailer = re.search(rb"trailer\s*<<(.*)>>\s*startxref", pdf[start:], re.DOTALL)
    if trailer is None:
        raise FileError(f"a PDF needs a classic trailer to be amended, found none; {_REMEDY}")
    root = _last_number(rb"/Root\s+(\d+)\s+0\s+R", trailer.group(1), "/Root")
    found = re.search(rb"(?:^|\n)%d 0 obj\s*(<<.*?>>)\s*endobj" % root, pdf, re.DOTALL)
    if found is None or b"/Catalog" not in found.group(1):
        raise FileError(f"a PDF needs a plain catalogue to be amended, found none; {_REMEDY}")
    catalogue = _with_preference(found.group(1))
    body = pdf if pdf.endswith(b"\n") else pdf + b"\n"
    amended = b"%d 0 obj\n%s\nendobj\n" % (root, catalogue)
    table = b"xref\n0 1\n0000000000 65535 f\r\n%d 1\n%010d 00000 n\r\n" % (root, len(body))
    tail = b"trailer\n<<%s/Prev %d>>\nstartxref\n%d\n%%%%EOF\n" % (
        trailer.group(1),
        start,
        len(body) + len(amended),
    )
    return body + amended + table + tail


def _with_preference(catalogue: bytes) -> bytes:
    """Return the catalogue's dictionary with the wish added to its viewer preferences."""
    marker = re.search(rb"/ViewerPreferences\s*<<", catalogue)
    if marker is None:
        return catalogue[:-2] + b"/ViewerPreferences<</PrintScaling/None>>>>"
    return catalogue[: marker.end()] + b"/PrintScaling/None" + catalogue[marker.end() :]


def _last_number(pattern: bytes, text: bytes, name: str) -> int:
    found = re.search(pattern, text)
    if found is None:
        raise FileError(f"a PDF needs {name} to be amended, found none; {_REMEDY}")
    return int(found.group(1))
