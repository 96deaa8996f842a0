"""After one visit the tablet needs no server: it starts, decides, signs and prints alone, and hands over later."""

import io
import time

import pytest
from pypdf import PdfReader

from opsrisk.operations.models import Assessment
from opsrisk.tablet import views
from opsrisk.tablet.shell import Shell, shell
from tests.tablet.answers import answers

pytestmark = pytest.mark.browser

READY = """async () => { await (await import("/static/tablet/engine.js")).start(); return performance.now(); }"""


def without_network(hands, context, console):
    console.expect("ERR_INTERNET_DISCONNECTED")
    console.expect("Failed to fetch")
    context.set_offline(True)
    return hands


def test_the_page_starts_and_can_decide_without_a_server(installed, context, console):
    """Reloaded offline: the start page, then the engine; how soon is printed here and measured by `bench_tablet`."""
    hands = without_network(installed, context, console)
    began = time.monotonic()
    hands.open()
    shown = time.monotonic() - began
    engine = hands.page.evaluate(READY) / 1000
    print(f"offline start: page after {shown:.2f} s, engine after {engine:.2f} s")
    assert "Ines Varga" in hands.page.locator("main").inner_text()


def test_a_whole_assessment_offline_then_received(installed, county, context, console, tmp_path):
    """Assess, judge, decide, sign, print; three times across restarts of the page; then the network comes back."""
    hands = without_network(installed, context, console)
    for round_ in range(3):
        hands.open()
        hands.whole(answers(county))
        hands.page.get_by_text(f"On device: {round_ + 1} not sent").wait_for()
    hands.page.get_by_text("Printed from device, not yet received by server").wait_for()
    assert Assessment.objects.count() == 0
    context.set_offline(False)
    hands.page.get_by_text("Nothing waits to be sent").wait_for(timeout=30_000)
    assert Assessment.objects.count() == 3
    assert not Assessment.objects.filter(differs=True).exists()
    hands.page.evaluate("location.hash = '#/'")
    hands.page.locator("main .state", has_text="Received").first.wait_for()
    assert "(server time)" in hands.page.locator("main .state").first.inner_text()


def test_the_sheet_is_printed_without_a_server(installed, county, context, console):
    """Ink on paper: the decision, the limits, the people, the emergency list, the cautions, and where it comes from."""
    hands = without_network(installed, context, console)
    hands.whole(answers(county))
    hands.page.emulate_media(media="print")
    pdf = PdfReader(io.BytesIO(hands.page.pdf(format="A4", prefer_css_page_size=True)))
    text = " ".join(" ".join(page.extract_text() for page in pdf.pages).split())
    front = " ".join(pdf.pages[0].extract_text().split())
    assert "Printed from device, not yet received by server" in text
    for words in ("Hold", "Holds until", "Ines Varga", "Mara Quill", "Emergency", "Quarry basin", "Decision aid only"):
        assert words in front, words
    assert "Emergency: read and do" not in hands.page.locator("header.bar").inner_text()
    assert "Next revision" not in text and "Finish and send" not in text


def test_the_emergency_page_is_one_tap_away_everywhere(installed, county, context, console):
    """From each step, offline: one tap, the place to read out, and the way back to the same step."""
    hands = without_network(installed, context, console)
    page = hands.page
    hands.begin()
    hands.fill(answers(county))
    for step in ("callout", "current", "position-diver", "contents", "check", "judgement"):
        page.evaluate("step => { location.hash = location.hash.replace(/[^/]+$/, step); }", step)
        page.wait_for_timeout(100)
        address = page.evaluate("location.hash")
        page.get_by_role("link", name="Emergency", exact=True).tap()
        hands.heading("Emergency: read and do")
        text = page.locator("main").inner_text()
        assert "Quarry basin" in text and "45.50000, -120.25000" in text and "Call" in text
        page.get_by_role("link", name="Back").tap()
        page.wait_for_function("address => location.hash === address", arg=address)


def test_a_new_version_waits_for_the_open_assessment(installed, monkeypatch):
    """A changed file on the server: said at once, taken over only from the start page and only by a tap."""
    page = installed.page
    installed.begin()
    kept = page.evaluate("async () => (await caches.keys()).join()")
    monkeypatch.setattr(views, "shell", lambda: Shell("changed", shell().files))
    page.evaluate("async () => (await navigator.serviceWorker.ready).update()")
    page.get_by_text("A newer version is here. It starts when no assessment is open.").wait_for(timeout=30_000)
    assert kept in page.evaluate("async () => (await caches.keys()).join()")
    assert page.get_by_role("button", name="Start it").count() == 0
    page.evaluate("location.hash = '#/'")
    with page.expect_navigation():
        installed.tap(page.get_by_role("button", name="Start it"))
    page.get_by_text("Recovered work from today").wait_for()
    page.wait_for_function("async () => (await caches.keys()).join() === 'opsrisk-changed'")
