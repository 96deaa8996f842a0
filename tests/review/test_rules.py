"""How often a rule fired and was set aside, counted by hand."""

import json

from django.urls import reverse

from opsrisk.review.rules import FEW, rules


def record(*fired, because=()):
    items = [{"id": name, "text": f"Text of {name}"} for name in fired]
    return json.dumps(
        {"decision": {"stops": items, "triggers": [], "rule": {"id": "stop_for_divers", "because": list(because)}}}
    )


def test_counts():
    """Fired, decided and set aside, each of how many; the most frequent first."""
    found = rules(
        [
            ("a 1", "hold", "hold", record("deep", "cold", because=["deep"])),
            ("a 1", "hold", "divers", record("deep", because=["deep"])),
            ("a 1", "divers", "divers", record()),
        ]
    )
    assert [(row.text, row.fired, row.decided, row.set_aside, row.of) for row in found] == [
        ("Text of deep", 2, 2, 1, 3),
        ("Text of cold", 1, 0, 0, 3),
    ]


def test_versions_are_not_mixed():
    """The same rule under two versions is two rows."""
    found = rules([("a 1", "hold", "hold", record("deep")), ("a 2", "hold", "hold", record("deep"))])
    assert [(row.version, row.fired, row.of) for row in found] == [("a 1", 1, 1), ("a 2", 1, 1)]


def test_a_rule_that_is_mostly_set_aside_is_pointed_out():
    """More than half of at least ten cases; half is not more than half, and nine are too few."""

    def share(set_aside, cases):
        kept = [("a 1", "hold", "hold", record("deep"))] * (cases - set_aside)
        return rules([*kept, *[("a 1", "hold", "divers", record("deep"))] * set_aside])[0].doubtful

    assert share(FEW // 2 + 1, FEW)
    assert not share(FEW // 2, FEW)
    assert not share(FEW - 1, FEW - 1)


def test_the_page_counts_the_own_agency_only(county, as_person):
    """Seven under the first version and five under the second carry the usual triggers; no neighbour's is counted."""
    html = as_person(county.chief).get(reverse("review_rules")).content.decode()
    assert "Nobody has confirmed the target" in html
    assert "7 of 7" in html
    assert "5 of 5" in html
    assert as_person(county.supervisor).get(reverse("review_rules")).status_code == 403
    only = as_person(county.chief).get(reverse("review_rules"), {"overrides": "on"}).content.decode()
    assert "1 of 1" in only
