"""The clauses of PDF/A-3 and PDF/UA that a machine can check hold in our files, by checks of our own."""

import io

import pikepdf
import pytest

from tests.briefing import conformance, printed

EVERY = [(kind, paper) for kind in printed.KINDS for paper in printed.PAPERS]


@pytest.mark.parametrize("made", EVERY, ids="-".join)
def test_every_check_holds(made):
    """Header, fonts, colours, metadata, files inside, tags, figures, header cells, links; and it claims nothing."""
    assert not [check for check in conformance.checks(printed.pdf(*made)) if check.faults]


def test_the_sealed_file_still_holds(issue, sheet_file):
    """The seal is added behind, and breaks none of it."""
    assert not [check for check in conformance.checks(sheet_file(issue()).read_bytes()) if check.faults]


def test_a_check_can_fail():
    """A figure without words, a file inside without its relation, a page without tags: each is told."""
    with pikepdf.open(io.BytesIO(printed.pdf("usual", "a4"))) as pdf:
        for one in pdf.objects:
            if isinstance(one, pikepdf.Dictionary) and one.get("/S") == "/Figure" and "/Alt" in one:
                del one.Alt
            if isinstance(one, pikepdf.Dictionary) and one.get("/Type") == "/Filespec":
                del one.AFRelationship
        del pdf.Root.Lang
        out = io.BytesIO()
        pdf.save(out, force_version="1.7")
    failed = {check.what for check in conformance.checks(out.getvalue()) if check.faults}
    assert failed == {
        "every figure in words", "files inside: named, related, typed, dated, listed",
        "title in XMP and shown; language",
    }  # fmt: skip
