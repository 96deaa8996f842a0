"""Sheets rendered once and shared by the tests that measure them."""

import io
from dataclasses import replace
from functools import cache

import pdfplumber

from opsrisk.assessment.cautions import CAUTIONS
from opsrisk.assessment.read_back import briefing
from opsrisk.assessment.record import canonical, digest
from opsrisk.briefing.languages import language
from opsrisk.briefing.pdf import laid_out, written
from opsrisk.briefing.sheet.compose import compose
from opsrisk.briefing.sheet.given import Given
from tests.briefing import records

ENGLISH = ("usual", "crowded", "calm", "bare")
SPANISH = ("usual, Spanish", "crowded, Spanish")
KINDS = (*ENGLISH, *SPANISH)
PAPERS = ("a4", "letter")
SIZES_PT = {"a4": (595.3, 841.9), "letter": (612, 792)}
MAKE = {
    "usual": lambda: (records.record(), records.signatures()),
    "crowded": lambda: (records.crowded(), records.crowd_signatures()),
    "calm": lambda: (records.record(records.calm_situation()), records.signatures()),
    "bare": lambda: (records.bare(), []),
}
BRIEFED = "crowded, divers in"  # with the log at hand; the others are printed from the record alone
MAKE[BRIEFED] = lambda: (records.crowded_and_in(), records.crowd_signatures())
MAKE |= {kind: MAKE[kind.split(",")[0]] for kind in SPANISH}


def tongue(kind):
    """What a kind of sheet is said in: Spanish with a decimal comma, or English."""
    return language("es", ",") if kind in SPANISH else language("en", ".")


@cache
def sheet(kind, paper):
    record, signatures = MAKE[kind]()
    state = "Received by the server 25 Nov 2026 14:10"
    address = "https://opsrisk.example/sheet/0123456789/"
    given = Given(record, digest(record), signatures, None, "Tarrow County Dive Rescue", state, address)
    if kind == BRIEFED:
        known = {"record": record, "digest": given.digest, "signatures": signatures}
        given = replace(given, briefing=briefing(given.digest, [known], [], {}))
    return compose(given, cautions=CAUTIONS, paper=paper, language=tongue(kind))


@cache
def document(kind, paper):
    return laid_out(sheet(kind, paper), paper)


@cache
def pdf(kind, paper):
    return written(document(kind, paper), canonical(MAKE[kind]()[0]))


@cache
def pages(kind, paper):
    """Each page's characters and lines, as pdfplumber sees them, upright text only."""
    with pdfplumber.open(io.BytesIO(pdf(kind, paper))) as found:
        return [
            {
                "chars": [c for c in page.chars if c["upright"]],
                "all": page.chars,
                "size": (page.width, page.height),
                "text": page.extract_text(x_tolerance=1.5) or "",
                "words": page.extract_words(x_tolerance=1.5, extra_attrs=["size", "fontname"]),
            }
            for page in found.pages
        ]


def flat(text):
    return " ".join(text.split())
