"""A file of past operations on a tablet-size screen: brought, looked at, confirmed; nothing for axe, nothing too wide."""

import pytest

from tests.desk import at_the_desk, faultless
from tests.operations.sending import received
from tests.review.past_files import file_of, row

pytestmark = [
    pytest.mark.browser, pytest.mark.in_the_page, pytest.mark.timeout(300), pytest.mark.django_db(transaction=True),
]  # fmt: skip


def file(*rows, **how):
    return {"name": "past.csv", "mimeType": "text/csv", "buffer": file_of(*rows, **how)}


@pytest.fixture
def desk(live_server, as_person, page, crew):
    """The chief's."""
    received(crew)
    return at_the_desk(page, as_person(crew.chief), live_server.url)


def test_a_chief_brings_a_file_mends_the_rest_and_brings_it_again(desk, picture, console):
    """What is bad is shown with its line, taken as CSV, mended, and comes in as a second file; nothing is doubled."""
    page = desk
    page.goto("/review/")
    page.get_by_role("link", name="Past operations from a file").click()
    faultless(page)
    console.expect("422")
    page.get_by_label("CSV file").set_input_files({"name": "x.csv", "mimeType": "text/csv", "buffer": b"title\nVan"})
    page.get_by_role("button", name="Read it").click()
    page.get_by_text("a first line that names each column").first.wait_for()
    faultless(page)
    page.get_by_label("CSV file").set_input_files(file(row(1), row(2, kind="picnic"), row(1), separator=";"))
    page.get_by_role("button", name="Read it").click()
    page.get_by_role("heading", name="nothing of it is in yet").wait_for()
    faultless(page)
    picture("waiting")
    with page.expect_download() as download:
        page.get_by_role("link", name="These 2 rows as CSV").click()
    text = download.value.path().read_text()
    page.get_by_role("button", name="Take in the 1 good row, leave out the other 2").click()
    page.get_by_text("1 operation came in.").wait_for()
    faultless(page)
    mended = {"name": "mended.csv", "mimeType": "text/csv", "buffer": text.replace("picnic", "object").encode()}
    page.get_by_label("CSV file").set_input_files(mended)
    page.get_by_role("button", name="Read it").click()
    page.get_by_role("button", name="Take in the 1 good row, leave out the other 1").click()
    page.get_by_text("1 operation came in.").wait_for()
    page.goto("/review/")
    assert page.get_by_text("2 without one, 2 of these imported").is_visible()
    faultless(page)
    page.goto("/operations/")
    page.get_by_role("link", name="Van 2").click()
    assert page.get_by_text("it has no assessment and no score, and gets none").is_visible()
    faultless(page)
    picture("imported")
