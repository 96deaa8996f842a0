"""The sheet on the tablet says everything that the server's sheet says: both are drawn from the same blocks."""

import pytest

from opsrisk.assessment.cautions import CAUTIONS
from opsrisk.briefing.sheet.compose import compose
from opsrisk.briefing.sheet.given import Given
from tests.tablet.answers import answers

pytestmark = [pytest.mark.browser, pytest.mark.in_the_page]

DRAFT = """async () => {
  const { app } = await import("/static/tablet/context.js");
  const { briefingOf } = await import("/static/tablet/briefed.js");
  const { record, digest, signatures, operation } = app.draft;
  const { signed, ...briefing } = await briefingOf(operation.id, digest);
  return { record, digest, signatures, briefing, agency: app.agency.name, names: Object.fromEntries(app.kit.roster.map((one) => [one.id, one.name])) };
}"""


def words_of(sheet):
    """Every word on the sheet, block by block."""
    yield from (
        sheet.head.operation,
        sheet.head.place,
        sheet.head.agency,
        sheet.head.revision,
        sheet.head.made,
        sheet.head.code,
    )
    yield from (
        sheet.verdict.word,
        sheet.verdict.until,
        sheet.verdict.because,
        sheet.verdict.score,
        sheet.verdict.certainty,
        sheet.end,
    )
    for block in (*sheet.front, *sheet.back):
        yield from (block.title, block.total, *block.head)
        for row in block.rows:
            yield from (row.label, row.value, row.note, *row.cells)


def test_nothing_that_the_server_prints_is_missing(hands, county):
    """Title, value, note and cell of every row of every block stand in the tablet's sheet."""
    hands.begin()
    hands.fill(
        answers(county, hazards__entanglement="moderate", task__target="contact", hazards__contamination="unknown")
    )
    hands.judge("Hold")
    hands.choose("Hold")
    hands.sign()
    hands.finish()
    hands.page.get_by_text("Nothing waits to be sent").wait_for()
    shown = " ".join(hands.page.locator(".paper").text_content().split())
    sheet = compose(Given(**hands.page.evaluate(DRAFT)), cautions=CAUTIONS)
    missing = [words for words in words_of(sheet) if words and " ".join(words.split()) not in shown]
    assert not missing
    assert len(sheet.front) + len(sheet.back) > 20
