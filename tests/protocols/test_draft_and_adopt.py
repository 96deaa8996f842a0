"""A protocol takes two people, a proof, and never changes afterwards."""

import json
from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction

from opsrisk.agencies.permissions import NotAllowed
from opsrisk.agencies.refusals import Refused
from opsrisk.engine import VERSION
from opsrisk.ledger.models import Entry
from opsrisk.protocols import actions
from opsrisk.protocols.models import NotAsStored, ProtocolVersion, protocol_in_force
from opsrisk.protocols.shipped import BASELINE, baseline
from tests.cast import NOON

TEXT = BASELINE.read_text()


def changed(**changes) -> str:
    """The baseline with other words or numbers; not proven by anybody."""
    return json.dumps(json.loads(TEXT) | {"version": "2.0.0"} | changes)


def proven(version) -> dict:
    """A result that says that the document of `version` holds."""
    return {"state": "done", "holds": True, "digest": version.digest, "engine": VERSION, "properties": []}


def adopt(version, **given):
    return actions.adopt(version=version, **{"at": NOON, "reason": "Agreed at the yearly review"} | given)


def draft(cast, document=TEXT, by=None, at=NOON):
    return actions.draft(agency=cast.agency, document=document, by=by or cast.safety, at=at)


def test_one_drafts_and_another_adopts(cast):
    """From then on it is in force, and both acts are in the ledger."""
    version = adopt(draft(cast), by=cast.chief)
    assert (version.state, version.author, version.adopted_by) == ("adopted", cast.safety, cast.chief)
    assert protocol_in_force(cast.agency, NOON) == version
    assert protocol_in_force(cast.neighbour, NOON) is None
    verbs = Entry.objects.about("protocols.protocolversion", str(version.pk)).values_list("verb", flat=True)
    assert list(verbs) == ["draft_protocol", "adopt_protocol"]


def test_nothing_is_in_force_before_it_was_adopted(cast):
    """An assessment of an earlier time has no protocol."""
    adopt(draft(cast), by=cast.chief)
    assert protocol_in_force(cast.agency, NOON - timedelta(seconds=1)) is None


def test_the_author_cannot_adopt(cast):
    """Two people, by name."""
    version = draft(cast)
    with pytest.raises(actions.SamePerson, match="Lena Okafor"):
        adopt(version, by=cast.safety)
    with pytest.raises(IntegrityError), transaction.atomic():
        state = {"state": "adopted", "adopted_by": cast.safety, "adopted_at": NOON, "effective_from": NOON}
        ProtocolVersion.objects.update(**state)


def test_a_changed_baseline_without_proof_is_refused(cast):
    """The reason says what is missing."""
    version = draft(cast, changed())
    unfinished = "proof: given 'one that has not finished yet', accepted the shipped baseline unchanged"
    with pytest.raises(actions.NotProven, match=unfinished):
        adopt(version, by=cast.chief)
    version.refresh_from_db()
    assert version.state == "draft"


@pytest.mark.parametrize(
    "proof, given",
    [
        (None, "none of this document"),
        ({"digest": "0" * 64}, "none of this document"),
        ({"holds": False}, "one that does not hold"),
        ({"holds": 1}, "one that does not hold"),
        ({"engine": "0.9"}, "one by engine 0.9"),
    ],
)
def test_a_proof_of_something_else_is_no_proof(cast, proof, given):
    """It has to be about this document, by the engine that decides, and to hold."""
    version = draft(cast, changed())
    version.proof = None if proof is None else proven(version) | proof
    version.save()
    with pytest.raises(actions.NotProven, match=given):
        adopt(version, by=cast.chief)


def test_a_proven_change_supersedes_the_version_in_force(cast):
    """The former one stays readable, and old times keep it."""
    former = adopt(draft(cast), by=cast.chief)
    version = draft(cast, changed())
    version.proof = proven(version)
    version.save()
    tomorrow = NOON + timedelta(days=1)
    adopt(version, by=cast.chief, effective_from=tomorrow)
    former.refresh_from_db()
    assert former.state == "superseded"
    assert protocol_in_force(cast.agency, NOON) == former
    assert protocol_in_force(cast.agency, tomorrow) == version


def test_no_adoption_reaches_into_the_past(cast):
    """What was decided stays decided."""
    with pytest.raises(Refused, match="effective_from"):
        adopt(draft(cast), by=cast.chief, effective_from=NOON - timedelta(hours=1))


def test_an_adoption_has_a_reason(cast):
    """Years later somebody asks why."""
    version = draft(cast)
    with pytest.raises(Refused, match="reason: given ' '"):
        adopt(version, by=cast.chief, reason=" ")
    assert adopt(version, by=cast.chief, reason=" Tried at three trainings ").reason == "Tried at three trainings"
    assert '"reason":"Tried at three trainings"' in Entry.objects.get(verb="adopt_protocol").detail


def test_what_was_looked_at_is_what_is_adopted(cast):
    """A page opened before the draft changed adopts nothing."""
    version = draft(cast)
    with pytest.raises(actions.Stale, match="the draft has changed since you opened it"):
        adopt(version, by=cast.chief, seen="0" * 64)
    assert adopt(version, by=cast.chief, seen=version.digest).state == "adopted"


def test_a_version_replaced_before_its_day_never_comes_in_force(cast):
    """Adopted for next week, replaced today: next week the later adoption still holds."""
    adopt(draft(cast), by=cast.chief)
    late, soon = draft(cast, changed()), draft(cast, changed(version="3.0.0"))
    for version in (late, soon):
        version.proof = proven(version)
        version.save()
    adopt(late, by=cast.chief, effective_from=NOON + timedelta(days=7))
    adopt(soon, by=cast.chief, at=NOON + timedelta(hours=1))
    assert protocol_in_force(cast.agency, NOON + timedelta(days=1)) == soon
    assert protocol_in_force(cast.agency, NOON + timedelta(days=8)) == soon


def test_a_stored_document_that_was_altered_is_not_used(cast):
    """Neither adopted nor decided by: its digest says so."""
    version = draft(cast)
    ProtocolVersion.objects.update(document=changed())
    version.refresh_from_db()
    with pytest.raises(NotAsStored, match=r"baseline 1\.0\.0: the stored document has the digest"):
        version.rules()
    with pytest.raises(Refused, match=r"document: given 'baseline 1\.0\.0: the stored document"):
        adopt(version, by=cast.chief)


def test_an_adopted_version_is_not_adopted_again(cast):
    """Only a draft is."""
    version = adopt(draft(cast), by=cast.chief)
    with pytest.raises(actions.NotADraft):
        adopt(version, by=cast.chief)


@pytest.mark.parametrize(
    "change",
    [
        {"document": "{}"},
        {"version": "9"},
        {"digest": "0" * 64},
        {"state": "draft"},
        {"adopted_at": NOON + timedelta(days=1)},
        {"effective_from": NOON - timedelta(days=9)},
        {"proof": {"holds": True}},
        {"reason": "another"},
        {"based_on": None, "author": None},
    ],
)
def test_the_database_refuses_to_change_an_adopted_version(cast, change):
    """Not by the application, not by hand."""
    adopt(draft(cast), by=cast.chief)
    with pytest.raises(IntegrityError), transaction.atomic():
        ProtocolVersion.objects.update(**change)


def test_the_database_refuses_to_delete_an_adopted_version(cast):
    """A draft may go."""
    version = draft(cast)
    version.delete()
    version = adopt(draft(cast), by=cast.chief)
    with pytest.raises(IntegrityError, match="never deleted"), transaction.atomic():
        version.delete()


@pytest.mark.parametrize("who", ["supervisor", "diver", "neighbour_chief"])
def test_others_draft_and_adopt_nothing(cast, who):
    """Only chief and safety officer of the same agency."""
    with pytest.raises(NotAllowed):
        draft(cast, by=cast.people[who])
    with pytest.raises(NotAllowed):
        adopt(draft(cast), by=cast.people[who])


@pytest.mark.parametrize(
    "document, field",
    [
        ("", "document.document"),
        ("[]", "document.document"),
        ('{"format": "opsrisk.protocol/1"}', "document.document"),
        (changed(lines={"divers": {"value": "-5", "source": {"kind": "agency"}}}), "document.lines"),
    ],
)
def test_a_bad_document_is_refused_by_place(cast, document, field):
    """Every fault is named; nothing is stored."""
    with pytest.raises(Refused) as refused:
        draft(cast, document)
    assert any(error[0].startswith(field) for error in refused.value.errors), refused.value.errors
    assert not ProtocolVersion.objects.exists()


def test_a_version_is_drafted_once(cast):
    """The next change takes the next version."""
    draft(cast)
    with pytest.raises(Refused, match="already exists"):
        draft(cast)


def test_the_digest_is_that_of_the_document(cast):
    """The engine names the same digest in its decisions."""
    assert draft(cast).digest == actions.digest(baseline().document)
