"""A number is read in exactly one way or refused, never repaired."""

import pytest

from tests.tablet.malformed import MALFORMED

pytestmark = [pytest.mark.browser, pytest.mark.in_the_page]

KNOTS = {"unit": "kn", "name": "knots", "possible": ["0", "20"], "usual": ["0", "4"]}
METRES_A_SECOND = {"unit": "m/s", "name": "metres a second", "possible": ["0", "10.2889"], "usual": ["0", "2.0578"]}
CELSIUS = {"unit": "C", "name": "°C", "possible": ["-2", "40"], "usual": ["0", "30"]}

MANY = """async ([texts, unit, units]) => {
  const { parseNumber } = await import("/tablet/numbers.js");
  return texts.map((text) => parseNumber(text, unit, units));
}"""


def parsed(page, texts, unit=KNOTS, units=None):
    return dict(zip(texts, page.evaluate(MANY, [texts, unit, units or [KNOTS, METRES_A_SECOND, CELSIUS]]), strict=True))


def test_two_hundred_malformed_numbers_are_refused(bare_page):
    """None of the corpus comes back with a value, and each refusal says what to do."""
    assert len(MALFORMED) >= 200
    found = parsed(bare_page, MALFORMED)
    accepted = {text: answer for text, answer in found.items() if "error" not in answer}
    assert not accepted
    assert all(len(answer["error"].split()) >= 4 for answer in found.values())


def test_messages_neither_blame_nor_plead(bare_page):
    """A message says what to do, in words without 'invalid', 'please' or 'oops'."""
    words = " ".join(answer["error"].lower() for answer in parsed(bare_page, MALFORMED).values())
    assert not any(word in words for word in ("invalid", "please", "oops", "sorry", "illegal"))


def test_point_comma_spaces_and_the_typed_unit_are_taken(bare_page):
    """The same number in the ways that people write it."""
    ways = ["0.6", "0,6", " 0.6", "0.6 ", "0.6 kn", "0,6kn", "0.6 knots", "0.6\u00a0kn", "0.6 KT", "\t0.6\t"]
    assert {answer["value"] for answer in parsed(bare_page, ways).values()} == {"0.6"}


def test_digits_come_back_exactly_as_given(bare_page):
    """Every number of up to two decimals within the band keeps its digits."""
    texts = [f"{n // 100}.{n % 100:02d}" for n in range(0, 2001, 7)] + [str(n) for n in range(21)]
    found = parsed(bare_page, texts)
    assert all(found[text]["value"] == text for text in texts)


def test_another_unit_than_the_chosen_one_is_pointed_out(bare_page):
    """0.6 m/s typed into a field set to knots is not taken as knots."""
    answer = parsed(bare_page, ["0.6 m/s"])["0.6 m/s"]
    assert "knots" in answer["error"]
    assert "metres a second" in answer["error"]


def test_what_cannot_be_is_refused_with_what_can(bare_page):
    """Outside the band of possible values the message names the band."""
    found = parsed(bare_page, ["20", "20.01", "45"])
    assert found["20"]["value"] == "20"
    assert "from 0 to 20 knots" in found["20.01"]["error"]
    assert "from 0 to 20 knots" in found["45"]["error"]


def test_what_is_unusual_is_marked_for_reading_back(bare_page):
    """A slip by a factor of ten is asked about before it is taken."""
    found = parsed(bare_page, ["4", "4.01", "6"])
    assert [found[text]["unusual"] for text in ("4", "4.01", "6")] == [False, True, True]


def test_below_zero_only_where_it_exists(bare_page):
    """Minus two degrees is a temperature; minus two knots is refused."""
    assert parsed(bare_page, ["-2"], CELSIUS)["-2"]["value"] == "-2"
    assert "error" in parsed(bare_page, ["-2"])["-2"]


@pytest.mark.parametrize(
    ("decimal", "words"),
    [
        ("0", "zero"),
        ("0.6", "zero point six"),
        ("45.2", "forty-five point two"),
        ("110", "one hundred and ten"),
        ("1000", "one thousand"),
        ("12345", "twelve thousand three hundred and forty-five"),
        ("-2", "minus two"),
        ("4.05", "four point zero five"),
    ],
)
def test_numbers_in_words(module, decimal, words):
    """What is read back is heard digit for digit after the point."""
    assert module("spoken_numbers.js", "inWords", decimal) == words
