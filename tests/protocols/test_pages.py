"""The safety officer's pages."""

import html
import json

import pytest
from django.utils import timezone

from opsrisk.protocols import actions
from opsrisk.protocols.models import ProtocolVersion
from opsrisk.protocols.places import HEADING
from opsrisk.protocols.shipped import BASELINE
from opsrisk.protocols.table import sections
from tests.cast import NOON


def adoption(version, **changes):
    """What the page of adoption sends."""
    return {"effective_from": f"{timezone.now():%Y-%m-%d}", "reason": "A start", "seen": version.digest} | changes


def test_an_agency_starts_with_the_baseline_and_two_people(cast, as_person):
    """Draft, adopt, in force."""
    assert b"No protocol is in force" in as_person(cast.diver).get("/protocols/").content
    page = as_person(cast.safety).post("/protocols/draft-baseline/")["Location"]
    given = adoption(ProtocolVersion.objects.get())
    assert as_person(cast.safety).post(page + "adopt/", given).status_code == 422
    assert as_person(cast.chief).post(page + "adopt/", given).status_code == 302
    assert ProtocolVersion.objects.get().state == "adopted"
    assert b"In force: " in as_person(cast.diver).get("/protocols/").content


def test_the_page_says_why_a_changed_draft_cannot_be_adopted(cast, as_person):
    """Before and after trying."""
    document = json.dumps(json.loads(BASELINE.read_text()) | {"version": "2.0.0"})
    version = actions.draft(agency=cast.agency, document=document, by=cast.safety, at=NOON)
    browser = as_person(cast.chief)
    assert b"It cannot be adopted" in browser.get(f"/protocols/{version.pk}/").content
    answer = browser.post(f"/protocols/{version.pk}/adopt/", adoption(version))
    assert answer.status_code == 422
    assert b"the shipped baseline unchanged" in answer.content


def test_every_limit_of_the_baseline_stands_on_the_page_with_its_source(cast, as_person):
    """No rule, factor, control or setting is left out."""
    version = actions.draft(agency=cast.agency, document=BASELINE.read_text(), by=cast.safety, at=NOON)
    shown = as_person(cast.diver).get(f"/protocols/{version.pk}/").content.decode()
    given = json.loads(BASELINE.read_text())
    rows = [row for section in sections(version.document) for row in section.rows]
    listed = ("rules", "factors", "combinations", "controls", "notes", "settings", "inputs", "lines", "waivers")
    assert len(rows) == sum(len(given[part]) for part in listed) + len(("recheck", "not_assessed")) + len(HEADING)
    numbers = [row for row in rows if row.place.section not in ("heading", "waivers", "not_assessed")]
    assert all(row.what and row.kind in ("published", "common practice", "agency's choice") for row in numbers)
    plain = html.unescape(shown)
    assert all(f'<span class="kind">{row.kind}</span> {row.source}</td>' in plain for row in numbers)
    assert all(row.value in plain and row.when in plain for row in rows)


def test_the_exported_document_is_the_adopted_one_to_the_letter(cast, as_person):
    """So that its digest can be checked elsewhere."""
    version = actions.draft(agency=cast.agency, document=BASELINE.read_text(), by=cast.safety, at=NOON)
    answer = as_person(cast.diver).get(f"/protocols/{version.pk}/document.json")
    assert answer.content == BASELINE.read_bytes()
    assert answer["Content-Disposition"] == 'attachment; filename="baseline-1.0.0.json"'


@pytest.mark.parametrize(
    "page", ["", "document.json", "proof/", "differences/", "start/", "adopt/", "entries/lines/rescue/"]
)
def test_a_neighbours_protocol_is_not_there(cast, as_person, page):
    """The same answer as for one that does not exist."""
    version = actions.draft(agency=cast.agency, document=BASELINE.read_text(), by=cast.safety, at=NOON)
    assert as_person(cast.neighbour_chief).get(f"/protocols/{version.pk}/{page}").status_code == 404


@pytest.mark.parametrize("who", ["supervisor", "diver"])
def test_others_draft_and_adopt_nothing_by_page(cast, as_person, who):
    """They read."""
    version = actions.draft(agency=cast.agency, document=BASELINE.read_text(), by=cast.safety, at=NOON)
    browser = as_person(cast.people[who])
    assert browser.post(f"/protocols/{version.pk}/adopt/").status_code == 403
    assert browser.post("/protocols/draft-baseline/").status_code == 403


def test_drafting_the_baseline_twice_says_that_it_is_there(cast, as_person):
    """The message names the version; there is still one."""
    browser = as_person(cast.safety)
    browser.post("/protocols/draft-baseline/")
    answer = browser.post("/protocols/draft-baseline/", follow=True)
    assert b"already exists" in answer.content
    assert ProtocolVersion.objects.count() == 1
