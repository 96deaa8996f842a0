"""No-stop time decides only where the protocol carries the agency's adoption of the tables, and only within them."""

import copy
import json

import pytest

from opsrisk.assessment.assess import assess
from opsrisk.assessment.computed import facts_of
from opsrisk.assessment.stops import NAME
from opsrisk.engine.protocol import ProtocolRefused, read_protocol
from opsrisk.physics.no_stop import DIGEST
from opsrisk.protocols.shipped import BASELINE
from tests.assessment.planned import SITUATION, by_name, inputs, planned
from tests.situations import situation

OURS = {"kind": "agency", "note": "compared with the printed manual by two of us"}
ADOPTION = {
    "person": "Inez Corrow",
    "on": "2026-11-25",
    "digest": DIGEST,
    "altitude": {"value": "250", "unit": "ft", "source": OURS},
    "source": OURS,
}
RULE = {
    "id": "no_stop_short", "effect": "stop_divers", "flag": "no_stop_short",
    "text": "The planned bottom time is longer than the no-stop time",
    "when": {"input": "dive.bottom_time", "worse_than": {"input": NAME}}, "source": OURS,
}  # fmt: skip
CLEAN = [{"id": "ada", "dives_24h": "0", "hours_awake": "3", "qualifications": ["diver"], "fit": "yes"}]


def document(adoption=ADOPTION, rule=RULE):
    made = copy.deepcopy(json.loads(BASELINE.read_text()))
    if adoption:
        made["no_stop_adoption"] = adoption
    if rule:
        made["rules"].append(rule)
        made["inputs"][NAME] = {"unit": "min", "source": OURS}
    return json.dumps(made)


def adopted(**changes):
    return read_protocol(document(ADOPTION | changes))


def fact(protocol, **given):
    return facts_of(situation(**given), protocol)[NAME]


def test_the_baseline_says_nothing_of_it():
    """Not read, not computed, and named as not assessed."""
    protocol = read_protocol(BASELINE.read_text())
    assert NAME not in facts_of(situation(), protocol)
    assert any("No-stop" in line for line in assess(situation(), protocol)["not_assessed"])


def test_within_the_table_it_decides():
    """60 ft: 63 minutes. 40 are planned and pass, 70 are stopped with the flag."""
    deep = {"readings.depth": "58 ft", "site.altitude": "0 m"}
    for minutes, stopped in (("40 min", False), ("70 min", True)):
        decision = assess(situation(**deep, **{"dive.bottom_time": minutes}), adopted())
        assert ("no_stop_short" in decision["flags"]) is stopped


def test_bounds_of_the_depth_are_bounds_of_the_time():
    """Deeper is never longer."""
    found = fact(adopted(), **{"readings.depth": "60 ft"})
    assert found.worst < found.value <= found.best
    assert found.worst == 48  # 61 ft and more is the row of 70


def test_beyond_the_table_there_is_no_time():
    """Deeper than 190 fsw, or higher than the corrections: none, which stops."""
    assert fact(adopted(), **{"readings.depth": "250 ft"}).value == 0
    assert fact(adopted(), **{"readings.depth": "60 ft", "site.altitude": "4000 m"}).value == 0


def test_altitude_shortens_it():
    """The site's where it is known, the highest of the agency's waters where it is not."""
    low = fact(adopted(), **{"readings.depth": "50 ft", "site.altitude": "0 m"}).value
    high = fact(adopted(), **{"readings.depth": "50 ft", "site.altitude": "6000 ft"}).value
    assumed = adopted(altitude={"value": "6000", "unit": "ft", "source": OURS})
    assert high < low
    assert fact(assumed, **{"readings.depth": "50 ft"}).value == high


@pytest.mark.parametrize(
    "given",
    [
        {"readings.depth": "unknown"},
        {"people": [CLEAN[0] | {"dives_24h": "1"}], "positions.diver.person": "ada"},
        {"people": [{"id": "ada"}], "positions.diver.person": "ada"},
        {"people": CLEAN, "positions.diver.person": "bo"},
    ],
)
def test_what_is_not_known_is_taken_as_none(given):
    """No depth, earlier dives, or nobody says whether there were any: no minute without stops."""
    found = fact(adopted(), **given)
    assert (found.state, found.value) == ("unknown", 0)


def test_a_diver_without_earlier_dives_has_the_whole_time():
    """Named, listed, none in the last 24 hours."""
    found = fact(adopted(), **{"readings.depth": "55 ft", "people": CLEAN, "positions.diver.person": "ada"})
    assert found.state == "given"


def test_other_tables_than_these_are_no_tables():
    """A digest that is not that of the tables as they stand: not known, taken as none, the dive stopped."""
    found = fact(adopted(digest="0" * 64), **{"readings.depth": "30 ft"})
    assert (found.state, found.value, found.shown) == ("unknown", 0, "the adopted tables are not these")


@pytest.mark.parametrize(
    ("changes", "place"),
    [
        ({"digest": "abc"}, "no_stop_adoption.digest"),
        ({"on": "yesterday"}, "no_stop_adoption.on"),
        ({"person": " "}, "no_stop_adoption.person"),
        ({"altitude": {"value": "250", "unit": "min", "source": OURS}}, "no_stop_adoption.altitude.unit"),
        ({"altitude": {"value": "250", "unit": "ft"}}, "no_stop_adoption.altitude.source"),
        ({"by": "x"}, "no_stop_adoption.by"),
    ],
)
def test_a_bad_adoption_is_refused_by_its_place(changes, place):
    """As every other entry of a protocol."""
    with pytest.raises(ProtocolRefused) as caught:
        adopted(**changes)
    assert place in [error[0] for error in caught.value.errors]


def test_a_rule_without_the_adoption_is_refused():
    """It would stop every dive: the adoption is asked for."""
    with pytest.raises(ProtocolRefused) as caught:
        read_protocol(document(adoption=None))
    assert "no_stop_adoption" in [error[0] for error in caught.value.errors]


def test_the_plan_uses_the_protocols_adoption():
    """The number with its caveat, without typing anything."""
    found = by_name(planned(inputs(), protocol=document(), readings__depth=SITUATION["readings"]["depth"]))["no_stop"]
    assert found["headline"].startswith("No-stop ")
    assert {one["from"] for one in found["inputs"]} <= {"situation", "protocol", "usual value"}
