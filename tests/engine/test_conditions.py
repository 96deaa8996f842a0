"""When a limit holds, in the direction in which its input gets worse, and why a joined condition does."""

import json

import pytest

from opsrisk.engine.algebra import NUMBERS
from opsrisk.engine.conditions import holds, limits, limits_that_hold
from opsrisk.engine.protocol import read_protocol
from opsrisk.reference.units import to_si
from tests.engine.protocols import document

FT = {text: to_si(text, "ft") for text in ("4.9", "5", "5.1")}


def condition(entry):
    """`entry` as the reader of protocols understands it."""
    made = document()
    made["rules"][0]["when"] = entry
    return read_protocol(json.dumps(made)).rules[0].when


def limit(name, word, value, unit=None):
    return condition({"input": name, word: value} | ({"unit": unit} if unit else {}))


# comparison, and whether it holds for a depth (more is worse) of 4.9, 5 and 5.1 ft against a limit of 5 ft
DEEPER = {
    "worse_than": (False, False, True),
    "as_bad_as": (False, True, True),
    "better_than": (True, False, False),
    "no_worse_than": (True, True, False),
    "is": (False, True, False),
}


@pytest.mark.parametrize("word", DEEPER)
def test_a_limit_on_what_gets_worse_upward(word):
    """Worse means deeper; at the limit itself only 'as bad as', 'no worse than' and 'is' hold."""
    when = limit("readings.depth", word, "5", "ft")

    assert tuple(holds(when, {"readings.depth": value}, NUMBERS) for value in FT.values()) == DEEPER[word]


@pytest.mark.parametrize("word", DEEPER)
def test_a_limit_on_what_gets_worse_downward(word):
    """Worse means less to see: the same words, the other way round."""
    when = limit("readings.visibility", word, "5", "ft")

    found = tuple(holds(when, {"readings.visibility": value}, NUMBERS) for value in FT.values())
    assert found == DEEPER[word][::-1]


def test_a_limit_on_a_category_follows_its_order():
    """From the named word to the worst one."""
    when = limit("hazards.entanglement", "as_bad_as", "moderate")

    assert [holds(when, {"hazards.entanglement": place}, NUMBERS) for place in range(4)] == [False, False, True, True]


@pytest.mark.parametrize(("depth", "rating", "fires"), [("10", "10", False), ("10.1", "10", True), ("9", "10", False)])
def test_a_limit_may_be_another_reading(depth, rating, fires):
    """Deeper than the vehicle is rated, whatever both are."""
    when = limit("readings.depth", "worse_than", {"input": "vehicle.depth_rating"})

    facts = {"readings.depth": to_si(depth, "m"), "vehicle.depth_rating": to_si(rating, "m")}
    assert holds(when, facts, NUMBERS) is fires


@pytest.mark.parametrize("voice", [0, 1])
@pytest.mark.parametrize("line", [0, 1])
def test_all_any_and_not(line, voice):
    """'all' needs every part, 'any' one of them, 'not' the opposite."""
    parts = [{"input": "dive.line", "as_bad_as": "untended"}, {"input": "dive.voice", "as_bad_as": "no"}]
    facts = {"dive.line": line, "dive.voice": voice}

    assert holds(condition({"all": parts}), facts, NUMBERS) is bool(line and voice)
    assert holds(condition({"any": parts}), facts, NUMBERS) is bool(line or voice)
    assert holds(condition({"not": parts[0]}), facts, NUMBERS) is (not line)


def test_the_limits_that_hold_are_the_reason():
    """Of 'any', only the parts that hold are named; of 'all', every part."""
    when = condition(
        {
            "all": [
                {"input": "hazards.overhead", "as_bad_as": "overhead"},
                {
                    "any": [
                        {"input": "dive.voice", "as_bad_as": "no"},
                        {"input": "dive.plan_unchanged", "as_bad_as": "no"},
                    ]
                },
            ]
        }
    )
    facts = {"hazards.overhead": 2, "dive.voice": 0, "dive.plan_unchanged": 1}

    assert [each.input for each in limits_that_hold(when, facts, NUMBERS)] == [
        "hazards.overhead",
        "dive.plan_unchanged",
    ]
    assert [each.input for each in limits(when)] == ["hazards.overhead", "dive.voice", "dive.plan_unchanged"]


def test_a_part_that_does_not_hold_gives_no_reason():
    """Half of an 'all' that failed is no reason for the 'any' around it."""
    both = {"all": [{"input": "dive.line", "as_bad_as": "none"}, {"input": "dive.voice", "as_bad_as": "no"}]}
    when = condition({"any": [both, {"input": "dive.plan_unchanged", "as_bad_as": "no"}]})
    facts = {"dive.line": 2, "dive.voice": 0, "dive.plan_unchanged": 1}

    assert [each.input for each in limits_that_hold(when, facts, NUMBERS)] == ["dive.plan_unchanged"]


def test_the_reason_of_a_denial_is_what_is_denied():
    """A 'not' that holds names the limits under it."""
    when = condition({"not": {"input": "dive.voice", "as_bad_as": "no"}})

    assert [each.input for each in limits_that_hold(when, {"dive.voice": 0}, NUMBERS)] == ["dive.voice"]
