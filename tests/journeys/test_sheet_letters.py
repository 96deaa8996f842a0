"""The sheet is laid out in letters that are there before anybody prints, and appears without them where they do not come."""

import pytest

from tests.tablet.answers import answers

pytestmark = [pytest.mark.browser, pytest.mark.in_the_page]

LOADED = "() => [...document.fonts].filter((one) => one.status === 'loaded').map((one) => `${one.family.replaceAll('\"', '')} ${one.weight}`)"


def test_all_letters_of_the_sheet_are_there(hands, county):
    """Those beyond Western Europe too: a Slovak or Polish name is printed in the letters that were reckoned with."""
    hands.whole(answers(county))
    hands.page.locator("article.sheet").wait_for()
    wanted = {"Sheet 400", "Sheet 700", "Sheet Extended 400", "Sheet Extended 700", "Sheet Symbols 400"}
    assert wanted <= set(hands.page.evaluate(LOADED))


def test_a_sheet_appears_though_its_letters_do_not_come(hands, county):
    """A file that is waited for without an answer holds the sheet up for a few seconds only."""
    held = []
    hands.page.route("**/fonts/atkinson-hyperlegible-latin-ext-*", lambda route: held.append(route))  # noqa: PLW0108 - the handler is marked, which a method refuses
    hands.whole(answers(county))
    hands.page.locator("article.sheet").wait_for(timeout=20_000)
    assert held
