"""A fault anywhere in the engine is 'cannot assess': no decision, and never a go."""

import importlib
import json

import pytest
from django.core.management import call_command

from opsrisk.assessment.assess import CannotAssess, assess
from opsrisk.engine import decide as decide_module
from opsrisk.engine.algebra import OnNumbers
from opsrisk.engine.conditions import holds
from opsrisk.protocols.shipped import baseline
from tests.situations import document, situation

PROTOCOL = baseline()
CONDITIONS = [*PROTOCOL.rules, *PROTOCOL.controls, *PROTOCOL.combinations]
GAS = {
    f"dive.gas.{part}": said
    for part, said in (("cylinder_volume", "12 L"), ("pressure", "200 bar"), ("reserve", "50 bar"))
}
TETHER = {"vehicle.thrust": "100 N", "vehicle.drag_area": "0.1 m2", "vehicle.tether_diameter": "8 mm"}
# A situation in which every computation has something to do and the answer hangs on a reading.
MADE = situation("drowning", "working", **GAS, **TETHER, **{"readings.current": "1.45 kn", "people": [{"id": "ada"}]})
DOCUMENT = document(
    "drowning", "working", **GAS, **TETHER, **{"readings.current": "1.45 kn", "people": [{"id": "ada"}]}
)

STEPS = [
    ("opsrisk.assessment.computed", "position_facts"),
    ("opsrisk.assessment.computed", "crew_facts"),
    ("opsrisk.assessment.computed", "vehicle_facts"),
    ("opsrisk.assessment.computed", "rescue_fact"),
    ("opsrisk.assessment.computed", "wind_chill_c"),
    ("opsrisk.assessment.computed", "_gas_minutes"),
    ("opsrisk.assessment.computed", "given_quantity"),
    ("opsrisk.assessment.computed", "rounded"),
    ("opsrisk.assessment.positions", "check_positions"),
    ("opsrisk.assessment.vehicle", "_reach"),
    ("opsrisk.assessment.vehicle", "_limit_mps"),
    ("opsrisk.assessment.rescue", "survival_window"),
    ("opsrisk.assessment.assess", "facts_of"),
    ("opsrisk.assessment.assess", "unknowns"),
    ("opsrisk.assessment.assess", "decide_on"),
    ("opsrisk.assessment.assess", "best_and_worst"),
    ("opsrisk.assessment.assess", "settles"),
    ("opsrisk.assessment.assess", "flips"),
    ("opsrisk.assessment.assess", "decision_map"),
    ("opsrisk.assessment.assess", "flags_of"),
    ("opsrisk.assessment.assess", "validity"),
    ("opsrisk.assessment.assess", "point_lines"),
    ("opsrisk.assessment.assess", "explain_rule"),
    ("opsrisk.assessment.assess", "controls"),
    ("opsrisk.assessment.assess", "shown_value"),
    ("opsrisk.assessment.assess", "digest"),
]


class Broken(Exception):
    pass


def broken(*_, **__):
    raise Broken("the tank is empty")


def test_without_a_fault_there_is_a_decision():
    """The tests below are about the fault, not about their situation."""
    assert assess(MADE, PROTOCOL)["settled"] is False


@pytest.mark.parametrize(("module", "name"), STEPS, ids=[f"{m.rsplit('.', 1)[1]}.{n}" for m, n in STEPS])
def test_a_fault_in_a_computation_is_no_decision(module, name, monkeypatch):
    """Whatever step fails, the caller gets an exception that says so and nothing else."""
    monkeypatch.setattr(importlib.import_module(module), name, broken)

    with pytest.raises(CannotAssess, match="cannot assess: Broken: the tank is empty"):
        assess(MADE, PROTOCOL)


@pytest.mark.parametrize("factor", PROTOCOL.factors, ids=lambda factor: factor.id)
def test_a_fault_in_a_factor_is_no_decision(factor, monkeypatch):
    """No factor that failed counts as no points."""
    steps = OnNumbers.steps
    monkeypatch.setattr(OnNumbers, "steps", lambda *a: broken() if a[2] is factor.steps else steps(*a))

    with pytest.raises(CannotAssess):
        assess(MADE, PROTOCOL)


@pytest.mark.parametrize("item", CONDITIONS, ids=lambda item: item.id)
def test_a_fault_in_a_rule_is_no_decision(item, monkeypatch):
    """No rule that failed counts as one that did not fire."""
    monkeypatch.setattr(decide_module, "holds", lambda when, *a: broken() if when is item.when else holds(when, *a))

    with pytest.raises(CannotAssess):
        assess(MADE, PROTOCOL)


@pytest.mark.parametrize(("module", "name"), STEPS[::5], ids=[n for _, n in STEPS[::5]])
def test_the_command_exits_3_and_prints_no_decision(module, name, monkeypatch, tmp_path, capsys):
    """Nothing on standard output, one line on standard error."""
    monkeypatch.setattr(importlib.import_module(module), name, broken)
    path = tmp_path / "situation.json"
    path.write_text(json.dumps(DOCUMENT))

    with pytest.raises(SystemExit) as left:
        call_command("assess", str(path))

    out, err = capsys.readouterr()
    assert (left.value.code, out) == (3, "")
    assert err == "cannot assess: Broken: the tank is empty\n"


def test_with_lines_the_place_of_the_failed_answer_is_kept(monkeypatch, tmp_path, capsys):
    """A line whose document cannot be assessed says so in its place; the exit code is 3."""
    flags_of = importlib.import_module("opsrisk.assessment.assess").flags_of
    turns = iter([flags_of, broken, flags_of])

    def in_turn(*given):
        return next(turns)(*given)

    monkeypatch.setattr("opsrisk.assessment.assess.flags_of", in_turn)
    path = tmp_path / "situations.jsonl"
    path.write_text("\n".join([json.dumps(DOCUMENT)] * 3))

    with pytest.raises(SystemExit) as left:
        call_command("assess", str(path), "--lines")

    answers = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert left.value.code == 3
    assert ["decision" in answer for answer in answers] == [True, False, True]
    assert answers[1]["cannot_assess"].startswith("cannot assess: Broken")
