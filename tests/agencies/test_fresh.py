"""A fresh factor is asked only of those who may do what it is asked for."""

from uuid import UUID

import pytest
from django.urls import reverse

from opsrisk.briefing.models import Archive
from opsrisk.operations.models import Photo
from opsrisk.protocols import actions as protocols
from opsrisk.protocols.shipped import BASELINE
from tests.cast import NOON, PASSWORD
from tests.operations import sending
from tests.records.old import asked_for

FRESH = {
    "change_role": ("diver", {"chief"}),
    "review_csv": ("", {"chief", "safety"}),
    "dives_csv": ("", {"chief", "safety"}),
    "person_dives_csv": ("diver", {"chief", "safety", "diver"}),
    "review_spreadsheet": ("", {"chief", "safety"}),
    "ask_purge": ("", {"chief", "safety"}),
    "agree_purge": ("purge", {"chief", "safety"}),
    "set_retention": ("", {"chief"}),
    "import_operations": ("", {"chief", "safety"}),
    "import_template": ("", {"chief", "safety"}),
    "second_factor": ("", {"chief"}),
    "void_record": ("record", {"chief", "safety", "supervisor", "deputy"}),
    "assessment_record": ("record", {"chief", "safety", "supervisor", "deputy", "diver"}),
    "archives": ("operation", {"chief", "safety"}),
    "archive_file": ("archive", {"chief", "safety"}),
    "adopt_protocol": ("draft", {"chief", "safety"}),
    "photo_original": ("photo", {"chief", "safety"}),
}


@pytest.fixture
def things(cast):
    """One of each, by name."""
    sending.adopt_baseline(cast)
    stored = sending.received(cast)
    photo = Photo.objects.create(
        id=UUID(int=7), operation=stored.operation, size=1, taken_at=NOON, sent_by=cast.diver, announced_at=NOON,
        received_at=NOON,
    )  # fmt: skip
    archive = Archive.objects.create(
        operation=stored.operation, reason="For the county coroner", asked_by=cast.chief, asked_at=NOON
    )
    text = BASELINE.read_text().replace('"version": "1.0.0"', '"version": "1.0.1"', 1)
    draft = protocols.draft(agency=cast.agency, document=text, by=cast.safety, at=NOON)
    found = {"diver": cast.diver, "record": stored, "operation": stored.operation, "draft": draft, "photo": photo}
    return found | {"archive": archive, "purge": asked_for(cast, stored.operation)}


@pytest.mark.parametrize("name", FRESH)
def test_what_is_not_theirs_is_refused_before_a_factor_is_asked_for(cast, as_person, things, name):
    """404 from elsewhere, 403 for who may not, and only who may is asked: nobody confirms for nothing."""
    of, may = FRESH[name]
    page = reverse(name, args=[things[of].pk] if of else [])
    for who in ("supervisor", "deputy", "diver", "chief", "safety", "neighbour_chief"):
        cast.people[who].set_password(PASSWORD)
        cast.people[who].save()
        browser = as_person(cast.people[who])
        answer = browser.post(page) if name == "photo_original" else browser.get(page)
        if who == "neighbour_chief" and of:
            assert answer.status_code == 404, who
        elif who in may or who == "neighbour_chief":
            assert (
                answer.status_code in {302, 401}
                and b"reauthenticate" in answer.content + answer.get("Location", "").encode()
            ), who
        else:
            assert answer.status_code == 403, who
