"""What a page may ask of a plan: JSON-ready objects in and out, so that a worker or a server can answer alike."""

from typing import Any

from opsrisk.assessment.computations.refused import ComputationRefused
from opsrisk.assessment.computations.registry import compute
from opsrisk.assessment.pictures.drawn import pictures
from opsrisk.assessment.plan import plan, plan_lines, saved_words
from opsrisk.assessment.planning.asks import plan_asks
from opsrisk.assessment.planning.inputs import PlanRefused
from opsrisk.assessment.situation import SituationRefused

Json = dict[str, Any]


def plan_call(given: Json) -> Json:
    """`situation`, `inputs` (or none) and `protocol`, JSON texts, give `plan`, its `lines`, its `pictures` and `saved`,
    what stands beside a decision for the vehicle.

    A situation or inputs that are none give `refused`, a list of [field, given, accepted].
    """
    try:
        document = plan(given["situation"], given.get("inputs"), given["protocol"])
    except (SituationRefused, PlanRefused) as refused:
        return {"refused": [list(error) for error in refused.errors]}
    return {"plan": document} | plan_shown_call({"plan": document})


def plan_asks_call(_: Json) -> Json:
    """What a plan may be told, subject by subject."""
    return plan_asks()


def plan_shown_call(given: Json) -> Json:
    """The `lines`, `pictures` and `saved` of a `plan` that was worked out before, as it stands in a record."""
    plan = given["plan"]
    return {"lines": plan_lines(plan), "pictures": pictures(plan), "saved": saved_words(plan)}


def compute_call(given: Json) -> Json:
    """The `answer` of computation `name` to the JSON text `document`, or `refused` as above."""
    try:
        return {"answer": compute(given["name"], given["document"])}
    except ComputationRefused as refused:
        return {"refused": [list(error) for error in refused.errors]}
