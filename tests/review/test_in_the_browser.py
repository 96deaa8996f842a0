"""The chief's pages on screens of three widths: nothing for axe, nothing too wide, and a count opens its operations."""

import re

import pytest

from tests.desk import at_the_desk, faultless

pytestmark = [
    pytest.mark.browser, pytest.mark.in_the_page, pytest.mark.timeout(300), pytest.mark.django_db(transaction=True),
]  # fmt: skip

PAGES = ("", "rules/", "patterns/", "calibration/", "reports/")


@pytest.fixture
def chief(county, past, live_server, as_person, page):
    """The chief's browser, with a month that is shaded, months of few, gaps and two versions to be shown."""
    for n in range(11):
        past(200, f"Weed {n}", decision="hold" if n else "divers", site=county.site)
    return at_the_desk(page, as_person(county.chief), live_server.url)


@pytest.mark.parametrize("name", PAGES)
def test_the_chiefs_pages_have_no_fault(chief, name, picture, console):
    """At three widths, with everything opened that can be."""
    chief.goto(f"/review/{name}")
    for details in chief.locator("main details").all():
        details.evaluate("one => { one.open = true; }")
    faultless(chief)
    picture(name.strip("/") or "list")


def test_a_count_opens_its_operations(chief, console):
    """From the cell of a site's month to the list of it."""
    chief.goto("/review/patterns/")
    chief.get_by_role("link", name="10 of 11").click()
    assert re.search(r"\b11 found", chief.locator("main").inner_text())
