"""Photos at the water's edge: taken without a network, named in what is signed, sent in parts, never lost or doubled."""

import json
import random
import re

import pytest
from django.utils import timezone

from opsrisk.files import read
from opsrisk.ledger.models import Entry
from opsrisk.operations.models import Assessment, LogEntry, Photo, PhotoPart
from tests.browser import chromium
from tests.operations.photos import five_parts, jpeg, whole_photo
from tests.tablet.answers import answers
from tests.tablet.hands import Hands
from tests.tablet.photo_hands import PHOTOS, all_sent, give, sign_it, with_photos

pytestmark = [pytest.mark.browser, pytest.mark.in_the_page]

CHUNKS = "async () => (await (await import('/static/tablet/store.js')).all('chunks')).length"
PHOTO_URLS = re.compile(r":\d+/tablet/photos")
SEND = "async () => (await import('/static/tablet/outbox.js')).send()"
STOPWATCH = """() => {
  let since = 0;
  window.took = null;
  document.getElementById("photo-file").addEventListener("change", () => { since = performance.now(); }, true);
  new MutationObserver(() => { window.took ??= performance.now() - since; }).observe(document.getElementById("errors"), { childList: true, subtree: true });
}"""
# As full as can be: nothing more can be put before the reserve has been deleted.
FULL_BUT_FOR_THE_RESERVE = """() => {
  const { put, delete: remove } = IDBObjectStore.prototype;
  window.full = true;
  IDBObjectStore.prototype.put = function (...given) {
    if (window.full) throw new DOMException("no room", "QuotaExceededError");
    return put.apply(this, given);
  };
  IDBObjectStore.prototype.delete = function (key) {
    if (key === "reserve") window.full = false;
    return remove.call(this, key);
  };
}"""
HAS_RESERVE = "async () => Boolean(await (await import('/static/tablet/store.js')).get('settings', 'reserve'))"
SMALL_PARTS = "async () => { (await import('/static/tablet/photo_bytes.js')).split.bytes = 1024; }"


def settled(hands):
    hands.page.wait_for_function("() => document.getElementById('sent').dataset.state !== 'Sending'")


def test_photos_taken_without_a_network_are_signed_and_sent(hands, county, context, picture, as_person):
    """Two photos, one taken out again; named in the signed record, on the desk with picture, caption and digest."""
    page = hands.page
    page.evaluate("async () => (await import('/static/tablet/engine.js')).start()")
    with_photos(hands, county, jpeg(900, 600, "teal"), jpeg(900, 600, "olive"), jpeg(600, 900, "navy"))
    picture("photos")
    hands.tap(page.locator("#photos li").nth(1).get_by_role("button", name="Take it out"))
    page.get_by_text("Kept 30 days, never sent").wait_for()
    assert page.locator("#photos li").count() == 2
    picture("one-taken-out")
    sign_it(hands)
    all_sent(hands)
    stored = Assessment.objects.get()
    named = json.loads(stored.record)["photos"]
    assert [one["caption"] for one in named] == ["The water", "The gauge"]
    assert {str(one.pk): one.sha256 for one in Photo.objects.all()} == {one["id"]: one["sha256"] for one in named}
    assert page.evaluate(CHUNKS) == 1  # of the one that was taken out
    page.get_by_text("Received today").first.wait_for()
    picture("sheet")
    desk = as_person(county.chief).get(f"/assessments/{stored.pk}/").content.decode()
    for one in named:
        assert one["sha256"] in desk and f"/photos/{one['id']}.jpg" in desk
    assert "MISSING" not in desk


def test_without_a_network_it_says_where_each_photo_is(hands, county, console, picture):
    """On device, not blank and not received, until there is a network; text and record go first."""
    console.expect("net::ERR_FAILED")
    page = hands.page
    with_photos(hands, county, jpeg())
    order = []
    page.on(
        "request", lambda request: order.append(request.url.rsplit("/", 2)[-2:]) if request.method == "POST" else None
    )
    page.evaluate("async () => (await import('/static/tablet/engine.js')).start()")
    for pattern in ("**/api/v1/records/", "**/tablet/session.json", PHOTO_URLS):
        page.route(pattern, lambda route: route.abort())
    sign_it(hands)
    page.get_by_text("On device: 1 not sent; 1 photo not sent").wait_for()
    page.locator("[data-photo]").get_by_text("On device").wait_for()
    page.evaluate("location.hash = '#/'")
    page.get_by_role("heading", name="Photos not sent").wait_for()
    picture("start")
    page.unroute_all()
    page.evaluate(SEND)
    all_sent(hands)
    sent = ["record" if "records" in one else "photo" for one in order if "log.json" not in one]
    assert sent.index("photo") > max(place for place, one in enumerate(sent) if one == "record")


@pytest.mark.parametrize("how", ["lost", "answer lost"])
def test_the_link_breaks_at_every_step_of_five_parts(hands, county, console, how):
    """Before and after each of the six requests: nothing lost, nothing doubled, the bytes kept until the receipt."""
    console.expect("net::ERR_FAILED")
    page = hands.page
    page.evaluate(SMALL_PARTS)
    data = five_parts()
    with_photos(hands, county, data)
    assert page.evaluate(PHOTOS)[0]["parts"] == 5
    seen = []

    def breaking(route):
        seen.append(route.request.url.rsplit("/", 1)[-1])
        if seen.count(seen[-1]) > 1:
            return route.continue_()
        if how == "answer lost":
            route.fetch()
        return route.abort()

    page.route(PHOTO_URLS, breaking)
    sign_it(hands)
    for _ in range(12):
        settled(hands)
        if page.evaluate(PHOTOS)[0]["state"] == "Received":
            break
        assert page.evaluate(CHUNKS) == 5
        page.evaluate(SEND)
    all_sent(hands)
    photo = Photo.objects.get()
    assert read(photo.original) == data
    assert PhotoPart.objects.count() == 0
    verbs = list(Entry.objects.filter(subject_id=str(photo.pk)).values_list("verb", flat=True))
    assert sorted(verbs) == ["announce_photo", "receive_photo"]
    assert page.evaluate(CHUNKS) == 0
    assert set(seen) == {"photos.json", "0", "1", "2", "3", "4"}


def test_a_receipt_that_lists_less_is_no_receipt(hands, county):
    """One digest short: the bytes stay, and the page says why."""
    page = hands.page

    def short(route):
        answer = route.fetch()
        body = answer.json()
        if body["receipt"]:
            body["receipt"]["parts"] = []
        return route.fulfill(response=answer, json=body)

    page.route(PHOTO_URLS, short)
    with_photos(hands, county, jpeg())
    sign_it(hands)
    page.get_by_text("does not name every part").first.wait_for()
    assert page.evaluate(CHUNKS) == 1
    assert page.evaluate(PHOTOS)[0]["state"] == "On device"


def test_a_refused_photo_is_parked_and_the_others_go_on(hands, county, console, picture):
    """The server's words stand beside it, Try again sends it again, and the next one is received."""
    console.expect("the server responded with a status of 400")
    page = hands.page
    with_photos(hands, county, jpeg(tail=b"<script>1</script>"), jpeg(colour="teal"))
    sign_it(hands)
    page.get_by_text("a photo with a script in it").first.wait_for()
    page.get_by_text("On device: 1 photo not sent").wait_for()
    assert sorted(Photo.objects.values_list("state", flat=True)) == ["received", "refused"]
    page.evaluate("location.hash = '#/'")
    page.get_by_role("button", name="Try again").wait_for()
    picture("parked")
    hands.tap(page.get_by_role("button", name="Try again"))
    page.get_by_text("On device: 1 photo not sent").wait_for()


def test_what_is_no_photo_is_refused_on_the_tablet(hands, county):
    """In words, and nothing is kept."""
    page = hands.page
    hands.begin()
    hands.fill(answers(county))
    hands.tap(page.get_by_role("link", name="Photos", exact=True))
    page.locator("#photo-file").set_input_files({"name": "x.jpg", "mimeType": "image/jpeg", "buffer": b"<svg/>"})
    page.get_by_text("cannot be read as a photo").first.wait_for()
    assert page.evaluate(PHOTOS) == []


def test_a_photo_after_the_signature_stands_in_the_log(hands, county, console, as_person, picture):
    """The record stays as it is; the other tablets read of it, and whoever looks before it is there reads MISSING."""
    console.expect("net::ERR_FAILED")
    page = hands.page
    hands.whole(answers(county))
    all_sent(hands)
    page.route(PHOTO_URLS, lambda route: route.abort())
    hands.tap(page.get_by_role("link", name="Add a photo"))
    give(hands, jpeg(), "Something else", words="Ledge under the bridge")
    for _ in range(600):
        if LogEntry.objects.exists():
            break
        page.wait_for_timeout(100)
    operation = Assessment.objects.get().operation
    line = json.loads(LogEntry.objects.get().text)
    assert line["content"]["caption"] == "Ledge under the bridge"
    desk = as_person(county.chief).get(f"/operations/{operation.pk}/").content.decode()
    assert "MISSING" in desk and "Ledge under the bridge" in desk
    page.unroute_all()
    page.evaluate(SEND)
    all_sent(hands)
    assert str(Photo.objects.get().pk) == line["content"]["id"]
    page.evaluate("location.hash = location.hash.replace('/photos', '')")
    page.locator("[data-photo]").get_by_text("Received").wait_for(timeout=60_000)
    picture("conditions")


def test_another_tablets_missing_photo_is_called_missing(hands, county, console, signed_in):
    """A colleague follows the operation: the photo that the record names has not arrived, and the page says so."""
    console.expect("net::ERR_FAILED")
    page = hands.page
    page.route(PHOTO_URLS, lambda route: route.abort())
    with_photos(hands, county, jpeg())
    sign_it(hands)
    page.get_by_text("On device: 1 photo not sent").wait_for()
    signed_in(county.deputy)
    hands.open()
    page.evaluate("location.hash = '#/operations'")
    hands.tap(page.get_by_role("button", name="Follow"))
    page.get_by_text("MISSING").wait_for(timeout=60_000)
    assert page.evaluate(PHOTOS) == []
    assert page.evaluate(CHUNKS) == 1  # the supervisor's, sealed


def test_nobody_sends_somebody_elses_photo(hands, county, console, signed_in):
    """A colleague signs in on the same tablet: it waits, locked, and goes out under its owner's name."""
    console.expect("net::ERR_FAILED")
    page = hands.page
    page.route(PHOTO_URLS, lambda route: route.abort())
    with_photos(hands, county, jpeg())
    sign_it(hands)
    page.get_by_text("On device: 1 photo not sent").wait_for()
    page.unroute_all()
    signed_in(county.deputy)
    hands.open()
    page.get_by_text("1 photo of another person, locked").wait_for()
    page.evaluate(SEND)
    assert Photo.objects.count() == 0
    signed_in(county.supervisor)
    hands.open()
    all_sent(hands)
    assert Photo.objects.get().sent_by == county.supervisor


@pytest.fixture
def on_disk(hands, browser, context, live_server, tmp_path):
    """A tablet whose storage is on a disk: what is deleted there makes room."""
    made = browser.browser_type.launch_persistent_context(
        str(tmp_path), executable_path=chromium(), args=["--no-sandbox"], base_url=live_server.url, has_touch=True
    )
    made.add_cookies(context.cookies())  # the supervisor's session
    found = Hands(made.new_page())
    found.page.add_init_script("delete Navigator.prototype.serviceWorker")
    found.open()
    yield found
    made.close()


def little_room(page):
    """Leaves the browser two megabytes; for as long as what is returned lives."""
    usage = page.evaluate("async () => (await navigator.storage.estimate()).usage")
    quota = {"origin": page.evaluate("location.origin"), "quotaSize": usage + 2 * 1024 * 1024}
    devtools = page.context.new_cdp_session(page)  # the quota holds as long as this does
    devtools.send("Storage.overrideQuotaForOrigin", quota)
    # The browser remembers for half a minute how much room there was, unless the database was closed meanwhile.
    address = page.url
    page.goto("/static/tablet/icon.svg")
    page.wait_for_timeout(2000)
    page.goto(address)
    page.locator("#photos li").wait_for()
    return devtools


def test_a_full_device_refuses_photos_first_and_still_saves_text(on_disk, county, tmp_path):
    """Photos until there is no room: refused in words, nothing of the last one kept, and text goes on being saved."""
    hands, page = on_disk, on_disk.page
    hands.begin()
    hands.fill(answers(county))
    hands.tap(page.get_by_role("link", name="Photos", exact=True))
    give(hands, jpeg())
    devtools = little_room(page)
    big = jpeg(tail=random.Random(1).randbytes(700_000))
    for kept in range(1, 9):
        page.evaluate(STOPWATCH)
        page.locator("#photo-file").set_input_files({"name": "x.jpg", "mimeType": "image/jpeg", "buffer": big})
        page.wait_for_function(
            "kept => window.took !== null || document.querySelectorAll('#photos li').length > kept", arg=kept
        )
        if page.evaluate("window.took") is not None:
            break
    page.get_by_text("No room for this photo on the device").first.wait_for()
    print(f"refused after {page.evaluate('window.took'):.0f} ms")
    assert page.evaluate(HAS_RESERVE)  # refused before what is laid aside for text was touched
    assert 1 < len(page.evaluate(PHOTOS)) < 8
    assert page.evaluate(CHUNKS) == sum(one["parts"] for one in page.evaluate(PHOTOS))
    page.evaluate("location.hash = location.hash.replace('/photos', '/callout')")
    hands.heading("What are you called out for?")
    for label in ["Evidence", "Recovery", "Training"] * 3:
        hands.tap(hands.tile(label))
        page.wait_for_timeout(200)
        hands.saved()
    assert page.locator("#not-saved").count() == 0
    devtools.detach()


def test_the_reserve_is_given_up_for_text_and_never_for_a_photo(hands, county):
    """On a full disk a photo is refused in words; the next answer is saved in the room that was laid aside."""
    page = hands.page
    hands.begin()
    hands.fill(answers(county))
    hands.tap(page.get_by_role("link", name="Photos", exact=True))
    give(hands, jpeg())
    page.locator("#photos li").wait_for()
    hands.saved()
    assert page.evaluate(HAS_RESERVE)
    page.evaluate(FULL_BUT_FOR_THE_RESERVE)
    page.evaluate(STOPWATCH)
    page.locator("#photo-file").set_input_files({"name": "x.jpg", "mimeType": "image/jpeg", "buffer": jpeg()})
    page.get_by_text("No room for this photo on the device").first.wait_for()
    print(f"refused after {page.evaluate('window.took'):.0f} ms")
    assert page.evaluate(HAS_RESERVE)
    assert len(page.evaluate(PHOTOS)) == 1
    page.evaluate("location.hash = location.hash.replace('/photos', '/callout')")
    hands.heading("What are you called out for?")
    hands.tap(hands.tile("Evidence"))
    hands.saved()
    assert page.evaluate("window.full") is False
    assert not page.evaluate(HAS_RESERVE)
    assert page.locator("#not-saved").count() == 0


def test_a_photo_that_a_revision_leaves_out_still_goes_with_the_record_that_was_signed(hands, county, console):
    """Taken out of revision 2 while revision 1 waits for a network: revision 1 gets it, and it can be put back."""
    console.expect("net::ERR_FAILED")
    page = hands.page
    for pattern in ("**/api/v1/records/", "**/tablet/session.json", PHOTO_URLS):
        page.route(pattern, lambda route: route.abort())
    with_photos(hands, county, jpeg())
    sign_it(hands)
    hands.tap(page.get_by_role("button", name="Change: next revision"))
    hands.heading("All questions")
    page.evaluate("location.hash = location.hash.replace('contents', 'photos')")
    for name, here in (("Take it out", 0), ("Put it back", 1), ("Take it out", 0)):
        hands.tap(page.get_by_role("button", name=name))
        page.wait_for_function("here => document.querySelectorAll('#photos li').length === here", arg=here)
    page.get_by_text("The revision before keeps it").wait_for()
    page.unroute_all()
    page.evaluate(SEND)
    all_sent(hands)
    assert Photo.objects.received().count() == 1


def test_a_carried_photo_that_another_tablet_sent_is_not_called_missing(hands, county):
    """The revision is made where the photo never was: what the server told of it stands there."""
    page = hands.page
    hands.whole(answers(county))
    all_sent(hands)
    photo = whole_photo(county, Assessment.objects.get().operation, data=jpeg(), at=timezone.now())
    page.evaluate(
        HEARD, {"id": str(photo.pk), "sha256": photo.sha256, "caption": "The gauge", "taken_at": "2026-11-28T10:00:00Z"}
    )
    page.evaluate("location.hash = location.hash.replace(/[^/]+$/, 'photos')")
    page.locator("#photos [data-photo]").get_by_text("Received").wait_for()
    assert "MISSING" not in page.locator("#photos").inner_text()


# A revision made from what another tablet signed: it names a photo that was never here.
HEARD = """async (photo) => {
  const [{ app }, keeper, { revise }, logbook, vault] = await Promise.all(["context", "keeper", "draft", "logbook", "vault"].map((name) => import(`/static/tablet/${name}.js`)));
  const watched = await logbook.watched(app.draft.operation.id);
  const { id, owner, since, iv, sealed, ...content } = watched;
  await vault.keep([{ store: "watch", row: { id, owner, since }, content: { ...content, photos: { [photo.id]: photo.taken_at } } }]);
  const draft = revise(app.draft, new Date().toISOString());
  draft.photos = [photo];
  keeper.keep(draft);
  await keeper.flush();
  location.hash = `#/d/${draft.id}/contents`;
}"""


TIDY = """async (now) => { await (await import('/static/tablet/photos.js')).tidy({ now, days: 30, drafts: [] });
  return (await (await import('/static/tablet/photos.js')).all()).map(({ row, content }) => [row.state, Boolean(content.preview)]); }"""


def test_what_is_kept_thirty_days_goes_by_the_servers_clock(hands, county):
    """A photo taken out goes with its bytes, a received one loses its small picture; one that was not sent stays."""
    page = hands.page
    with_photos(hands, county, jpeg(), jpeg(colour="teal"))
    hands.tap(page.locator("#photos li").nth(1).get_by_role("button", name="Take it out"))
    page.get_by_text("Kept 30 days, never sent").wait_for()
    assert page.evaluate(TIDY, "2026-11-28T12:00:00Z") == [["On device", True], ["On device", True]]
    assert page.evaluate(TIDY, "2026-12-27T12:00:00Z") == [["On device", True], ["On device", True]]
    assert page.evaluate(TIDY, "2026-12-29T12:00:00Z") == [["On device", True]]
    assert page.evaluate(CHUNKS) == 1
    sign_it(hands)
    all_sent(hands)
    assert page.evaluate(TIDY, "2036-01-01T12:00:00Z") == [["Received", False]]
