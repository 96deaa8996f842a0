"""A decision with less caution than an absolute stop gets in by no way: the desk has none, API and action refuse it."""

import json

import pytest
from django.urls import URLPattern, URLResolver, get_resolver

from opsrisk.ledger.models import Entry
from opsrisk.operations.models import Assessment
from tests.operations.sending import RECEIVED, body, decision, record, sign, situation

REASON = "Two people say that it can be done all the same"
WRITES_RECORDS = {"api_records"}


def absolute(crew, choice):
    """Decided as `choice` over an absolute stop, with a reason, a second person and both signatures."""
    of = situation(hazards__pressure_difference="uncontrolled")
    assert any(stop["absolute"] for stop in decision(of)["stops"])
    second = str(crew.deputy.pk)
    made = record(crew, of, chosen={"decision": choice, "reason": REASON, "second_person": second})
    return made, body(made, sign(made, crew.supervisor), sign(made, crew.deputy, "overrode"))


@pytest.mark.parametrize("choice", ["divers", "divers_with_controls", "vehicle_first", "vehicle_only"])
@pytest.mark.parametrize("who", ["supervisor", "chief"])
def test_the_api_refuses_it_whoever_sends(crew, as_person, choice, who):
    """With reason, second person and both signatures; nothing is stored and nothing entered."""
    _, content = absolute(crew, choice)
    client = as_person(crew.people[who])
    answer = client.post(
        "/api/v1/records/", content, content_type="application/json", headers={"Idempotency-Key": "k1"}
    )
    assert answer.status_code == 400
    assert "absolute stop" in json.dumps(answer.json())
    assert not Assessment.objects.exists()
    assert not Entry.objects.filter(verb="receive_record").exists()


def test_signatures_that_come_later_do_not_open_it(crew, as_person):
    """A hold over an absolute stop stays a hold: the choice is part of what was signed."""
    of = situation(hazards__pressure_difference="uncontrolled")
    made = record(crew, of)
    client = as_person(crew.supervisor)
    ask = {"content_type": "application/json"}
    first = client.post(
        "/api/v1/records/", body(made, sign(made, crew.supervisor)), headers={"Idempotency-Key": "k1"}, **ask
    )
    assert first.status_code == 201
    changed = made | {"chosen": {"decision": "divers", "reason": REASON, "second_person": str(crew.deputy.pk)}}
    again = body(changed, sign(changed, crew.supervisor), sign(changed, crew.deputy, "overrode"))
    second = client.post("/api/v1/records/", again, headers={"Idempotency-Key": "k2"}, **ask)
    assert second.status_code == 400
    assert Assessment.objects.get().chosen_decision == "hold"


def _patterns(patterns):
    for one in patterns:
        if isinstance(one, URLResolver):
            yield from _patterns(one.url_patterns)
        elif isinstance(one, URLPattern):
            yield one


def test_the_desk_has_no_way_to_decide(crew, as_person):
    """No form of the site takes a decision: whatever is posted to any page of the desk, no record comes of it."""
    made, content = absolute(crew, "divers")
    client = as_person(crew.chief)
    asked = 0
    for pattern in _patterns(get_resolver().url_patterns):
        if pattern.name in WRITES_RECORDS or pattern.pattern.converters or "<" in str(pattern.pattern):
            continue
        path = "/" + str(pattern.pattern).lstrip("^").rstrip("$")
        client.post(path, {"record": json.dumps(made), "chosen": "divers", "decision": "divers"})
        client.post(path, content, content_type="application/json")
        asked += 1
    assert asked > 30
    assert not Assessment.objects.exists()
    assert RECEIVED  # the same body by the one way in is refused above
