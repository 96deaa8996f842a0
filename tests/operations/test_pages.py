"""Operations on the desk: an assessment is shown exactly as signed."""

import html
import json

import pytest

from opsrisk.ledger import chain, signing
from opsrisk.ledger.actions import SignedHead, head_holds
from opsrisk.operations import views
from opsrisk.operations.models import Assessment, Operation
from tests.cast import NOON, without_token
from tests.operations.sending import received, send, situation
from tests.operations.test_overrides import REASON, override, vehicle_first


def words(answer) -> str:
    return html.unescape(answer.content.decode())


def test_the_list_shows_the_decision_in_force(crew, as_person):
    """Not the superseded one."""
    first = received(crew)
    received(crew, situation(hazards__lightning="yes"), number=2, revision=2, previous=first.digest)
    shown = words(as_person(crew.diver).get("/operations/"))
    assert "Training at the quarry basin" in shown
    assert shown.count('class="verdict is-hold small"') == 1
    assert "is-divers" not in shown


def test_the_list_has_pages(crew, as_person, monkeypatch):
    """Newest first; a page that is not there is the last."""
    monkeypatch.setattr(views, "ON_A_PAGE", 2)
    for number in range(5):
        Operation.objects.create(
            agency=crew.agency, title=f"No. {number}", kind="rescue", called_at=NOON.replace(hour=number)
        )
    browser = as_person(crew.diver)
    assert "No. 4" in words(browser.get("/operations/"))
    assert "No. 0" in words(browser.get("/operations/?page=3"))
    assert "No. 0" in words(browser.get("/operations/?page=99"))
    assert "No. 4" in words(browser.get("/operations/?page=x"))


def test_the_page_of_an_operation_tells_what_was_done(crew, as_person):
    """Its assessments, and the ledger's entries about them."""
    received(crew)
    shown = words(as_person(crew.diver).get(f"/operations/{Operation.objects.get().pk}/"))
    assert "Revision 1" in shown
    assert "Ines Varga, receive record (entry" in shown


def test_two_current_revisions_are_pointed_out(crew, as_person):
    """A person has to decide."""
    received(crew)
    received(crew, situation(hazards__contamination="low"), number=2)
    assert "Two tablets decided apart" in words(as_person(crew.diver).get(f"/operations/{Operation.objects.get().pk}/"))


def test_closing_by_page(crew, as_person):
    """The outcome is asked for, kept, and not asked for again."""
    page = f"/operations/{received(crew).operation_id}/"
    browser = as_person(crew.supervisor)
    assert browser.post(page + "close/", {"outcome": ""}).status_code == 422
    assert browser.post(page + "close/", {"outcome": "Found"}).status_code == 302
    assert "Found" in words(browser.get(page))
    assert browser.post(page + "close/", {"outcome": "Again"}).status_code == 422


def test_an_assessment_is_shown_as_signed_even_when_the_engine_has_moved_on(crew, as_person, monkeypatch):
    """Nothing on the page is worked out anew."""
    stored = received(crew)

    def moved_on(*_, **__):
        raise AssertionError("the page asked the engine")

    monkeypatch.setattr("opsrisk.operations.actions.assess", moved_on)
    monkeypatch.setattr("opsrisk.assessment.assess._assess", moved_on)
    shown = words(as_person(crew.diver).get(f"/assessments/{stored.pk}/"))
    answer = json.loads(stored.record)["decision"]
    for expected in (
        answer["words"],
        answer["valid_until"],
        answer["rule"]["text"],
        stored.digest,
        *answer["not_assessed"],
    ):
        assert expected in shown
    for point in answer["points"]:
        assert point["label"] in shown


def test_name_role_meaning_and_time_of_every_signature_stand_there(crew, as_person):
    """All four, as signed."""
    shown = words(as_person(crew.diver).get(f"/assessments/{received(crew).pk}/"))
    row = shown[shown.index("Signatures") :]
    for expected in ("Ines Varga", "supervisor", "decided", "2026-06-01T14:00:00+00:00"):
        assert expected in row


def test_a_superseded_assessment_says_so(crew, as_person):
    """With the way to the one that replaced it."""
    first = received(crew)
    second = received(crew, number=2, revision=2, previous=first.digest)
    shown = words(as_person(crew.diver).get(f"/assessments/{first.pk}/"))
    assert f'Superseded by <a href="/assessments/{second.pk}/">revision 2' in shown


def test_the_export_proves_the_record_without_the_server(crew, as_person):
    """Digest, signature, countersigned receipt, entry, and the way from the entry to the signed head."""
    stored = received(crew)
    received(crew, number=2, revision=2, previous=stored.digest)
    bundle = json.loads(as_person(crew.diver).get(f"/assessments/{stored.pk}/record.json").content)
    leaf = chain.leaf_hash(bundle["ledger"]["entry"].encode())
    path = [bytes.fromhex(node) for node in bundle["ledger"]["path"]]
    head = bundle["ledger"]["head"]
    assert chain.verify_inclusion(leaf, bundle["ledger"]["index"], head["size"], path, bytes.fromhex(head["root"]))
    assert head_holds(SignedHead(**{name: head[name] for name in ("size", "root", "at", "key_id", "signature")}))
    assert head["key_id"] in bundle["server_keys"]
    assert stored.digest in bundle["ledger"]["entry"]
    assert bundle["server_keys"] == signing.public_keys()


@pytest.mark.parametrize("page", ["/operations/{op}/", "/assessments/{one}/", "/assessments/{one}/record.json"])
def test_a_neighbours_operation_is_not_there(crew, as_person, page):
    """Exactly as one that never was."""
    stored = received(crew)
    path = page.format(op=stored.operation_id, one=stored.pk)
    never = page.format(op="00000000-0000-4000-8000-00000000000a", one="00000000-0000-4000-8000-00000000000b")
    browser = as_person(crew.neighbour_chief)
    theirs, absent = browser.get(path), browser.get(never)
    assert theirs.status_code == absent.status_code == 404
    assert without_token(theirs) == without_token(absent)
    assert "Training" not in words(browser.get("/operations/"))


def test_an_override_stands_on_the_page_with_reason_and_name(crew, as_person):
    """For the chief."""
    send(crew, override(crew, vehicle_first()))
    shown = words(as_person(crew.chief).get(f"/assessments/{Assessment.objects.get().pk}/"))
    assert f"{REASON} (agreed by Oskar Lund)" in shown
