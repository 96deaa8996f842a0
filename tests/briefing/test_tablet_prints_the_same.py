"""The tablet's own print, made with no server, says what the server's sheet says."""

import re
from dataclasses import replace

import pytest

from opsrisk.assessment.cautions import CAUTIONS
from opsrisk.briefing.content import given
from opsrisk.briefing.sheet.compose import compose
from opsrisk.operations.models import Assessment
from tests.briefing.test_pencil import text_of
from tests.tablet.answers import answers
from tests.tablet.people import county, installed, signed_in  # noqa: F401 - fixtures are found by name

pytestmark = [pytest.mark.browser, pytest.mark.in_the_page]


def words(text):
    """Letters and digits in order."""
    return re.findall(r"\w+", text)


def test_word_for_word(installed, county, context, console):  # noqa: F811 - the fixtures imported above
    """Printed offline, then sent: both sheets hold the same words in the same order, but for where they come from."""
    console.expect("ERR_INTERNET_DISCONNECTED")
    console.expect("Failed to fetch")
    context.set_offline(True)
    installed.whole(answers(county))
    installed.page.get_by_text("Printed from device, not yet received by server").wait_for()
    # Without the decision map: each draws its own. In one go, because the page may be drawn anew in between.
    printed = installed.page.evaluate(
        "document.querySelector('.paper .block.map').remove(), document.querySelector('.paper').innerText"
    )
    context.set_offline(False)
    installed.page.get_by_text("Nothing waits to be sent").wait_for(timeout=30_000)
    state = "Printed from device, not yet received by server"
    server = compose(replace(given(Assessment.objects.get()), state=state, address=""), cautions=CAUTIONS)
    server = replace(server, back=tuple(block for block in server.back if block.kind != "map"))
    assert "Plan" in printed
    assert words(printed) == words(text_of(server))
