"""What the tablet asks for a plan is what the computations take: the same ranges, in every unit."""

import pytest

from opsrisk.assessment.computations.reading import part_of_inputs
from opsrisk.assessment.computations.refused import ComputationRefused
from opsrisk.assessment.computations.registry import COMPUTATIONS
from opsrisk.assessment.planning.asks import plan_asks
from opsrisk.assessment.planning.inputs import NAMES

ASKS = plan_asks()
QUANTITIES = [
    (name, ask["name"], unit)
    for name, subject in ASKS.items()
    for ask in subject["asks"]
    for unit in ask["units"]
]  # fmt: skip


def given(value, unit):
    return {"value": value, "unit": unit} if unit else value


def test_every_subject_asks_every_input():
    """In the order of the registry, each with its words; needed ones say so."""
    assert tuple(ASKS) == NAMES
    for name, subject in ASKS.items():
        assert [ask["name"] for ask in subject["asks"]] == [one.name for one in COMPUTATIONS[name].asks]
        for ask in subject["asks"]:
            assert ask["label"]
            assert ("Needed" in ask["hint"]) == ask["needed"]


@pytest.mark.parametrize("name", NAMES)
def test_both_ends_of_a_range_are_taken_and_just_beyond_is_refused(name):
    """In every unit that is offered."""
    for subject, field, unit in QUANTITIES:
        if subject != name:
            continue
        low, high = unit["possible"]
        for end in (low, high):
            part_of_inputs(COMPUTATIONS[name], {field: given(end, unit["unit"])})
        step = 0.02 * max(1.0, abs(float(high)))
        for beyond in (float(low) - step, float(high) + step):
            with pytest.raises(ComputationRefused):
                part_of_inputs(COMPUTATIONS[name], {field: given(f"{beyond:.4f}", unit["unit"])})


def test_lists_name_their_columns_needed_ones_first():
    """So that a line may stop early."""
    rows = [ask for subject in ASKS.values() for ask in subject["asks"] if ask["kind"] == "rows"]
    assert len(rows) >= 6
    for ask in rows:
        needed = [column["needed"] for column in ask["columns"]]
        assert needed == sorted(needed, reverse=True)
        assert needed[0]
