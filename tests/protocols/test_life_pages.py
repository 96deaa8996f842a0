"""Started, brought in, proven, adopted: each page with its refusals, and nothing typed is lost."""

import json
from datetime import timedelta

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from opsrisk import jobs
from opsrisk.protocols import actions
from opsrisk.protocols.models import ProtocolVersion, protocol_in_force
from opsrisk.protocols.places import Place
from opsrisk.protocols.shipped import BASELINE
from tests.cast import NOON, PASSWORD
from tests.operations.sending import adopt_baseline

CHOICE = {"kind": "agency"}


@pytest.fixture
def version(cast):
    return actions.start_draft(
        agency=cast.agency, base=None, name="tarrow", version="1", title="Tarrow", by=cast.safety, at=NOON
    )


def prove(version):
    jobs.run(actions.PROVE, str(version.pk), version.digest)
    version.refresh_from_db()


def given(version, **changes):
    return {
        "effective_from": f"{timezone.now():%Y-%m-%d}",
        "reason": "Tried at trainings",
        "seen": version.digest,
    } | changes


def signed_in(client_of, person):
    person.set_password(PASSWORD)
    person.save()
    return client_of(person)


def test_a_draft_starts_from_the_version_in_force(cast, as_person):
    """The form proposes the agency's name and a version; a name that is taken is refused and stays typed."""
    base = adopt_baseline(cast)
    browser = as_person(cast.safety)
    assert b'value="tarrow"' in browser.get(f"/protocols/{base.pk}/start/").content
    asked = {"name": "tarrow", "version": "1", "title": "Our own"}
    page = browser.post(f"/protocols/{base.pk}/start/", asked)["Location"]
    made = ProtocolVersion.objects.get(protocol_id="tarrow")
    assert (page, made.based_on, made.author) == (f"/protocols/{made.pk}/", base, cast.safety)
    again = browser.post(f"/protocols/{base.pk}/start/", asked)
    assert (again.status_code, b"already exists" in again.content, b"Our own" in again.content) == (422, True, True)
    assert b'value="2"' in browser.get(f"/protocols/{made.pk}/start/").content


def test_a_document_goes_out_and_comes_back_the_same(cast, as_person, version):
    """Export, another version, import: the digest is that of the document."""
    text = as_person(cast.diver).get(f"/protocols/{version.pk}/document.json").content.decode()
    other = json.dumps(json.loads(text) | {"version": "2"})
    page = as_person(cast.chief).post("/protocols/bring/", {"document": other})["Location"]
    made = ProtocolVersion.objects.get(version="2")
    assert (page, made.author, made.document) == (f"/protocols/{made.pk}/", cast.chief, other)
    changes = as_person(cast.diver).get(f"/protocols/{made.pk}/differences/?with={version.pk}").content
    assert b"1 entry differs" in changes


def test_a_document_comes_as_a_file(cast, as_person):
    """The file counts where both are given."""
    text = json.dumps(json.loads(BASELINE.read_text()) | {"version": "filed"})
    brought = SimpleUploadedFile("protocol.json", text.encode())
    assert as_person(cast.safety).post("/protocols/bring/", {"file": brought, "document": "{}"}).status_code == 302
    assert ProtocolVersion.objects.get().version == "filed"


def test_a_bad_document_is_refused_with_each_fault_and_stays_in_the_field(cast, as_person):
    """Place, given, accepted; nothing entered is lost."""
    broken = json.loads(BASELINE.read_text())
    broken["rules"][3]["effect"] = "panic"
    broken["lines"]["rescue"]["value"] = "many"
    text = json.dumps(broken)
    answer = as_person(cast.safety).post("/protocols/bring/", {"document": text})
    shown = answer.content.decode()
    assert answer.status_code == 422
    assert "2 faults" in shown and "rules[3].effect" in shown and "lines.rescue" in shown
    assert text.replace('"', "&quot;").replace("'", "&#x27;").replace("<", "&lt;").replace(">", "&gt;") in shown
    assert not ProtocolVersion.objects.exists()


@pytest.mark.parametrize("text", ["", "{", "[]", "\ud800", "not JSON <script>"])
def test_what_is_no_document_at_all_is_refused(cast, as_person, text):
    """And what was sent is shown as text."""
    answer = as_person(cast.safety).post("/protocols/bring/", {"document": text.encode("utf-8", "replace").decode()})
    assert answer.status_code == 422
    assert b"<script>" not in answer.content


def test_a_file_that_is_no_text_is_refused(cast, as_person):
    """Bytes of anything else."""
    brought = SimpleUploadedFile("photo.jpg", bytes(range(256)))
    assert as_person(cast.safety).post("/protocols/bring/", {"file": brought}).status_code == 422


def test_adoption_asks_for_the_password_anew(cast, as_person, version):
    """Signed in is not enough, and the confirmation is good for five minutes."""
    prove(version)
    browser = signed_in(as_person, cast.chief)
    page = f"/protocols/{version.pk}/adopt/"
    asked = browser.get(page)
    assert asked["Location"].startswith("/accounts/reauthenticate/")
    browser.post("/accounts/reauthenticate/", {"password": PASSWORD})
    assert browser.get(page).status_code == 200
    with time_machine.travel(timezone.now() + timedelta(minutes=5, seconds=1)):
        late = browser.post(page, given(version))
        assert late.status_code == 401
        assert "Tried at trainings" in late.content.decode()
        version.refresh_from_db()
        assert version.state == "draft"
        browser.post("/accounts/reauthenticate/", {"password": "not the password"})
        assert browser.post(page, given(version)).status_code == 401
        browser.post("/accounts/reauthenticate/", {"password": PASSWORD})
        assert browser.post(page, given(version)).status_code == 302
    version.refresh_from_db()
    assert (version.state, version.adopted_by, version.reason) == ("adopted", cast.chief, "Tried at trainings")


def test_the_page_of_adoption_shows_what_is_adopted(cast, as_person, version):
    """Differences from what is in force, the proof, the waivers, the digest."""
    adopt_baseline(cast)
    line = Place("lines", "rescue")
    version = actions.edit_draft(
        version=version, place=line, value={"value": "60"}, source=CHOICE, by=cast.safety, at=NOON
    )
    prove(version)
    shown = as_person(cast.chief).get(f"/protocols/{version.pk}/adopt/").content.decode()
    for part in (
        "65 points",
        "60",
        "all nine properties hold",
        "ice_not_yet_measured",
        version.digest,
        "As it was"[:0],
    ):
        assert part in shown


def test_an_adoption_of_what_has_changed_since_is_refused(cast, as_person, version):
    """The reason stays typed; the page shows the document as it is now."""
    prove(version)
    answer = as_person(cast.chief).post(f"/protocols/{version.pk}/adopt/", given(version, seen="0" * 64))
    assert answer.status_code == 409
    shown = answer.content.decode()
    assert "look again" in shown and "Tried at trainings" in shown and f'value="{version.digest}"' in shown


@pytest.mark.parametrize(
    "wrong", [{"reason": " "}, {"effective_from": ""}, {"effective_from": "2001-01-01"}, {"seen": ""}]
)
def test_an_incomplete_adoption_is_refused(cast, as_person, version, wrong):
    """No reason, no day, a day gone by."""
    prove(version)
    answer = as_person(cast.chief).post(f"/protocols/{version.pk}/adopt/", given(version, **wrong))
    assert (answer.status_code, b"There is a problem" in answer.content) == (422, True)
    version.refresh_from_db()
    assert version.state == "draft"


def test_a_later_day_begins_with_its_first_minute_there(cast, as_person, version):
    """By the agency's clock, not by the server's."""
    cast.agency.time_zone = "America/Los_Angeles"
    cast.agency.save()
    prove(version)
    day = timezone.now() + timedelta(days=3)
    as_person(cast.chief).post(f"/protocols/{version.pk}/adopt/", given(version, effective_from=f"{day:%Y-%m-%d}"))
    version.refresh_from_db()
    assert version.effective_from.hour in (7, 8)  # midnight there, in summer and in winter
    assert protocol_in_force(cast.agency, version.effective_from - timedelta(seconds=1)) is None
    assert protocol_in_force(cast.agency, version.effective_from) == version


def test_the_author_has_no_way_to_adopt(cast, as_person, version):
    """Neither offered nor accepted."""
    prove(version)
    browser = as_person(cast.safety)
    assert b"somebody else adopts it" in browser.get(f"/protocols/{version.pk}/").content
    answer = browser.post(f"/protocols/{version.pk}/adopt/", given(version))
    assert (answer.status_code, b"somebody other than the author" in answer.content) == (422, True)


def test_the_page_waits_for_the_proof_and_then_shows_it(cast, as_person, version):
    """Only while it waits does the part ask again by itself."""
    browser = as_person(cast.safety)
    part = browser.get(f"/protocols/{version.pk}/proof/").content
    assert b"Being proven" in part and b"hx-get" in part
    prove(version)
    part = browser.get(f"/protocols/{version.pk}/proof/").content
    assert b"all nine properties hold" in part and b"hx-get" not in part


def test_an_altered_document_says_hold(cast, as_person, version):
    """It is shown, and not used."""
    ProtocolVersion.objects.update(document=version.document.replace('"65"', '"64"'))
    shown = as_person(cast.chief).get(f"/protocols/{version.pk}/").content
    assert b"Not used: hold" in shown


def test_a_proof_is_asked_for_again_by_page(cast, as_person, version):
    """After the prover broke."""
    actions.keep_proof(version=version.pk, proof=broken_proof(version), at=NOON)
    browser = as_person(cast.chief)
    assert b"The prover broke" in browser.get(f"/protocols/{version.pk}/").content
    assert browser.post(f"/protocols/{version.pk}/prove/").status_code == 302
    version.refresh_from_db()
    assert version.proof["state"] == "queued"
    assert as_person(cast.diver).post(f"/protocols/{version.pk}/prove/").status_code == 403


def broken_proof(version):
    from opsrisk.protocols.proofs import failed

    return failed(version.digest, "MemoryError: out of memory", NOON)


def test_discarding_by_page(cast, as_person, version):
    """By its author; others read why not."""
    assert as_person(cast.chief).post(f"/protocols/{version.pk}/discard/").status_code == 422
    assert as_person(cast.safety).post(f"/protocols/{version.pk}/discard/")["Location"] == "/protocols/"
    assert not ProtocolVersion.objects.exists()
