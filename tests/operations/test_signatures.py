"""A signature is its person's, over one record, with one meaning and time."""

import base64
import random
from datetime import timedelta

import pytest

from opsrisk.agencies import actions as agencies
from opsrisk.agencies.refusals import Refused
from opsrisk.assessment.record import canonical
from opsrisk.operations.checks import check_signatures
from opsrisk.operations.models import Assessment
from opsrisk.operations.records import Signed, read_body
from tests.cast import key_of, public_key_of
from tests.operations.sending import ASSESSED, RECEIVED, body, record, send, sign, signed


def refused_fields(crew, content) -> list[str]:
    with pytest.raises(Refused) as refused:
        send(crew, content)
    assert not Assessment.objects.exists()
    return [error[0] for error in refused.value.errors]


@pytest.mark.parametrize(
    "field, value",
    [
        ("meaning", "reviewed"),
        ("at", "2026-06-01T13:00:00+00:00"),
        ("role", "chief"),
        ("signature", base64.b64encode(bytes(64)).decode()),
        ("signature", "not base64"),
    ],
)
def test_nothing_signed_can_be_altered_afterwards(crew, field, value):
    """Meaning, time and role are under the signature as much as the record."""
    made = record(crew)
    decided = sign(made, crew.deputy)
    assert "signatures[1].signature" in refused_fields(
        crew, body(made, decided, sign(made, crew.supervisor) | {field: value})
    )


def test_a_signature_cannot_be_grafted_onto_another_record(crew):
    """It names the digest of its own."""
    signature = sign(record(crew), crew.supervisor)
    other = record(crew, number=2)
    assert refused_fields(crew, body(other, signature)) == ["signatures[0].record"]
    moved = signature | {"record": sign(other, crew.supervisor)["record"]}
    assert refused_fields(crew, body(other, moved)) == ["signatures[0].signature"]


def test_a_record_changed_after_signing_is_refused(crew):
    """What you see is what you signed."""
    made = record(crew)
    signature = sign(made, crew.supervisor)
    made["brief"]["task"] = "Something else"
    assert refused_fields(crew, body(made, signature)) == ["signatures[0].record"]


def test_one_person_cannot_sign_for_another(crew):
    """The key has to be theirs."""
    made = record(crew)
    act = {name: sign(made, crew.supervisor)[name] for name in ("record", "person", "name", "role", "meaning", "at")}
    forged = base64.b64encode(key_of(crew.diver).sign(canonical(act))).decode()
    mine = act | {"algorithm": "Ed25519", "public_key": public_key_of(crew.diver), "signature": forged}
    assert refused_fields(crew, body(made, mine)) == ["signatures[0].public_key"]


def test_nobody_signs_under_another_name(crew):
    """The printed name is the enrolled one."""
    made = record(crew)
    crew.supervisor.name = "Somebody Else"
    assert refused_fields(crew, body(made, sign(made, crew.supervisor))) == ["signatures[0].name"]


def test_a_member_cannot_decide(crew):
    """A supervisor or a chief does."""
    made = record(crew)
    assert refused_fields(crew, body(made, sign(made, crew.diver))) == ["signatures[0].meaning"]


def test_a_neighbour_cannot_sign(crew):
    """Signers are of the same agency."""
    made = record(crew)
    assert refused_fields(crew, body(made, sign(made, crew.neighbour_supervisor)))[0] == "signatures[0].person"


def test_somebody_has_to_have_decided(crew):
    """A briefing alone makes no assessment."""
    made = record(crew)
    assert refused_fields(crew, body(made, sign(made, crew.diver, "briefed"))) == ["signatures"]


def test_nobody_signs_the_same_thing_twice(crew):
    """Once each."""
    made = record(crew)
    signature = sign(made, crew.supervisor)
    assert refused_fields(crew, body(made, signature, signature)) == ["signatures"]


def test_a_signature_from_next_week_is_refused(crew):
    """A wrong zone is forgiven, a wrong week is not."""
    made = record(crew)
    later = sign(made, crew.supervisor, at=RECEIVED + timedelta(days=7))
    assert refused_fields(crew, body(made, later)) == ["signatures[0].at"]


def test_a_record_signed_before_its_signer_retired_is_taken(crew):
    """It only arrives late; one signed afterwards is refused."""
    made = record(crew)
    agencies.retire(person=crew.supervisor, by=crew.chief, at=ASSESSED + timedelta(minutes=5))
    after = sign(made, crew.supervisor, at=ASSESSED + timedelta(minutes=6))
    with pytest.raises(Refused, match="public_key"):
        send(crew, body(made, after), by=crew.deputy)
    assert send(crew, body(made, sign(made, crew.supervisor)), by=crew.deputy).status == 201


def test_flipping_any_byte_of_a_signed_body_is_detected(crew):
    """Ten thousand flips, every one refused (the record is read and verified, nothing else)."""
    content = signed(crew)
    people = {crew.supervisor.pk: crew.supervisor}
    chance = random.Random(20260601)
    for _ in range(10_000):
        place, bit = chance.randrange(len(content)), 1 << chance.randrange(8)
        bent = bytearray(content)
        bent[place] ^= bit
        with pytest.raises(Refused):
            made, signatures = read_body(bytes(bent))
            check_signatures(made, signatures, people, RECEIVED)
    check_signatures(*read_body(content), people, RECEIVED)


def test_the_signed_message_is_that_of_the_tablet(crew):
    """Six fields in canonical JSON; a known answer keeps both sides from drifting together."""
    signature = Signed(
        person=crew.supervisor.pk,
        name="Inés Varga",
        role="supervisor",
        meaning="decided",
        at=ASSESSED,
        at_text="2026-06-01T14:00:00+00:00",
        record="0" * 64,
        public_key="",
        signature="",
    )
    expected = (
        '{"at":"2026-06-01T14:00:00+00:00","meaning":"decided","name":"Inés Varga","person":"'
        + str(crew.supervisor.pk)
        + '","record":"'
        + "0" * 64
        + '","role":"supervisor"}'
    )
    assert signature.message() == expected.encode()
