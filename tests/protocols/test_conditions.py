"""A condition taken apart into lines, rearranged, and said in words."""

import json

import pytest

from opsrisk.protocols.conditions import lines, new_limit, part_at, rebuilt, replaced
from opsrisk.protocols.shipped import BASELINE
from opsrisk.protocols.words import condition_words

GIVEN = json.loads(BASELINE.read_text())
DEEP = {"input": "readings.depth", "worse_than": "60", "unit": "ft"}
COLD = {"input": "readings.water_temperature", "worse_than": "10", "unit": "C"}
BLIND = {"input": "readings.visibility", "worse_than": "5", "unit": "ft"}
NESTED = {"all": [DEEP, {"any": [COLD, {"not": BLIND}]}]}
CONDITIONS = [entry["when"] for part in ("rules", "combinations", "controls", "notes") for entry in GIVEN[part]]


def test_lines_say_where_they_stand():
    """Outermost first, each inside what joins it."""
    assert [(line.path, line.depth, line.words) for line in lines(NESTED)] == [
        ("", 0, "All of these"), ("0", 1, ""), ("1", 1, "Any of these"), ("1-0", 2, ""), ("1-1", 2, "Not this"), ("1-1-n", 3, ""),
    ]  # fmt: skip


@pytest.mark.parametrize("condition", CONDITIONS)
def test_every_part_is_found_and_put_back_where_it_was(condition):
    """The condition comes out as it went in."""
    for line in lines(condition):
        assert replaced(condition, line.path, part_at(condition, line.path)) == condition


@pytest.mark.parametrize(
    "act, path, expected",
    [
        ("drop", "0", {"all": [{"any": [COLD, {"not": BLIND}]}]}),
        ("drop", "1", {"all": [DEEP]}),
        ("drop", "1-1-n", {"all": [DEEP, {"any": [COLD]}]}),
        ("drop", "", None),
        ("turn", "", {"any": NESTED["all"]}),
        ("turn", "1", {"all": [DEEP, {"all": [COLD, {"not": BLIND}]}]}),
        ("negate", "0", {"all": [{"not": DEEP}, NESTED["all"][1]]}),
        ("negate", "1-1", {"all": [DEEP, {"any": [COLD, BLIND]}]}),
        ("and", "", {"all": [*NESTED["all"], {"input": "dive.voice", "as_bad_as": "no"}]}),
        ("or", "0", {"all": [{"any": [DEEP, {"input": "dive.voice", "as_bad_as": "no"}]}, NESTED["all"][1]]}),
    ],
)
def test_each_act_changes_one_part(act, path, expected):
    """And leaves the condition that was handed in alone."""
    before = json.dumps(NESTED)
    assert rebuilt(NESTED, act, path, "dive.voice") == expected
    assert json.dumps(NESTED) == before


@pytest.mark.parametrize(
    "act, path, name",
    [("drop", "7", ""), ("drop", "n", ""), ("drop", "1-x", ""), ("spin", "", ""), ("and", "", "luck"), ("or", "", "")],
)
def test_what_is_not_there_is_refused(act, path, name):
    """No path, no such act, no such reading."""
    with pytest.raises(LookupError):
        rebuilt(NESTED, act, path, name)


@pytest.mark.parametrize(
    "name, expected",
    [
        ("readings.depth", {"input": "readings.depth", "worse_than": "", "unit": "ft"}),
        ("hazards.entanglement", {"input": "hazards.entanglement", "as_bad_as": "severe"}),
        ("dive.breathing", {"input": "dive.breathing", "is": "surface_supplied"}),
    ],
)
def test_a_new_limit_is_of_the_kind_of_its_reading(name, expected):
    """A number is still to be typed."""
    assert new_limit(name) == expected


@pytest.mark.parametrize(
    "condition, words",
    [
        (BLIND, "Underwater visibility is under 5 ft"),
        ({"input": "readings.current", "as_bad_as": "1.0", "unit": "kn"}, "Current at the work depth is 1.0 kn or more"),
        ({"input": "readings.visibility", "no_worse_than": "5", "unit": "ft"}, "Underwater visibility is 5 ft or more"),
        ({"input": "hazards.entanglement", "as_bad_as": "moderate"}, "Entanglement is moderate or worse"),
        ({"input": "hazards.entanglement", "as_bad_as": "severe"}, "Entanglement is severe"),
        ({"input": "vehicle.owned", "is": "yes"}, "Vehicle in the team's kit is yes"),
        (
            {"input": "readings.depth", "worse_than": {"input": "vehicle.depth_rating"}},
            "Depth at the target is over depth rating of the vehicle",
        ),
        (
            NESTED,
            "Depth at the target is over 60 ft, and (Water temperature is under 10 C; or not (Underwater visibility is under 5 ft))",
        ),
        (None, "never: this limit is abolished"),
    ],
)  # fmt: skip
def test_conditions_are_said_in_words(condition, words):
    """Over or under as the reading gets worse; what is mixed stands in brackets."""
    assert condition_words(condition) == words
