"""A person with nothing but the paper comes to the same score and the same decision."""

import collections
import random
import re
import subprocess
from html import unescape

import pytest
from django.template.loader import render_to_string

from opsrisk.assessment.cautions import CAUTIONS
from opsrisk.assessment.record import digest
from opsrisk.assessment.words import SHORT
from opsrisk.briefing.languages import language
from opsrisk.briefing.pdf import laid_out
from opsrisk.briefing.sheet.compose import compose
from opsrisk.briefing.sheet.given import Given
from tests.briefing import pencil, records
from tests.briefing.situations import drawn

MANY = 300  # docs/measurements/pencil.py works out more


def composed(record, signatures=(), paper="letter", tag="en"):
    given = Given(record, digest(record), list(signatures), agency="Tarrow County Dive Rescue", state="x", address="")
    return compose(given, cautions=CAUTIONS, paper=paper, language=language(tag, "." if tag == "en" else ","))


def text_of(sheet):
    """The words of the printed page, without its markup."""
    html = render_to_string("briefing/parts/paper.html", {"sheet": sheet})
    html = re.sub(r"<title>.*?</title>", "", html)  # what a figure is, for who cannot see it: not printed
    return unescape(re.sub(r"<[^>]+>", "", re.sub(r"</(?:td|th|p|h2|li|tr)>", " ", html)))


def worked_out(many):
    """How many of `many` random assessments had which decision; fails at the first that the paper does not give."""
    rng = random.Random(20261125)
    seen = collections.Counter()
    for _ in range(many):
        record = records.record(drawn(rng))
        text = text_of(composed(record))
        found, totals = pencil.points(text)
        assert totals == {sum(found)}
        assert pencil.score(text) == pencil.printed_score(text) == record["decision"]["score"]
        assert pencil.decision(text) == pencil.computed(text) == SHORT[record["decision"]["decision"]]
        seen[record["decision"]["decision"]] += 1
    return seen


def test_score_and_decision_follow_from_the_printed_words():
    """Of several hundred random assessments, every score and decision follows from the words of its sheet."""
    seen = worked_out(MANY)
    assert len(seen) == 5, seen
    assert min(seen.values()) >= 5, seen


def test_score_and_decision_follow_from_the_printed_words_in_spanish():
    """The same from Spanish sheets, by a table of the printed words alone."""
    rng = random.Random(20261128)
    seen = collections.Counter()
    for _ in range(MANY // 4):
        record = records.record(drawn(rng))
        text = pencil.from_spanish(text_of(composed(record, tag="es")))
        found, totals = pencil.points(text)
        assert totals == {sum(found)}
        assert pencil.score(text) == pencil.printed_score(text) == record["decision"]["score"]
        assert pencil.decision(text) == pencil.computed(text) == SHORT[record["decision"]["decision"]]
        seen[record["decision"]["decision"]] += 1
    assert len(seen) == 5, seen


def test_a_changed_number_is_noticed():
    """The pencil does add: one point more on the paper, and the sum no longer agrees."""
    text = text_of(composed(records.record()))
    changed = re.sub(r"(Entanglement: )10", r"\g<1>11", text, count=1)
    assert changed != text
    assert pencil.score(changed) != pencil.printed_score(changed)


@pytest.mark.parametrize("seed", range(4))
def test_the_pdf_says_the_same(seed, tmp_path):
    """What is read off the PDF gives the same score and decision."""
    record = records.record(drawn(random.Random(seed)))
    path = tmp_path / "sheet.pdf"
    laid_out(composed(record), "letter").write_pdf(path)
    text = subprocess.run(["pdftotext", "-raw", str(path), "-"], capture_output=True, text=True, check=True).stdout
    assert pencil.score(text) == pencil.printed_score(text) == record["decision"]["score"]
    assert pencil.decision(text) == SHORT[record["decision"]["decision"]]
