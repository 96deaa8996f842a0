"""A document that would take the machine down is refused before it does."""

import json

import pytest

from opsrisk.engine.protocol import ProtocolRefused, read_protocol
from tests.engine.protocols import document


def refused(made):
    with pytest.raises(ProtocolRefused) as found:
        read_protocol(made if isinstance(made, str) else json.dumps(made))
    return found.value.errors


def test_ten_thousand_rules_are_refused():
    """So many that the document itself is too long."""
    made = document()
    made["rules"] = [made["rules"][0] | {"id": f"rule_{place}"} for place in range(10_000)]

    ((place, _, accepted),) = refused(made)

    assert (place, accepted) == ("document", "at most 1048576 bytes")


def test_more_rules_than_anyone_reads_are_refused():
    made = document()
    made["rules"] = [made["rules"][0] | {"id": f"rule_{place}"} for place in range(501)]

    assert ("rules", '"501 entries"', "at most 500") in refused(made)


def test_more_conditions_than_anyone_reads_are_refused():
    made = document()
    made["rules"][0]["when"] = {"any": [{"input": "hazards.lightning", "is": "yes"}] * 501}

    assert ("rules[0].when.any", '"501 entries"', "at most 500") in refused(made)


@pytest.mark.parametrize("points", ["1001", "-1001", "999999999999"])
def test_points_without_measure_are_refused(points):
    """Every point is a step in memory; a million of them would be a slip of the keyboard."""
    made = document()
    made["factors"][0]["points"][-1][1] = points
    made["combinations"][0]["points"] = points

    places = [place for place, _, accepted in refused(made) if accepted == "at most 1000 points"]

    assert places == ["factors[0].points", "combinations[0].points"]
