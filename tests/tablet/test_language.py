"""The page's reader and Python's say the same, and a shown number means what was meant."""

import json
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from opsrisk.assessment.language import HOLE, Language, as_written
from opsrisk.briefing.languages import catalogue
from tests.assessment.planned import INPUTS, SITUATION
from tests.assessment.test_language import DECISION, said_by_a_plan, texts
from tests.tablet.situations import situation

pytestmark = [pytest.mark.browser, pytest.mark.in_the_page]

SAY = """async ([texts, catalogue, decimal]) => {
  const { Language } = await import("/tablet/language.js");
  const reader = new Language(catalogue, { tag: catalogue ? "es" : "en", decimal });
  return texts.map((text) => [reader.say(text), reader.find(text) !== null]);
}"""
FILLINGS = {
    "n": ("3", "-0.5", "1250"),
    "k": ("14:05", "2026-11-25"),
    "t": ("Hold", "over 2.5 kn"),
    "v": (as_written("Ada 1.5"),),
    "w": ("old pier",),
}


def both(page, found, tag="es", decimal=","):
    """What each reader says of each text, and whether it knew it."""
    texts = catalogue(tag)
    here = Language(texts, tag=tag, decimal=decimal)
    return [[here.say(text), here.find(text) is not None] for text in found], page.evaluate(
        SAY, [found, texts, decimal]
    )


def test_both_say_the_same_over_the_whole_catalogue(bare_page):
    """Each entry, with its holes filled from a few values; with another first letter; in a sentence; and unknown ones."""
    chance = Random(1)
    found = []
    for english in catalogue("es"):
        filled = HOLE.sub(lambda hole: chance.choice(FILLINGS[hole.group(1)]), english)
        found += [filled, filled[:1].swapcase() + filled[1:], f" {filled}; Hold. ", f"{filled} xyzzy"]
    python, page = both(bare_page, found)
    assert page == python
    assert sum(known for _, known in python) > len(found) / 2


@pytest.mark.parametrize(("tag", "decimal"), [("es", ","), ("es", "."), ("en", ","), ("en", ".")])
def test_both_say_the_same_of_decisions_and_plans(bare_page, tag, decimal):
    """Every text of decisions on random situations and of the fullest plan."""
    from opsrisk.tablet.calls import call
    from tests.assessment.planned import PROTOCOL

    found = [*said_by_a_plan(SITUATION, INPUTS)]
    for seed in range(30):
        given = {"situation": json.dumps(situation(seed)), "protocol": PROTOCOL}
        found += texts(json.loads(call("assess", json.dumps(given))), DECISION)
    python, page = both(bare_page, found, tag, decimal)
    assert len(found) > 1000
    assert page == python


@given(st.decimals(min_value="-999999", max_value="999999", places=2), st.sampled_from(["kn", "ft", "C"]))
def test_a_shown_number_reads_back_as_itself(number, unit):
    """What stands with a comma on a page is, typed again, the number that the record holds."""
    shown = Language(catalogue("es"), tag="es", decimal=",").say(f"{number} {unit}")
    assert shown == f"{number} {unit}".replace(".", ",")
    assert shown.removesuffix(f" {unit}").replace(",", ".") == str(number)


def test_the_page_reads_a_shown_number_back(bare_page):
    """Through the page's own parser, for two thousand numbers of all sizes."""
    chance = Random(2)
    numbers = [
        f"{chance.randrange(-99999, 999999) / 10 ** chance.choice((0, 1, 2)):.{chance.choice((0, 1, 2))}f}"
        for _ in range(2000)
    ]
    numbers = [number for number in numbers if float(number) or not number.startswith("-")]
    back = bare_page.evaluate(
        """async (numbers) => {
          const { Language } = await import("/tablet/language.js");
          const { parseNumber } = await import("/tablet/numbers.js");
          const unit = { unit: "m", name: "metres", possible: ["-1000000", "1000000"], usual: ["0", "1"] };
          const reader = new Language(null, { decimal: "," });
          return numbers.map((number) => parseNumber(`${reader.number(number)} m`, unit).value);
        }""",
        numbers,
    )
    assert back == numbers


@pytest.mark.parametrize(
    ("decimal", "words"),
    [
        ("0", "cero"),
        ("0.6", "cero coma seis"),
        ("21", "veintiuno"),
        ("45.2", "cuarenta y cinco coma dos"),
        ("100", "cien"),
        ("110", "ciento diez"),
        ("1000", "mil"),
        ("1540", "mil quinientos cuarenta"),
        ("21000", "veintiún mil"),
        ("101012", "ciento un mil doce"),
        ("-2", "menos dos"),
        ("4.05", "cuatro coma cero cinco"),
    ],
)
def test_numbers_in_spanish_words(bare_page, decimal, words):
    """What is read back is heard in the language of the page, with the sign that is typed."""
    said = bare_page.evaluate(
        """async ([decimal, catalogue]) => {
          const { learn, speak } = await import("/tablet/speaking.js");
          learn({ es: catalogue });
          speak("es", ",");
          const { inWords } = await import("/tablet/spoken_numbers.js");
          const said = inWords(decimal);
          speak("en", ".");
          return said;
        }""",
        [decimal, {"Hold": "No entra nadie"}],
    )
    assert said == words
