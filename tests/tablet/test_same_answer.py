"""The tablet decides as the server does: the same situation gives the same document, byte for byte."""

import json
from collections import Counter

import pytest

from opsrisk.assessment.assess import assess
from opsrisk.assessment.record import canonical
from opsrisk.assessment.situation import read_situation
from opsrisk.engine.protocol import read_protocol
from opsrisk.protocols.shipped import BASELINE
from tests.tablet.situations import situation

pytestmark = [pytest.mark.browser, pytest.mark.in_the_page, pytest.mark.timeout(900)]

VECTORS = 1_000
BATCH = 50
ASK = """async ([texts, protocol]) => {
  const { onDevice } = await import("/static/tablet/engine.js");
  const { canonical } = await import("/static/tablet/canonical.js");
  const answers = [];
  for (const text of texts) {
    const answer = await onDevice("assess", { situation: text, protocol });
    answers.push(canonical(answer.decision ?? answer));
  }
  return answers;
}"""


@pytest.fixture
def tablet_page(county, page):
    page.goto("/tablet/")
    return page


def test_a_thousand_random_situations_give_the_same_document(tablet_page):
    """Decision, points, margins, map, words and digest: the worker's canonical bytes are CPython's."""
    text = BASELINE.read_text()
    protocol = read_protocol(text)
    seen = Counter()
    for start in range(0, VECTORS, BATCH):
        texts = [json.dumps(situation(seed)) for seed in range(start, start + BATCH)]
        answers = tablet_page.evaluate(ASK, [texts, text])
        for given, answer in zip(texts, answers, strict=True):
            decided = assess(read_situation(given), protocol)
            assert answer.encode() == canonical(decided), given
            seen[decided["decision"]] += 1
    assert len(seen) == 5, seen


def test_a_refused_document_is_refused_in_the_same_words(tablet_page):
    """Field, given, accepted: the tablet's reader is the server's."""
    faulty = situation(1)
    faulty["readings"]["depth"] = {"value": "-3", "unit": "ft"}
    answer = json.loads(tablet_page.evaluate(ASK, [[json.dumps(faulty)], BASELINE.read_text()])[0])
    assert [error[0] for error in answer["refused"]] == ["readings.depth.value"]


@pytest.mark.parametrize("broken", ["not json", '{"id": "x"}', ""])
def test_a_broken_protocol_is_never_an_answer(tablet_page, console, broken):
    """Whatever goes wrong in the worker reaches the page as a failure."""
    console.expect("PythonError")  # the worker says on the console what went wrong
    with pytest.raises(Exception, match="CannotAssess"):
        tablet_page.evaluate(ASK, [[json.dumps(situation(1))], broken])
