"""A tablet's record is stored once, to the letter, decided again and countersigned."""

import json
from datetime import timedelta

import pytest

from opsrisk.agencies.models import Agency
from opsrisk.agencies.permissions import NotAllowed
from opsrisk.agencies.refusals import Refused
from opsrisk.assessment.record import canonical
from opsrisk.ledger.models import Entry
from opsrisk.operations import actions
from opsrisk.operations.countersigned import receipt_holds
from opsrisk.operations.models import Assessment, Operation, Receipt, Signature
from tests.operations.sending import ASSESSED, RECEIVED, body, decision, record, send, sign, signed, situation


def test_a_record_opens_its_operation_and_is_kept_to_the_letter(crew):
    """The stored text is the canonical record, byte for byte."""
    made = record(crew)
    answer = send(crew, body(made, sign(made, crew.supervisor)))
    assert (answer.status, answer.replayed) == (201, False)
    stored = Assessment.objects.get()
    assert stored.record == canonical(made).decode()
    assert (stored.made_by, stored.received_by, stored.received_at) == (crew.supervisor, crew.supervisor, RECEIVED)
    assert (stored.decision, stored.chosen_decision, stored.own_decision) == ("divers", "divers", "divers")
    operation = Operation.objects.get()
    assert (operation.agency, operation.site, operation.kind) == (crew.agency, crew.site, "training")


def test_the_server_decides_again_and_agrees(crew):
    """With the same code it finds the same document."""
    answer = json.loads(send(crew, signed(crew)).response)
    assert (answer["differs"], answer["differs_in"], answer["server_decision"]) == (False, [], "divers")
    assert json.loads(Assessment.objects.get().server_document) == decision(situation())


def test_a_difference_is_flagged_with_its_parts_and_kept(crew):
    """What the crew had in hand stays; the difference is in receipt, row and ledger."""
    made = record(crew)
    made["decision"] |= {"score": made["decision"]["score"] + 7}
    answer = json.loads(send(crew, body(made, sign(made, crew.supervisor))).response)
    assert (answer["differs"], answer["differs_in"]) == (True, ["score"])
    assert answer["warnings"][0]["id"] == "differs"
    assert Assessment.objects.get().differs
    assert '"differs_in":["score"]' in Entry.objects.get(verb="receive_record").detail


def test_the_receipt_is_countersigned_and_names_the_ledger_entry(crew):
    """Altering any of it breaks the server's signature."""
    answer = json.loads(send(crew, signed(crew)).response)
    assert receipt_holds(answer)
    assert answer["digest"] == Assessment.objects.get().digest
    assert Entry.objects.get(index=answer["entry"]).subject_id == answer["id"]
    for field, value in (("digest", "0" * 64), ("entry", answer["entry"] + 1), ("received_at", ASSESSED.isoformat())):
        assert not receipt_holds(answer | {field: value})


def test_every_signature_is_stored_with_name_role_meaning_and_time(crew):
    """As they were at that moment."""
    made = record(crew)
    send(crew, body(made, sign(made, crew.supervisor), sign(made, crew.diver, "briefed")))
    rows = Signature.objects.order_by("meaning").values_list("name", "role", "meaning", "at", "verified_at")
    assert list(rows) == [
        ("Mara Quill", "member", "briefed", ASSESSED, RECEIVED),
        ("Ines Varga", "supervisor", "decided", ASSESSED, RECEIVED),
    ]


def test_receiving_writes_one_ledger_entry_in_the_same_transaction(crew, monkeypatch):
    """When the entry fails nothing is stored, and the key is free again."""
    content = signed(crew)

    def fail(**_):
        raise RuntimeError("disk full")

    monkeypatch.setattr(actions, "enter", fail)
    with pytest.raises(RuntimeError):
        send(crew, content)
    assert not Assessment.objects.exists()
    assert not Receipt.objects.exists()
    monkeypatch.undo()
    assert send(crew, content).status == 201
    assert Entry.objects.filter(verb="receive_record").count() == 1


def test_a_failing_engine_stores_nothing(crew, monkeypatch):
    """Cannot assess is never a pass."""

    def fail(*_):
        raise RuntimeError("engine fault")

    monkeypatch.setattr(actions, "assess", fail)
    with pytest.raises(RuntimeError, match="engine fault"):
        send(crew, signed(crew))
    assert not Assessment.objects.exists()


@pytest.mark.parametrize("who", ["diver", "safety"])
def test_others_send_no_records(crew, who):
    """Supervisors and chiefs do."""
    with pytest.raises(NotAllowed):
        send(crew, signed(crew), by=crew.people[who])


def test_a_record_under_a_protocol_that_was_never_adopted_is_refused(crew):
    """The message names the field."""
    made = record(crew)
    made["decision"] |= {"protocol": made["decision"]["protocol"] | {"digest": "0" * 64}}
    with pytest.raises(
        Refused, match=r"record\.decision\.protocol\.digest: given .* accepted the digest of a protocol"
    ):
        send(crew, body(made, sign(made, crew.supervisor)))


def test_a_neighbours_operation_cannot_be_joined(crew):
    """Its id is refused as if it were anybody's mistake."""
    stranger = Agency.objects.get(slug="ellmere")
    Operation.objects.create(
        id=record(crew)["operation"]["id"], agency=stranger, title="Theirs", kind="rescue", called_at=ASSESSED
    )
    with pytest.raises(Refused, match=r"record\.operation\.id"):
        send(crew, signed(crew))
    assert not Assessment.objects.exists()


def test_a_neighbours_site_is_refused(crew):
    """As one that does not exist."""
    crew.site.agency = crew.neighbour
    crew.site.save()
    with pytest.raises(Refused, match=r"record\.operation\.site"):
        send(crew, signed(crew))


def test_the_same_answers_under_another_id_are_flagged(crew):
    """Two tablets, or one that forgot: a person looks."""
    send(crew, signed(crew), key="k1")
    answer = json.loads(send(crew, signed(crew, number=2), key="k2").response)
    assert "same_content" in [warning["id"] for warning in answer["warnings"]]


def test_signing_after_the_decision_ceased_to_hold_is_flagged(crew):
    """It is kept all the same."""
    made = record(crew)
    late = ASSESSED + timedelta(hours=10)
    answer = json.loads(send(crew, body(made, sign(made, crew.supervisor, at=late)), at=late).response)
    assert "signed_after_valid_until" in [warning["id"] for warning in answer["warnings"]]


def test_a_record_made_before_the_protocol_was_in_force_is_flagged(crew):
    """An agency's rules have a beginning."""
    early = situation(assessed_at="2026-05-01T12:00:00+00:00")
    early["readings"] = {name: entry | {"at": early["assessed_at"]} for name, entry in early["readings"].items()}
    answer = json.loads(send(crew, signed(crew, early)).response)
    assert "protocol_not_in_force" in [warning["id"] for warning in answer["warnings"]]
