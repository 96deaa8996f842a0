"""What the browser promises to keep, what waits too long, what it has cleared, and work of the former release."""

import re

import pytest
from django.utils import timezone

from opsrisk.operations.models import Assessment
from tests.house.reading import ROOT
from tests.operations.photos import jpeg, whole_photo
from tests.tablet.answers import answers
from tests.tablet.hands import CODE
from tests.tablet.photo_hands import all_sent

pytestmark = [pytest.mark.browser, pytest.mark.in_the_page]

FORMER = ROOT / "fixtures" / "clients" / "1"
CLEAR = """async () => {
  for (const { name } of await indexedDB.databases()) {
    await new Promise((done, failed) => { const gone = indexedDB.deleteDatabase(name); gone.onsuccess = done; gone.onerror = failed; });
  }
}"""
# As the former release left it: a draft in hand, in the first version of the database.
LEAVE = """async ([person, agency, answers]) => {
  const [vault, keeper, drafts] = await Promise.all(
    ["vault", "keeper", "draft"].map((name) => import(`/former/${name}.js`)));
  await vault.enter(person);
  const now = new Date().toISOString();
  const open = drafts.newDraft({ owner: person, agency, now });
  Object.assign(open.operation, { title: "", place: "Left by the former release" });
  open.answers = answers;
  keeper.keep(open);
  await keeper.flush();
  return { version: (await indexedDB.databases()).find((one) => one.name === "opsrisk-tablet").version, open: open.id };
}"""


def test_the_page_says_whether_the_browser_promised_to_keep_the_work(hands):
    """Asked for, and the answer shown, whichever it is."""
    page = hands.page
    for promised, words in (
        ("true", "Storage: kept until you remove it"),
        ("false", "may clear it when space runs short"),
    ):
        page.add_init_script(
            f"navigator.storage.persisted = async () => false; navigator.storage.persist = async () => {{ window.asked = true; return {promised}; }}"
        )
        hands.open()
        page.get_by_text(words).wait_for()
        assert page.evaluate("window.asked") is True


def test_what_waits_too_long_is_said(hands, county, console, picture):
    """After four hours, with the number and the two ways out; not before."""
    console.expect("net::ERR_FAILED")
    page = hands.page
    page.route(re.compile(r":\d+/api/v1/records/"), lambda route: route.abort())
    hands.whole(answers(county))
    page.evaluate("location.hash = '#/'")
    page.get_by_role("button", name="New assessment").wait_for()
    assert page.locator("#unsent-long").count() == 0
    page.add_init_script("const now = Date.now; Date.now = () => now() + 5 * 3600000;")
    hands.open()
    assert "1 not sent for over 4 hours" in page.locator("#unsent-long").inner_text()
    picture("waits-too-long")


def test_storage_that_the_browser_cleared_is_said_and_what_the_server_has_is_listed(hands, county, console, picture):
    """The next start says since when and how much, lists what was received, and goes quiet once it was read."""
    console.expect("404")  # a drawing alone has no icon
    page = hands.page
    hands.whole(answers(county))
    all_sent(hands)
    operation = Assessment.objects.get().operation
    whole_photo(county, operation, data=jpeg(), at=timezone.now())
    page.evaluate("location.hash = '#/'")
    hands.begin()
    hands.saved()
    page.evaluate("location.hash = '#/'")
    page.get_by_role("link", name="Continue").wait_for()
    page.evaluate("async () => (await import('/static/tablet/keeping.js')).mark()")
    page.goto("/static/tablet/icon.svg")
    page.evaluate(CLEAR)
    hands.open()
    page.locator("#server-has").wait_for()
    said = page.locator("#cleared").inner_text()
    assert "of that, 1 had not been sent" in said
    assert operation.title in said and "The gauge at the weir" in said
    picture("cleared")
    hands.open()
    page.locator("#cleared").wait_for()
    hands.tap(page.get_by_role("button", name="I have read this"))
    page.locator("#cleared").wait_for(state="detached")
    hands.open()
    assert page.locator("#cleared").count() == 0


def test_a_first_start_says_nothing_of_the_kind(hands):
    """There was nothing here before, and nothing is noted that would say so later."""
    page = hands.page
    page.get_by_text("Nothing waits to be sent").wait_for()
    assert page.locator("#cleared").count() == 0
    assert "opsrisk_work" not in page.evaluate("document.cookie")


def test_the_notice_of_cleared_storage_waits_for_no_server(hands, console):
    """The start page is there while the server says nothing; whoever is signed out is told to sign in."""
    console.expect("the server responded with a status of 403")
    console.expect("404")  # a drawing alone has no icon
    page = hands.page
    page.goto("/static/tablet/icon.svg")
    page.context.add_cookies(
        [
            {
                "name": "opsrisk_work",
                "value": "2026-11-27T10:00Z.2",
                "url": page.url.replace("/static/tablet/icon.svg", "/tablet/"),
            }
        ]
    )
    page.evaluate(CLEAR)
    held = []
    page.route("**/tablet/received.json", lambda route: held.append(route))  # noqa: PLW0108 - the handler is marked, which a method refuses
    hands.open()
    page.locator("#cleared", has_text="Asking the server").wait_for()
    held[0].fulfill(status=403, json={})
    page.locator("#cleared").get_by_role("link", name="sign in").wait_for()


def test_what_the_server_has_can_always_be_asked(hands, county, picture):
    """Also while everything is still here."""
    page = hands.page
    hands.tap(page.get_by_role("link", name="What the server has of yours"))
    page.get_by_text("No record and no photo").wait_for()
    picture("received")


def test_work_of_the_former_release_comes_through_the_upgrade(hands, county, console):
    """Its database in its version, a draft unsent in it: opened by this release, continued, signed with a photo and sent."""
    console.expect("404")  # a drawing alone has no icon
    page = hands.page
    page.goto("/static/tablet/icon.svg")
    page.evaluate(CLEAR)
    page.route(re.compile(r"/former/"), lambda route: route.fulfill(path=FORMER / route.request.url.rsplit("/", 1)[-1]))
    given = [str(county.supervisor.pk), str(county.agency.pk), dict(answers(county))]
    left = page.evaluate(LEAVE, given)
    assert left["version"] == 1
    hands.open()
    assert "Left by the former release" in page.locator("main").inner_text()
    hands.tap(page.get_by_role("link", name="Continue"))
    page.evaluate("location.hash = location.hash.replace(/[^/]+$/, 'photos')")
    hands.heading("Photos")
    page.locator("#photo-file").set_input_files({"name": "x.jpg", "mimeType": "image/jpeg", "buffer": jpeg()})
    page.locator("#photos li").wait_for()
    hands.next()
    hands.heading("Check your answers")
    hands.judge("Hold")
    hands.choose("Hold")
    hands.sign(CODE)
    hands.finish()
    all_sent(hands)
    stored = Assessment.objects.get()
    assert str(stored.pk) == left["open"]
    assert stored.operation.photos.received().count() == 1
