"""The map of the decision over two readings is exact: what it draws in a cell holds everywhere in that cell."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from opsrisk.assessment.assess import assess
from opsrisk.assessment.computed import facts_of
from opsrisk.engine.inputs import DECISIONS
from opsrisk.engine.margins import decision_map
from opsrisk.engine.readings import values
from opsrisk.engine.replay import replay
from opsrisk.protocols.shipped import baseline
from opsrisk.reference.units import to_si
from tests.engine.facts_at_random import random_facts
from tests.situations import situation

X, Y = "readings.current", "readings.visibility"
AXES = [(X, Y), ("readings.depth", "readings.water_temperature"), ("support.care_minutes", "readings.wave_height")]


def stated(seed):
    return {name: replace(fact, open=()) for name, fact in random_facts(seed, unsure=4).items()}


@pytest.mark.parametrize("axes", AXES, ids=lambda axes: axes[0])
@pytest.mark.parametrize("seed", range(20))
def test_points_inside_a_cell_decide_as_drawn(seed, axes):
    """Twenty random points in each cell, all else equal."""
    facts, chance = stated(seed), np.random.default_rng(seed)
    drawn = decision_map(baseline(), facts, *axes)
    for (below, above), cells in zip(pairwise(drawn.y_edges), drawn.cells, strict=True):
        for (before, after), cell in zip(pairwise(drawn.x_edges), cells, strict=True):
            at = {name: np.full(20, value) for name, value in values(facts, "value").items()}
            at |= {axes[0]: inside(before, after, chance), axes[1]: inside(below, above, chance)}
            assert np.all(replay(baseline(), at).decision == cell)


def inside(low, high, chance):
    """Random points strictly between, and the first and last float between."""
    points = chance.uniform(low, high, 20)
    points[:2] = np.nextafter(low, high), np.nextafter(high, low)
    return points


@pytest.mark.parametrize("seed", range(20))
def test_neighbouring_rows_and_columns_differ(seed):
    """Edges where nothing changes are left out."""
    drawn = decision_map(baseline(), stated(seed), X, Y)

    assert all(first != second for first, second in pairwise(drawn.cells))
    assert all(first != second for first, second in pairwise(zip(*drawn.cells, strict=True)))
    assert list(drawn.x_edges) == sorted(set(drawn.x_edges))
    assert list(drawn.y_edges) == sorted(set(drawn.y_edges))


@pytest.mark.parametrize(
    ("name", "axes", "given"),
    [
        ("vehicle.owned", (X, Y), {"task.target": "contact"}),
        ("dive.breathing", ("readings.depth", Y), {"readings.depth": "120 ft", "support.chamber_minutes": "3 min"}),
    ],
)
def test_what_nobody_stated_is_drawn_at_its_most_cautious(name, axes, given):
    """Where nobody says whether there is a vehicle, or what the diver breathes, each cell is the worse of both maps."""
    facts = facts_of(situation(vehicle="working", **given), baseline())
    facts |= {name: replace(facts[name], value=1, best=0, worst=1, state="unknown", open=(0, 1))}
    together = decision_map(baseline(), facts, *axes)
    chance = np.random.default_rng(5)
    differ = False
    for (below, above), cells in zip(pairwise(together.y_edges), together.cells, strict=True):
        for (before, after), cell in zip(pairwise(together.x_edges), cells, strict=True):
            at = {each: np.full(20, value) for each, value in values(facts, "value").items()}
            at |= {axes[0]: inside(before, after, chance), axes[1]: inside(below, above, chance)}
            both = [replay(baseline(), at | {name: np.full(20, chosen)}).decision for chosen in (0, 1)]
            assert np.all(np.maximum(*both) == cell)
            differ = differ or bool(np.any(both[0] != both[1]))
    assert differ


def test_the_document_draws_the_map_around_the_readings():
    """The map of the answer shows the reading, its bounds, and the limits as printed numbers of its unit."""
    drawn = assess(situation(**{"readings.current": "0.8 kn"}), baseline())["map"]

    x = drawn["x"]
    assert (x["unit"], x["value"], x["low"], x["high"]) == ("kn", "0.80", "0.70", "0.90")
    assert "1.50" in x["edges"]
    assert float(x["edges"][0]) == 0
    assert len(drawn["cells"]) == len(drawn["y"]["edges"]) - 1
    assert all(len(row) == len(x["edges"]) - 1 for row in drawn["cells"])
    assert {cell for row in drawn["cells"] for cell in row} <= set(DECISIONS)


def test_the_cell_of_the_reading_holds_the_decision():
    """Where the operation stands on the map, the map says what the answer says."""
    for current in ("0.2", "0.7", "1.2", "1.8"):
        decision = assess(situation(vehicle="working", **{"readings.current": f"{current} kn"}), baseline())
        drawn = decision["map"]
        column = place(drawn["x"]["edges"], current)
        row = place(drawn["y"]["edges"], "30")
        assert drawn["cells"][row][column] == decision["decision"]


def place(edges, value):
    """The stretch of `edges` that `value` lies in; the last one if it lies on the far end."""
    inside_of = [i for i, (low, high) in enumerate(pairwise(edges)) if float(low) <= float(value) <= float(high)]
    return inside_of[-1]


def test_the_edges_are_the_protocols_own_numbers():
    """No edge comes from a grid: each is a threshold, or an end of what is drawn."""
    facts = stated(7)
    drawn = decision_map(baseline(), facts, X, Y)
    marks = set(baseline().thresholds[X]) | {facts["computed.vehicle_current_limit"].value}

    assert set(drawn.x_edges[1:-1]) <= marks
    assert to_si("1.5", "kn") in baseline().thresholds[X]
