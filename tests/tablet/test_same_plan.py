"""The tablet plans and computes as the server does: the same answer to the byte, the same drawings to the letter."""

import json

import pytest

from opsrisk.assessment.plan_calls import compute_call, plan_call
from tests.assessment.computing import EXAMPLES, example, q
from tests.assessment.planned import INPUTS, PROTOCOL, SITUATION, changed, inputs

pytestmark = [pytest.mark.browser, pytest.mark.in_the_page, pytest.mark.timeout(300)]

ASK = """async ([name, given]) => {
  const { onDevice } = await import("/static/tablet/engine.js");
  return JSON.stringify(await onDevice(name, given));
}"""


@pytest.fixture
def ask(county, page):
    """The worker's answer to a call."""
    page.goto("/tablet/")
    return lambda name, given: json.loads(page.evaluate(ASK, [name, given]))


def test_every_computation_answers_the_same(ask):
    """All of them, to their examples, and to feet and pounds."""
    for name in EXAMPLES:
        for units in ("metric", "us"):
            given = {"name": name, "document": json.dumps(example(name, units=units))}
            assert ask("compute", given) == compute_call(given), name


def test_ranges_and_refusals_are_the_same(ask):
    """What nobody knows, and what is no input."""
    for name, document in (
        ("turn_pressure", example("turn_pressure", gas_temperature="unknown", water="unknown")),
        ("diver_load", example("diver_load", posture="unknown")),
        ("lift", example("lift", mud="unknown", mass=q(-2, "kg"))),
        ("tether_shape", example("tether_shape", tether_out=q(1, "m"))),
    ):
        given = {"name": name, "document": json.dumps(document)}
        assert ask("compute", given) == compute_call(given), name


@pytest.mark.parametrize(
    "given",
    [
        INPUTS,
        inputs(units="metric", tether_shape__bearing=q(35, "deg")),
        {"format": INPUTS["format"]},
        {"format": "something else"},
    ],
)
def test_the_plan_its_lines_and_its_pictures_are_the_same(ask, given):
    """Digest, numbers, warnings, lines for the sheet and drawings."""
    asked = {"situation": json.dumps(SITUATION), "inputs": json.dumps(given), "protocol": PROTOCOL}
    assert ask("plan", asked) == plan_call(asked)


def test_a_rescue_without_inputs_is_planned_the_same(ask):
    """Nothing but the situation."""
    rescue = changed(SITUATION, {"task__kind": "rescue", "task__submerged_at": "2026-11-25T07:40:00-05:00"})
    asked = {"situation": json.dumps(rescue), "inputs": None, "protocol": PROTOCOL}
    assert ask("plan", asked) == plan_call(asked)
