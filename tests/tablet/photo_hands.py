"""Photos in the hands at the tablet: taken, named in an assessment that is then signed, and sent."""

from tests.tablet.answers import answers

PHOTOS = """async () => (await (await import('/static/tablet/photos.js')).all()).map(({ row, content }) =>
  ({ id: row.id, state: row.state, caption: content.caption, reason: content.reason, parts: content.parts.length }))"""


def give(hands, data, chip="The water", words=""):
    """A photo out of the tablet's own files, as the camera would hand it over."""
    page = hands.page
    before = len(page.evaluate(PHOTOS))
    page.get_by_role("button", name="Take a photo").wait_for()
    hands.tap(hands.page.locator("#caption label").filter(has_text=chip))
    page.locator("#photo-words").fill(words)
    photo = {"name": "IMG_quibberwick.jpg", "mimeType": "image/jpeg", "buffer": data}
    page.locator("#photo-file").set_input_files(photo)
    for _ in range(100):
        if len(page.evaluate(PHOTOS)) > before:
            return
        page.wait_for_timeout(50)
    raise AssertionError(page.locator("main").inner_text())


def with_photos(hands, county, *data):
    """An assessment with these photos, ready for the judgement."""
    hands.begin()
    hands.fill(answers(county))
    hands.tap(hands.page.get_by_role("link", name="Photos", exact=True))
    hands.heading("Photos")
    for one, chip in zip(data, ("The water", "The entry point", "The gauge"), strict=False):
        give(hands, one, chip)
    hands.page.locator("#photos li").nth(len(data) - 1).wait_for()


def sign_it(hands):
    hands.next()
    hands.heading("Check your answers")
    hands.judge("Hold")
    hands.choose("Hold")
    hands.sign()
    hands.finish()


def all_sent(hands):
    hands.page.get_by_text("Nothing waits to be sent").wait_for()
