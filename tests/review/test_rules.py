"""How often a rule fired and was set aside, counted by hand."""

import copy
import re

import pytest
from django.urls import reverse

from opsrisk.protocols.shipped import baseline
from opsrisk.review.listing import assessments
from opsrisk.review.rules import findings
from opsrisk.review.trends import FEW
from tests.briefing import records
from tests.filed import filed, protocol_of


@pytest.fixture
def fired(cast):
    """Files one assessment in which these stops fired, and tells what is counted of all of them."""

    def add(*names, decision="hold", chosen=None, because=(), version="1.0.0"):
        record = copy.deepcopy(records.record())
        stops = [{"id": name, "text": f"Text of {name}"} for name in names]
        rule = {"id": "stop_for_divers", "because": list(because), "text": "A stop"}
        record["decision"] |= {"decision": decision, "stops": stops, "triggers": [], "rule": rule}
        record["chosen"] |= {"decision": chosen or decision, "reason": "A reason of some length" if chosen else ""}
        protocol = protocol_of(cast.agency, cast.safety, cast.chief, version)
        filed(record, agency=cast.agency, by=cast.supervisor, protocol=protocol)

    def counted():
        rows = assessments(cast.chief, {})
        found, whole = (findings(rows, agency=agency) for agency in (None, cast.agency.pk))
        assert found == whole
        return [row for row in found if row.what == "stop"]

    return add, counted


def test_counts(fired):
    """Fired, decided and set aside, each of how many; the most frequent first."""
    add, counted = fired
    add("deep", "cold", because=["deep"])
    add("deep", chosen="divers", because=["deep"])
    add(decision="divers")
    assert [(row.text, row.fired, row.decided, row.set_aside, row.of) for row in counted()] == [
        ("Text of deep", 2, 2, 1, 3),
        ("Text of cold", 1, 0, 0, 3),
    ]


def test_versions_are_not_mixed(fired):
    """The same rule under two versions is two rows."""
    add, counted = fired
    add("deep")
    add("deep", version="2.0.0")
    assert [(row.version, row.fired, row.of) for row in counted()] == [
        ("baseline 1.0.0", 1, 1),
        ("baseline 2.0.0", 1, 1),
    ]


def test_a_rule_that_is_mostly_set_aside_is_pointed_out(fired):
    """More than half of at least ten cases; half is not more than half, and nine are too few."""
    add, counted = fired
    for _ in range(FEW // 2 + 1):
        add("deep", chosen="divers")
    for _ in range(FEW // 2 - 2):
        add("deep")
    assert not counted()[0].doubtful  # six of nine
    add("deep")
    assert counted()[0].doubtful  # six of ten
    for _ in range(2):
        add("deep")
    assert not counted()[0].doubtful  # six of twelve


def test_the_page_counts_the_own_agency_only(county, as_person):
    """Seven under the first version and five under the second carry the usual triggers; no neighbour's is counted."""
    html = as_person(county.chief).get(reverse("review_rules")).content.decode()
    assert "Nobody has confirmed the target" in html
    assert "7 of 7" in html
    assert "5 of 5" in html
    assert as_person(county.supervisor).get(reverse("review_rules")).status_code == 403
    only = as_person(county.chief).get(reverse("review_rules"), {"overrides": "on"}).content.decode()
    assert "1 of 1" in only


def test_a_rule_with_a_number_leads_to_its_what_if(county, as_person):
    """The link opens the what-if of that version with that number chosen; from there a draft can be started."""
    stop = "Current over the limit of a tended diver on scuba"
    record = copy.deepcopy(records.record())
    rule = next(one for one in baseline().document["rules"] if one["text"] == stop)
    record["decision"] |= {"stops": [{"id": rule["id"], "text": stop}]}
    protocol = county.agency.protocols.get(version="1.0.0")
    filed(record, agency=county.agency, by=county.supervisor, protocol=protocol)
    client = as_person(county.chief)
    html = client.get(reverse("review_rules")).content.decode()
    link = f"{reverse('what_if', args=[protocol.pk])}?limit=rules/{rule['id']}/1"
    assert link in html, re.findall(r"what-if[^>]*", html)
    page = client.get(link).content.decode()
    assert 'type="range"' in page
    assert reverse("start_protocol", args=[protocol.pk]) in as_person(county.safety).get(link).content.decode()
