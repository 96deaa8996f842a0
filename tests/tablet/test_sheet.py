"""The sheet on the tablet says everything that the server's sheet says: both are drawn from the same blocks."""

import pytest

from opsrisk.assessment.cautions import CAUTIONS
from opsrisk.briefing.languages import language
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


def signed(hands, county):
    hands.begin()
    hands.fill(
        answers(county, hazards__entanglement="moderate", task__target="contact", hazards__contamination="unknown")
    )
    hands.judge("Hold")
    hands.choose("Hold")
    hands.sign()
    hands.finish()
    hands.page.get_by_text(hands.say("Nothing waits to be sent")).wait_for()


def missing(hands, sheet):
    """What stands on `sheet` and not on the tablet's paper."""
    shown = " ".join(hands.page.locator(".paper").text_content().split())
    return [words for words in words_of(sheet) if words and " ".join(words.split()) not in shown]


def test_nothing_that_the_server_prints_is_missing(hands, county):
    """Title, value, note and cell of every row of every block stand in the tablet's sheet."""
    signed(hands, county)
    sheet = compose(Given(**hands.page.evaluate(DRAFT)), cautions=CAUTIONS)
    assert not missing(hands, sheet)
    assert len(sheet.front) + len(sheet.back) > 20


def test_the_sheet_follows_the_screen_and_has_its_own_choice(spanish, county):
    """On a Spanish screen the tablet prints what the server prints in Spanish, marked as that; in two taps it is English, and the screen stays."""
    page = spanish.page
    signed(spanish, county)
    given = Given(**page.evaluate(DRAFT))
    assert page.locator(".paper").get_attribute("lang") == "es"
    assert page.locator("#paper-es").get_attribute("media") == "print"
    assert not missing(spanish, compose(given, cautions=CAUTIONS, language=language("es", ",")))
    assert "No entra nadie" in page.locator(".paper .word").text_content()
    spanish.tap(page.locator("#sheet-language label", has_text="English"))
    page.locator(".paper[lang=en]").wait_for()
    assert not missing(spanish, compose(given, cautions=CAUTIONS, language=language("en", ",")))
    assert page.locator("#paper-es").get_attribute("media") == "not all"
    assert page.evaluate("document.documentElement.lang") == "es"
