"""The API against its own description: generated requests, good and bad, over HTTP to the real application."""

import os
from collections import Counter

import pytest
import schemathesis
from django.test import Client
from schemathesis.config import SchemathesisConfig
from schemathesis.engine import Status, events, from_schema

from opsrisk.agencies import actions
from tests.cast import NOON
from tests.operations.sending import received

SEARCH = os.environ.get("HYPOTHESIS_PROFILE") == "search"
EXAMPLES = 60 if SEARCH else 15
# One request for every way in which a situation may deviate: 2,700 of them, some minutes, so only when searching.
COVERAGE = SEARCH
ACCEPTED = ["2xx", "401", "403", "404", "409", "5xx"]
# A JSON Schema cannot say that a signature holds, that a depth in feet lies in the possible range, or that a unit
# fits its reading: for these two a document of the right shape may still be refused, by field. No 5xx is accepted:
# not_a_server_error stays on for every operation.
BY_MEANING = {"positive_data_acceptance": {"expected-statuses": [*ACCEPTED, "400"]}}


def session_of(person) -> tuple[str, str]:
    """A signed-in session and its token against forged requests."""
    browser = Client()
    browser.force_login(person, backend="allauth.account.auth_backends.AuthenticationBackend")
    token = browser.get("/tablet/session.json").json()["csrf"]
    return browser.cookies["sessionid"].value, token


def run(url, person):
    """Every event of a run with all checks, one worker, and a fixed seed."""
    session, token = session_of(person)
    by_meaning = {"checks": BY_MEANING, "phases": {"coverage": {"enabled": COVERAGE}}}
    config = SchemathesisConfig.from_dict(
        {
            "seed": 20260601,
            "workers": 1,
            "headers": {"X-CSRFToken": token},
            "auth": {"openapi": {"session": {"api_key": session}}},
            "continue-on-failure": True,
            "generation": {"max-examples": EXAMPLES, "deterministic": True},
            "phases": {"stateful": {"enabled": True}},
            "operations": [
                {"include-operation-id": name} | by_meaning
                for name in ("receive_record", "assess", "compute", "plan", "review")
            ],
        }
    )
    schema = schemathesis.openapi.from_url(f"{url}/api/schema/", config=config)
    return list(from_schema(schema).execute())


@pytest.mark.django_db(transaction=True)
@pytest.mark.timeout(3000)
def test_the_api_keeps_what_its_description_promises(crew, live_server, settings):
    """No check fails for any operation, and every operation was tried."""
    settings.CSRF_USE_SESSIONS = True  # one cookie less: the generator sends only the one that signs in
    received(crew)
    given = [{"id": "TAR01", "name": "Tarrow Narrows", "lat": "45", "lon": "-120"}]
    actions.load_stations(stations=given, by=None, at=NOON)
    happened = run(live_server.url, crew.chief)
    scenarios = [event for event in happened if isinstance(event, events.ScenarioFinished)]
    errors = [event for event in happened if isinstance(event, events.NonFatalError | events.FatalError)]
    failures = [
        f"{scenario.recorder.label}: {node.name}: {node.failure_info.failure}"
        for scenario in scenarios
        for nodes in scenario.recorder.checks.values()
        for node in nodes
        if node.status == Status.FAILURE
    ]
    assert not errors, errors
    assert not failures, "\n".join(sorted(set(failures)))
    answered: dict[str, Counter[int]] = {}
    for scenario in scenarios:
        for interaction in scenario.recorder.interactions.values():
            if interaction.response is not None:
                answered.setdefault(scenario.recorder.label, Counter())[interaction.response.status_code] += 1
    print(answered)
    never = [
        label
        for label, statuses in answered.items()
        if "{" not in label and label.startswith("GET") and not statuses[200]
    ]
    assert not never, f"never let in: {never}"
    assert answered["POST /api/v1/assess/"][200]
