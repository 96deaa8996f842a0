"""The plan inside a record: kept as signed, worked out again on receipt, refused where it is none."""

import copy
import json

import pytest

from opsrisk.agencies.refusals import Refused
from opsrisk.ledger.models import Entry
from opsrisk.operations.models import Assessment
from tests.assessment.computing import q
from tests.assessment.planned import INPUTS
from tests.operations.sending import body, planned, record, send, sign

GIVEN = {"format": INPUTS["format"], "lift": {"mass": q(80, "kg"), "material": "steel"}}


def with_plan(crew, **changes):
    """A record with its plan; `answer` and `inputs` replace a half of it."""
    made = record(crew)
    made["plan"] = copy.deepcopy(planned(made["situation"], GIVEN)) | changes
    return made


def sent(crew, made, key="k1"):
    return send(crew, body(made, sign(made, crew.supervisor)), key=key)


def warned(answer):
    return {one["id"]: one["text"] for one in json.loads(answer.response)["warnings"]}


def test_the_plan_is_kept_as_signed(crew):
    """Byte for byte, in the record; the server's own comes out the same and it says nothing."""
    made = with_plan(crew)
    answer = sent(crew, made)
    assert "plan_differs" not in warned(answer)
    assert json.loads(Assessment.objects.get().record)["plan"] == made["plan"]


def test_a_plan_that_comes_out_otherwise_is_stored_and_said(crew):
    """In the receipt and in the log, by the number that differs; the decision is not called different."""
    answer = planned(record(crew)["situation"], GIVEN)["answer"]
    other = copy.deepcopy(answer)
    other["numbers"][0]["headline"] = "Another number"
    name = other["numbers"][0]["computation"]
    received = sent(crew, with_plan(crew, answer=other))
    assert f"numbers.{name}" in warned(received)["plan_differs"]
    assert not Assessment.objects.get().differs
    detail = json.loads(Entry.objects.get(verb="receive_record").detail)
    assert detail["plan_differs_in"] == [f"numbers.{name}"]


@pytest.mark.parametrize(
    "changes, field",
    [
        ({"inputs": {"format": "something else"}}, "record.plan.inputs.format"),
        ({"inputs": {"format": INPUTS["format"], "lift": {"mass": q(-1, "kg")}}}, "record.plan.inputs.lift.mass.value"),
        ({"inputs": {"format": INPUTS["format"], "magic": {}}}, "record.plan.inputs.magic"),
        ({"answer": {"format": "opsrisk.plan/9"}}, "record.plan.answer.format"),
        ({"extra": {}}, "record.plan"),
    ],
)
def test_what_is_no_plan_is_refused_by_its_field(crew, changes, field):
    """Nothing is stored."""
    with pytest.raises(Refused) as refused:
        sent(crew, with_plan(crew, **changes))
    assert any(error[0].startswith(field) for error in refused.value.errors), refused.value.errors
    assert not Assessment.objects.exists()


def test_a_plan_for_another_time_is_refused(crew):
    """It would print another hour's windows on this sheet."""
    made = with_plan(crew)
    made["plan"]["answer"]["assessed_at"] = "2026-06-01T09:00:00+00:00"
    with pytest.raises(Refused) as refused:
        sent(crew, made)
    assert refused.value.errors[0][0] == "record.plan.answer.assessed_at"


def test_a_number_without_its_parts_is_refused(crew):
    """The sheet prints what stands here: each number has its headline, answers and inputs."""
    made = with_plan(crew)
    del made["plan"]["answer"]["numbers"][0]["headline"]
    with pytest.raises(Refused) as refused:
        sent(crew, made)
    assert refused.value.errors[0][0] == "record.plan.answer.numbers[0].headline"


SEARCH = {
    "length": q(60, "m"), "width": q(20, "m"), "vehicle_speed": q("0.5", "kn"), "vehicle_sweep": q(6, "m"),
    "diver_speed": q("0.2", "kn"), "diver_sweep": q(1, "m"),
}  # fmt: skip


def test_diver_minutes_saved_stand_beside_a_decision_for_the_vehicle(crew, as_person):
    """On the assessment and on the plan; where divers enter, the assessment does not speak of it."""
    inputs = {"format": INPUTS["format"], "search_effort": SEARCH}
    for number, chosen in enumerate(("divers", "vehicle_first"), start=1):
        made = record(crew, number=number)
        made["operation"] = made["operation"] | {"id": f"6f3c0d5e-5d0b-4a53-9a58-0f3f2a1f7c1{number}"}
        made["chosen"] = {"decision": chosen, "reason": "", "second_person": None}
        made["plan"] = planned(made["situation"], inputs)
        assert sent(crew, made, key=f"k{number}").status == 201
        page = as_person(crew.diver).get(f"/assessments/{made['id']}/").content.decode()
        assert ("diver-minutes under water are saved" in page) == (chosen == "vehicle_first")
        plan = as_person(crew.diver).get(f"/operations/{made['operation']['id']}/plan/").content.decode()
        assert "diver-minutes under water are saved" in plan
