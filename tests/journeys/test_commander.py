"""A score over the line: the tablet calls nothing complete before the incident commander has said the risk back, by name."""

import json
from datetime import UTC, datetime, timedelta

import pytest

from opsrisk.assessment.read_back import COMPLETE
from opsrisk.operations.briefed import state_of
from opsrisk.operations.models import Assessment, LogEntry
from tests.journeys.test_brief_back import open_keys, says, state_words, to_the_read_backs
from tests.journeys.test_gloves_and_sun import broken_rules, pale_or_small, too_small_or_wide, with_looks
from tests.journeys.test_in_spanish import unsaid
from tests.tablet.answers import answers, quantity, reading
from tests.tablet.hands import ENGINE_MS

pytestmark = pytest.mark.browser
OPEN = "the incident commander has not acknowledged the risk"


def rough(county):
    """Somebody under water for ten minutes, in water that nobody would dive in with nobody to save."""
    under = (datetime.now(UTC) - timedelta(minutes=10)).isoformat(timespec="seconds")
    return answers(
        county, task__kind="rescue", task__submerged_at=quantity("10") | {"at": under}, task__target="contact", hazards__entanglement="moderate",
        readings__current=reading("0.8", "kn"), readings__visibility=reading("2", "ft"),
        readings__water_temperature=reading("54", "F"),
    )  # fmt: skip


def signed(hands, county):
    """Divers with controls at a score over the line, with the gain stated, signed and finished."""
    hands.begin()
    hands.fill(rough(county))
    hands.judge("Hold")
    hands.past_the_plan()
    hands.tap(hands.decision_tile("Divers may enter once the controls are in place"))
    hands.next()
    hands.heading("Brief the team")
    hands.page.locator("#brief-recall").fill("Four pulls")
    hands.gain(hands.say("A life that may still be saved"))
    hands.next()
    hands.page.locator("#code-field").wait_for()
    hands.sign()
    hands.finish()


def to_the_commander(hands):
    hands.tap(hands.page.locator("a[href$='/commander']"))
    hands.heading("Incident commander")


def told(page):
    return page.evaluate(
        """async () => {
          const { briefingOf } = await import("/static/tablet/briefed.js");
          return (await briefingOf(location.hash.split("/")[2])).commander.told;
        }"""
    )


def tap_said(hands, **instead):
    page, words = hands.page, told(hands.page) | instead
    for item in ("decision", "risk", "gain"):
        hands.tap(page.locator(f"#said-{item} label").filter(has=page.get_by_text(words[item], exact=True)))


def refused(hands, picture):
    """Without a name and words nothing is kept; who decided is not taken; refused by the commander it is kept."""
    page = hands.page
    to_the_commander(hands)
    hands.next()
    asked = page.locator(".summary").inner_text()
    assert "Give the incident commander's name." in asked and "Say whether the risk is accepted." in asked
    assert asked.count("Tap what was said.") == 3
    offered = page.locator("#who-commands").inner_text()
    assert "Teo Brandt" in offered
    assert not [one for one in ("Ines Varga", "Mara Quill", "Oskar Lund") if one in offered], "who decided or goes in"
    hands.tap(page.locator("#who-commands label", has_text="Somebody else"))
    page.locator("#commander-name").fill("  ines varga ")
    tap_said(hands)
    hands.tap(page.locator("#accepts label", has_text="No"))
    hands.next()
    words = "Who decided or goes in cannot be the one to whom the risk goes."
    assert words in page.locator(".summary").inner_text()
    page.locator("#commander-name").fill("Alma Reyes")
    hands.next()
    picture("commander-says")
    hands.confirm("said-confirm")
    hands.heading("Brief back")
    assert "does not accept the risk" in page.locator("#commander").inner_text() and OPEN in state_words(hands)


def accepted(hands):
    """The name is still there; said back and accepted, the briefing is complete."""
    page = hands.page
    to_the_commander(hands)
    assert page.locator("#commander-name").input_value() == "Alma Reyes"
    tap_said(hands)
    hands.tap(page.locator("#accepts label", has_text="Yes, accepts it"))
    hands.next()
    hands.confirm("said-confirm")
    hands.heading("Brief back")
    page.locator(".ready-state.is-ready").wait_for()
    assert COMPLETE in state_words(hands)
    assert "Alma Reyes accepts the risk" in page.locator("#commander").inner_text()


def test_ready_only_after_the_commander_with_no_network_and_the_server_says_the_same(
    installed, county, context, console, picture
):
    """A name and words, never a mark; refused it stays open; then complete on tablet, desk and sheet."""
    console.expect("ERR_INTERNET_DISCONNECTED")
    console.expect("Failed to fetch")
    context.set_offline(True)
    hands, page = installed, installed.page
    signed(hands, county)
    page.locator(".paper").wait_for()
    paper = " ".join(page.locator(".paper").inner_text().split())
    assert "Incident commander" in paper and "OPEN. Name, time: ____" in paper
    to_the_read_backs(hands)
    for key in open_keys(page):
        says(hands, key)
    assert state_words(hands).removeprefix("◌ ") == f"Not ready: {OPEN}"
    assert "is over the line of 45 for nobody to save" in page.locator("#commander").inner_text()
    picture("commander-open")
    refused(hands, picture)
    accepted(hands)
    picture("commander-accepted")
    assert not LogEntry.objects.exists()
    context.set_offline(False)
    page.get_by_text("Nothing waits to be sent").wait_for(timeout=60_000)
    assert state_of(Assessment.objects.get())["ready"]
    kept = [json.loads(one.text)["content"] for one in LogEntry.objects.filter(kind="commander").order_by("entry")]
    assert [(one["name"], one["accepts"]) for one in kept] == [("Alma Reyes", False), ("Alma Reyes", True)]
    assert kept[1]["heard_by"] == str(county.supervisor.pk) and kept[1]["risk"]["right"]
    hands.tap(page.get_by_role("link", name="Back"))
    page.get_by_text("Alma Reyes, incident commander, accepts the risk").wait_for()


@pytest.mark.in_the_page
def test_its_pages_are_said_in_spanish_and_fit_gloves(spanish, county, picture):
    """Open, answered in part and refused: no word is English, targets and gaps hold, axe finds nothing."""
    hands, page = with_looks(spanish), spanish.page
    signed(hands, county)
    page.evaluate(
        "import('/static/tablet/context.js').then(({ app }) => { location.hash = `#/b/${app.draft.operation.id}`; })"
    )
    page.locator("#commander").wait_for(timeout=ENGINE_MS)
    faults = []

    def looked_at(name):
        picture(name)
        faults.extend(
            (name, one) for look in (unsaid, too_small_or_wide, broken_rules, pale_or_small) for one in look(hands)
        )

    looked_at("spanish-open")
    to_the_commander(hands)
    hands.next()
    page.locator(".summary").wait_for()
    looked_at("spanish-says")
    hands.tap(page.locator("#who-commands label", has_text="Teo Brandt"))
    for item in ("decision", "risk", "gain"):
        hands.tap(page.locator(f"#said-{item} label", has_text=hands.say("Could not say it")))
    hands.tap(page.locator("#accepts label").nth(1))
    hands.next()
    page.locator("#said-confirm").wait_for()
    looked_at("spanish-confirm")
    hands.confirm("said-confirm")
    hands.heading("Brief back")
    page.locator("#commander.wrong").wait_for()
    looked_at("spanish-refused")
    assert not faults
