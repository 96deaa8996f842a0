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


def differences(record, text):
    """Where what the words give is not what was signed; also where they give nothing."""
    signed = record["decision"]
    try:
        found, totals = pencil.points(text)
        given = {
            "sum of the points": (totals, {sum(found)}),
            "score worked out": (pencil.score(text), signed["score"]),
            "score printed": (pencil.printed_score(text), signed["score"]),
            "decision worked out": (pencil.decision(text), SHORT[signed["decision"]]),
            "decision printed": (pencil.computed(text), SHORT[signed["decision"]]),
        }
    except Exception as fault:  # whatever a sheet without the words makes of its reader
        return [f"not to be worked out: {type(fault).__name__}: {fault}"]
    return [f"{what}: {one}, signed {other}" for what, (one, other) in given.items() if one != other]


def worked_out(many, tag="en", seed=20261125):
    """How many of `many` random assessments had which decision, and those that the paper does not give."""
    rng = random.Random(seed)
    seen, different = collections.Counter(), []
    for number in range(many):
        record = records.record(drawn(rng))
        text = text_of(composed(record, tag=tag))
        found = differences(record, text if tag == "en" else pencil.from_spanish(text))
        different += [f"assessment {number}: {'; '.join(found)}"] if found else []
        seen[record["decision"]["decision"]] += 1
    return seen, different


@pytest.mark.parametrize(("many", "tag", "seed"), [(MANY, "en", 20261125), (MANY // 4, "es", 20261128)])
def test_score_and_decision_follow_from_the_printed_words(many, tag, seed):
    """Of several hundred random assessments every one, from Spanish sheets by a table of the printed words alone."""
    seen, different = worked_out(many, tag, seed)
    assert different == []
    assert len(seen) == 5, seen
    if tag == "en":
        assert min(seen.values()) >= 5, seen


def test_a_changed_number_is_noticed():
    """The pencil does add: one point more on the paper, and the sum no longer agrees."""
    record = records.record()
    text = text_of(composed(record))
    assert differences(record, text) == []
    changed = re.sub(r"(Entanglement: )10", r"\g<1>11", text, count=1)
    assert changed != text
    assert pencil.score(changed) != pencil.printed_score(changed)
    assert [one.partition(":")[0] for one in differences(record, changed)] == ["sum of the points", "score worked out"]
    assert differences(record, "")[0].startswith("not to be worked out: ")


@pytest.mark.parametrize("seed", range(4))
def test_the_pdf_says_the_same(seed, tmp_path):
    """What is read off the PDF gives the same score and decision."""
    record = records.record(drawn(random.Random(seed)))
    path = tmp_path / "sheet.pdf"
    laid_out(composed(record), "letter").write_pdf(path)
    text = subprocess.run(["pdftotext", "-raw", str(path), "-"], capture_output=True, text=True, check=True).stdout
    assert pencil.score(text) == pencil.printed_score(text) == record["decision"]["score"]
    assert pencil.decision(text) == SHORT[record["decision"]["decision"]]
