"""When the risk that stays goes to the incident commander: decision, caution and the record's own line decide."""

import itertools

import pytest

from opsrisk.assessment import commander
from opsrisk.assessment.words import CAUTION_ORDER

LINE = 45
ENTERING = ("divers", "divers_with_controls", "vehicle_first")


def record(chosen, computed=None, *, score=20, line=LINE, **more):
    """As much of a signed record as is read."""
    decision = {
        "decision": computed or chosen,
        "score": score,
        "lines": {"divers": 20, "nobody_to_save": line, "rescue": 65},
    }
    positions = {"diver": {"person": "a"}, "standby_diver": {"person": "b"}, "medic": {"person": "c"}}
    brief = {"gain": "A life that may still be saved"}
    made = {"revision": 1, "decision": decision, "chosen": {"decision": chosen}, "brief": brief}
    return made | {"situation": {"positions": positions}} | more


@pytest.mark.parametrize(("chosen", "computed"), list(itertools.product(CAUTION_ORDER, repeat=2)))
@pytest.mark.parametrize("score", [0, LINE, LINE + 1, 100])
def test_it_goes_to_the_commander_where_people_go_in_at_less_caution_or_over_the_line(chosen, computed, score):
    """Every pair of decisions at, under and over the line: people enter, and one of the two holds."""
    less = CAUTION_ORDER.index(chosen) < CAUTION_ORDER.index(computed)
    expected = chosen in ENTERING and (less or score > LINE)
    found = commander.reasons(record(chosen, computed, score=score))
    assert commander.needed(record(chosen, computed, score=score)) == bool(found) == expected
    assert len(found) == (less + (score > LINE) if expected else 0)


def test_the_line_is_the_records_own():
    """The same score under two protocols: the one whose line lies lower asks."""
    assert not commander.needed(record("divers_with_controls", score=50, line=50))
    assert commander.needed(record("divers_with_controls", score=50, line=49))


@pytest.mark.parametrize("lines", [{}, None])
def test_a_record_without_lines_or_score_asks_for_less_caution_alone(lines):
    """What is not there is over nothing; less caution is less caution."""
    made = record("divers", "hold")
    made["decision"] |= {"lines": lines, "score": None}
    assert len(commander.reasons(made)) == 1
    assert commander.to_say(made)["risk"] == "less caution than computed, which was hold"
    made["chosen"]["decision"] = "hold"
    assert commander.reasons(made) == []


def test_what_is_said_names_decision_score_line_and_gain():
    """The commander says back what the sheet says, not that it was understood."""
    said = commander.to_say(record("divers", "vehicle_first", score=52))
    assert said == {
        "decision": "Divers may enter: no configured limit exceeded",
        "risk": "less caution than computed, which was vehicle first; score 52, over the line of 45",
        "gain": "A life that may still be saved",
    }


@pytest.mark.parametrize("score", [LINE + 1, 60, 99, 100])
@pytest.mark.parametrize("chosen", ENTERING)
def test_choices_hold_the_right_one_and_others_that_could_be_true(chosen, score):
    """Sorted, two to four, each over the line: none contradicts itself and so gives the right one away."""
    made = record(chosen, score=score)
    right = commander.to_say(made)
    for item, offered in commander.choices(made).items():
        assert right[item] in offered and offered == sorted(set(offered)), item
        assert 2 <= len(offered) <= 4, item
    for one in commander.choices(made)["risk"]:
        assert LINE < int(one.split(",")[0].removeprefix("score ")) <= 100


def test_a_low_score_at_less_caution_has_other_answers_too():
    """Also where the score alone would not have asked."""
    offered = commander.choices(record("divers", "hold", score=0))["risk"]
    assert "less caution than computed, which was hold; score 0" in offered and len(offered) == 4


CHANGES = {
    "decision": record("divers"),
    "computed": record("vehicle_first", "hold", score=50),
    "score": record("vehicle_first", score=51),
    "the line": record("vehicle_first", score=50, line=46),
    "gain": record("vehicle_first", score=50, brief={"gain": "Property"}),
    "who dives": record("vehicle_first", score=50, situation={"positions": {"diver": {"person": "d"}}}),
}
NAMES = {"a": "Mara Quill", "b": "Oskar Lund", "c": "Lena Okafor", "d": "Teo Brandt"}


@pytest.mark.parametrize("name", CHANGES)
def test_what_was_acknowledged_changes_with_decision_score_line_gain_and_who_dives(name):
    """Each of them alone is another thing to acknowledge."""
    first = record("vehicle_first", score=50)
    assert commander.facts(first, NAMES) != commander.facts(CHANGES[name], NAMES)


def test_another_medic_changes_nothing_and_a_diver_without_a_name_does():
    """Those who go in are concerned; somebody without a name may be another person."""
    first, later = record("vehicle_first", score=50), record("vehicle_first", score=50, revision=2)
    later["situation"]["positions"]["medic"] = {"person": "d"}
    assert commander.facts(first, NAMES) == commander.facts(later, NAMES)
    for made in (first, later):
        made["situation"]["positions"]["diver"] = {"filled": "yes"}
    assert commander.facts(first, NAMES) != commander.facts(later, NAMES)
