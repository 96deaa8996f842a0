"""Signing out with unsent work is a choice; a sealed file of it opens for its owner alone and doubles nothing."""

import json
import re

import pytest

from opsrisk.operations.models import Assessment, LogEntry, Photo
from tests.journeys.test_lock_the_tablet import CANARY, DUMP
from tests.operations.photos import jpeg
from tests.tablet.answers import answers
from tests.tablet.hands import CODE, Hands
from tests.tablet.photo_hands import all_sent, give, sign_it, with_photos

pytestmark = [pytest.mark.browser, pytest.mark.in_the_page]

PLANTED = "quibberwick"
LINE = """async () => {
  const [logbook, { app }] = await Promise.all(["logbook", "context"].map((name) => import(`/static/tablet/${name}.js`)));
  const [one] = await logbook.followed();
  await logbook.write({ operation: one.operation, kind: "recall", at: new Date().toISOString(), device: { id: app.device, client_version: "2", offset_s: 0 },
    content: { from: "divers", to: "hold", because: "Heard by quibberwick", reading: crypto.randomUUID() } });
}"""
# Every field that a person types or that names somebody, on an assessment in hand and on a signed one.
PLANT = """async () => {
  const [{ app }, keeper] = await Promise.all(["context", "keeper"].map((name) => import(`/static/tablet/${name}.js`)));
  const draft = app.draft;
  const word = "quibberwick";
  draft.operation.title = `Title ${word}`;
  draft.operation.place = `Place ${word}`;
  draft.judgement = { decision: "hold", at: new Date().toISOString(), note: `Note ${word}` };
  draft.typing = { "site": { place: word }, "brief": word };
  draft.brief = Object.fromEntries(["task", "recall", "signals", "radio", "emergency", "contingency", "remarks"].map((name) => [name, `${name} ${word}`]));
  draft.chosen = { decision: "hold", reason: `Reason ${word}`, second_person: null };
  draft.readBacks = [{ person: word, position: "diver", repeated: ["task"], heard_by: word, at: "" }];
  draft.answers["positions.diver"] = { filled: "yes", person: `guest ${word}`, name: `Guest ${word}` };
  draft.answers["people"] = [{ id: word, name: `Victim ${word}`, fit: "no", hours_awake: "30", dives_24h: "9" }];
  keeper.keep(draft);
  await keeper.flush();
}"""
BARRED = re.compile(r":\d+/(api/v1/records/|tablet/photos|tablet/log\.json)")


def offline(page):
    page.route(BARRED, lambda route: route.abort())


def with_unsent_work(hands, county):
    """A finished record with a photo, a line of its log, and a draft with a photo and words in every field: none of it sent."""
    page = hands.page
    page.evaluate("async () => (await import('/static/tablet/engine.js')).start()")
    offline(page)
    with_photos(hands, county, jpeg(tail=PLANTED.encode()))
    give(hands, jpeg(300, 200, "olive"), "Something else", words=f"Caption {PLANTED}")
    sign_it(hands)
    page.get_by_text("On device: 1 not sent; 2 photos not sent").wait_for()
    page.evaluate(LINE)
    page.evaluate("location.hash = '#/'")
    page.get_by_role("button", name="New assessment").wait_for()
    hands.begin()
    hands.fill(answers(county), place=CANARY)
    page.evaluate(PLANT)
    hands.tap(page.get_by_role("link", name="Photos", exact=True))
    give(hands, jpeg(tail=PLANTED.encode() * 50), "The gauge", words=f"Second caption {PLANTED}")


def to_the_lock(hands):
    hands.page.evaluate("location.hash = '#/lock'")
    hands.heading("Lock this tablet")
    hands.page.locator("#code-field").fill(CODE)


def save_file(hands, tmp_path):
    to_the_lock(hands)
    with hands.page.expect_download() as waiting:
        hands.tap(hands.page.locator("#save-file"))
    hands.page.get_by_text("Handed to the browser as sealed-work-").wait_for()
    path = tmp_path / waiting.value.suggested_filename
    waiting.value.save_as(path)
    return path


def bring(hands, path, code=CODE):
    hands.page.evaluate("location.hash = '#/bring'")
    hands.heading("Bring in a sealed file")
    hands.page.locator("#sealed-file").set_input_files(path)
    hands.page.locator("#code-field").fill(code)
    hands.next()


@pytest.fixture
def other_tablet(browser, context, live_server, signed_in, console):
    """A second tablet, in the hands of whoever it is given to."""
    console.expect("net::ERR_FAILED")
    made = browser.new_context(base_url=live_server.url, has_touch=True, viewport={"width": 1024, "height": 768})
    made.add_init_script("delete Navigator.prototype.serviceWorker")
    hands = Hands(made.new_page())
    offline(hands.page)

    def to(person):
        signed_in(person)
        made.add_cookies(context.cookies())
        hands.open()
        return hands

    yield to
    made.close()


def test_unsent_work_goes_to_another_tablet_in_a_sealed_file(hands, county, other_tablet, tmp_path, picture):
    """Saved, unreadable without the code, brought in twice by its owner and by nobody else, sent from both: nothing doubled."""
    with_unsent_work(hands, county)
    page = hands.page
    path = save_file(hands, tmp_path)
    picture("choices")
    text = path.read_text()
    assert sorted(json.loads(text)) == ["format", "iterations", "iv", "salt", "sealed"]
    assert not [
        word for word in (PLANTED, "Ines Varga", "Quarry basin", str(county.supervisor.pk)) if word in text + path.name
    ]

    second = other_tablet(county.deputy)
    bring(second, path)
    second.page.get_by_text("belongs to another person").first.wait_for()
    other_tablet(county.supervisor)
    bring(second, path, "wrong code")
    second.page.get_by_text("The file does not open").first.wait_for()
    bring(second, path)
    second.page.get_by_text("Brought in: 7. Here already: 0.").wait_for()
    second.page.screenshot(path=tmp_path / "brought.png")
    bring(second, path)
    second.page.get_by_text("Brought in: 0. Here already: 7.").wait_for()
    second.page.unroute_all()
    page.unroute_all()
    for tablet in (second, hands):
        tablet.page.evaluate("location.hash = '#/'")
        tablet.page.get_by_role("button", name="New assessment").wait_for()
        tablet.page.evaluate("async () => (await import('/static/tablet/outbox.js')).send()")
        tablet.page.evaluate("async () => (await import('/static/tablet/logbook.js')).send().catch(() => {})")
        tablet.page.get_by_text("On device: 1 photo not sent").wait_for()  # of the draft that is still in hand
        tablet.page.get_by_role("link", name="Continue").wait_for()
    assert (Assessment.objects.count(), Photo.objects.received().count()) == (1, 2)
    assert LogEntry.objects.filter(kind="recall").count() == 1


# One assessment in three states: saved in a file, gone on with and saved in another, and going on here otherwise.
STATES = """async (code) => {
  const [{ app }, keeper, { sealedText }] = await Promise.all(["context", "keeper", "sealed_file"].map((name) => import(`/static/tablet/${name}.js`)));
  const files = [];
  for (const place of ["first", "second", "third"]) {
    app.draft.operation.place = place;
    keeper.keep(app.draft);
    await keeper.flush();
    if (place !== "third") files.push(await sealedText(code));
    await new Promise((done) => setTimeout(done, 5));
  }
  return files;
}"""
# As the tablet would be that got the first file and went on for a while before the second was saved elsewhere.
SET_BACK = """async () => {
  const [vault, keeper, photos] = await Promise.all(["vault", "keeper", "photos"].map((name) => import(`/static/tablet/${name}.js`)));
  const [draft] = await keeper.drafts();
  await vault.keep([keeper.row({ ...draft, updated_at: draft.opened_at })]);
  await photos.forget(await photos.all());
  navigator.storage.estimate = async () => ({ quota: 1000, usage: 0 });
}"""
IN_HAND = """async () => (await (await import('/static/tablet/keeper.js')).drafts()).map((one) => [one.operation.place, Boolean(one.discarded_at)])"""


def test_of_two_states_the_one_that_went_further_stays_in_hand(hands, county, tmp_path):
    """An older file takes nothing away; a newer one is in hand and what was here is set aside; a photo never takes the last room."""
    page = hands.page
    with_photos(hands, county, jpeg())
    older, newer = tmp_path / "older.json", tmp_path / "newer.json"
    for path, text in zip((older, newer), page.evaluate(STATES, CODE), strict=True):
        path.write_text(text)
    bring(hands, older)
    page.get_by_text("Older in the file, or signed here otherwise: 1").wait_for()
    assert page.evaluate(IN_HAND) == [["third", False]]
    page.evaluate(SET_BACK)
    bring(hands, newer)
    page.get_by_text("Newer in the file, now in hand: 1").wait_for()
    page.get_by_text("Photos without room: 1").wait_for()
    assert sorted(page.evaluate(IN_HAND)) == [["second", False], ["third", True]]
    page.evaluate("navigator.storage.estimate = async () => ({})")
    bring(hands, newer)
    page.get_by_text("Brought in: 1. Here already: 1.").wait_for()


def test_a_file_that_was_altered_or_is_none_is_refused(hands, tmp_path):
    """In words; nothing is brought in."""
    for number, text in enumerate(("", "{}", '{"format": "opsrisk.sealed_file/1"}', "x" * 1000)):
        path = tmp_path / f"{number}.json"
        path.write_text(text)
        bring(hands, path)
        hands.page.get_by_text("not a sealed file of this program").first.wait_for()


def test_a_thief_and_the_next_user_read_nothing(installed, county, console, signed_in, context):
    """Strings in every field that somebody types, in names, captions and a photo's bytes: in no store once it is locked."""
    console.expect("net::ERR_FAILED")
    hands, page = installed, installed.page
    with_unsent_work(hands, county)
    secrets = [PLANTED, CANARY, "Mara Quill", "Ines Varga", "Oskar Lund", "Quarry basin"]
    open_ = page.evaluate(DUMP)
    assert not [word for word in secrets if word in open_]
    to_the_lock(hands)
    with page.expect_navigation():
        hands.tap(page.locator("#lock"))
    hands.heading("This tablet is locked")
    locked = page.evaluate(DUMP)
    cookies = json.dumps(context.cookies())
    assert len(locked) > 10_000
    assert not [word for word in secrets if word in locked + cookies]
    signed_in(county.deputy)
    hands.open()
    seen = page.locator("body").inner_text()
    assert "photos of another person, locked" in seen
    assert not [word for word in (PLANTED, CANARY, "Quarry basin") if word in page.evaluate(DUMP) + seen]
    signed_in(county.supervisor)
    page.goto("/tablet/")
    hands.heading("This tablet is locked")
    page.locator("#code-field").fill(CODE)
    hands.next()
    page.get_by_role("link", name="Continue").wait_for()
    all_sent_except_the_draft(hands)


def all_sent_except_the_draft(hands):
    hands.page.unroute_all()
    hands.page.evaluate("async () => (await import('/static/tablet/outbox.js')).send()")
    hands.page.get_by_text("On device: 1 photo not sent").wait_for()
    assert Assessment.objects.count() == 1


def test_a_refusals_words_are_sealed_too(installed, county, console):
    """The server repeats what was typed: its words are shown, and lie nowhere in clear."""
    console.expect("the server responded with a status of 400")
    hands, page = installed, installed.page
    refusal = {"errors": [{"field": "record.brief", "given": PLANTED, "accepted": "something else"}]}
    page.route(
        re.compile(r":\d+/(api/v1/records/|tablet/photos)"), lambda route: route.fulfill(status=400, json=refusal)
    )
    with_photos(hands, county, jpeg())
    sign_it(hands)
    page.get_by_text(f"record.brief: given {PLANTED}").first.wait_for()
    assert PLANTED not in page.evaluate(DUMP)


def test_nothing_unsent_is_no_choice(hands, county):
    """With everything sent the page only locks."""
    page = hands.page
    hands.whole(answers(county))
    all_sent(hands)
    page.evaluate("location.hash = '#/lock'")
    hands.heading("Lock this tablet")
    assert page.locator("#save-file").count() == 0
