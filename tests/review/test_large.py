"""The large demo is what it says: so many operations, spread over agencies and years, in the log, open on every page."""

from django.core.management import call_command
from django.urls import reverse

from opsrisk.agencies.models import Agency, Person
from opsrisk.ledger.actions import verify
from opsrisk.operations.models import Assessment, Operation
from opsrisk.review.demo import large
from opsrisk.review.listing import assessments


def test_sizes_fall_and_add_up():
    """The first agency has the most, and together they have all."""
    found = large.sizes(100_000, 40)
    assert sum(found) == 100_000
    assert found[1:] == sorted(found[1:], reverse=True)
    assert found[0] > 20_000 > found[1] > 10_000


def test_what_it_files_is_whole(db, monkeypatch, as_person):
    """Operations, log, figures and pages agree."""
    monkeypatch.setattr(large, "DIFFERENT", 12)
    call_command("load_demo", "--large", "--operations=60", "--agencies=3", "--years=4", verbosity=0)
    assert (Agency.objects.count(), Operation.objects.count(), Assessment.objects.count()) == (3, 60, 60)
    assert not verify().problems
    first = Agency.objects.get(slug="large-01")
    chief = Person.objects.get(agency=first, role="chief")
    rows = assessments(chief, {})
    assert rows.count() == first.operations.count() == large.sizes(60, 3)[0]
    assert rows.values("protocol").distinct().count() > 1
    assert rows.values("year").distinct().count() >= 4
    client = as_person(chief)
    for name in ("review", "review_rules", "review_patterns", "calibration", "log"):
        assert client.get(reverse(name)).status_code == 200
    assert client.get(reverse("assessment", args=[rows[0].pk])).status_code == 200
