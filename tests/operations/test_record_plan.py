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
