"""A job proves each document; the result is kept with it, and for it alone."""

import json

import pytest

from opsrisk import jobs
from opsrisk.agencies.permissions import NotAllowed
from opsrisk.engine import VERSION
from opsrisk.ledger.models import Entry
from opsrisk.protocols import actions
from opsrisk.protocols.models import ProtocolVersion
from opsrisk.protocols.places import Place
from opsrisk.protocols.shipped import BASELINE
from tests.cast import NOON

CHOICE = {"kind": "agency"}
# A rescue exemption that ends where the vehicle can no longer be launched: the higher the waves, the fewer reasons.
CALM_ONLY = {
    "effect": "trigger",
    "text": "Waves, while they are small",
    "when": {
        "all": [
            {"input": "readings.wave_height", "worse_than": "1", "unit": "ft"},
            {"not": {"input": "readings.wave_height", "worse_than": "3", "unit": "ft"}},
        ]
    },
}


@pytest.fixture
def version(cast):
    return actions.start_draft(
        agency=cast.agency, base=None, name="tarrow", version="1", title="Tarrow", by=cast.safety, at=NOON
    )


def edit(cast, version, place, value):
    return actions.edit_draft(version=version, place=place, value=value, source=CHOICE, by=cast.safety, at=NOON)


def prove(version):
    jobs.run(actions.PROVE, str(version.pk), version.digest)
    version.refresh_from_db()
    return version.proof


def test_a_draft_is_proven_and_then_adopted(cast, version):
    """Digest, engine, time and every property are kept; the ledger has the verdicts."""
    version = edit(cast, version, Place("lines", "rescue"), {"value": "60"})
    proof = prove(version)
    assert (proof["holds"], proof["digest"], proof["engine"]) == (True, version.digest, VERSION)
    assert [one["letter"] for one in proof["properties"]] == list("abcdefghi")
    assert all(one["verdict"] == "proven" and one["checked"] for one in proof["properties"])
    assert float(proof["seconds"]) > 0
    entry = Entry.objects.get(verb="prove_protocol")
    assert (entry.actor, json.loads(entry.detail)["properties"]["b"]) == ("system", "proven")
    assert actions.adopt(version=version, by=cast.chief, at=NOON, reason="Agreed").state == "adopted"


def test_a_counterexample_is_kept_as_two_situations(cast, version):
    """Side by side in the protocol's own units, with the decision of each."""
    version = edit(cast, version, Place("rules", "small_waves"), CALM_ONLY)
    proof = prove(version)
    assert proof["holds"] is False
    broken = next(one for one in proof["properties"] if one["letter"] == "b")
    shown = next(failure for failure in broken["failures"] if failure.get("sides"))
    label, first, second = shown["rows"][0]
    assert label == "Wave height" and first.endswith("ft") and second.endswith("ft")
    calm, rough = float(first.split()[0]), float(second.split()[0])
    assert 1 < calm <= 3 < rough
    before, after = shown["sides"]
    assert before["decision"] != after["decision"]
    assert "Waves, while they are small" in before["fired"]
    with pytest.raises(actions.NotProven, match="one that does not hold"):
        actions.adopt(version=version, by=cast.chief, at=NOON, reason="Anyway")


def test_a_result_for_a_former_document_is_dropped(cast, version):
    """The draft changed while the proof ran."""
    late = {"digest": version.digest, "engine": VERSION, "holds": True, "state": "done"}
    edited = edit(cast, version, Place("lines", "rescue"), {"value": "60"})
    assert not actions.keep_proof(version=version.pk, proof=late, at=NOON)
    jobs.run(actions.PROVE, str(version.pk), late["digest"])
    edited.refresh_from_db()
    assert edited.proof["state"] == "queued"


def test_a_prover_that_breaks_proves_nothing(cast, version, monkeypatch):
    """And says so, instead of waiting for ever."""

    def broken(rules):
        raise MemoryError("out of memory")

    monkeypatch.setattr("opsrisk.protocols.jobs.prove", broken)
    proof = prove(version)
    assert (proof["holds"], proof["state"], proof["why"]) == (False, "failed", "MemoryError: out of memory")
    assert not actions.is_proven(version)


def test_a_proof_that_does_not_finish_is_not_proven(cast, version, monkeypatch):
    """The solver's limit counts as no."""
    from opsrisk.engine.proof import prove as patient

    monkeypatch.setattr("opsrisk.protocols.jobs.prove", lambda rules: patient(rules, patience=1))
    proof = prove(version)
    assert proof["holds"] is False
    assert {one["verdict"] for one in proof["properties"]} & {"unfinished"}


def test_an_altered_document_is_not_proven(cast, version):
    """The digest of what is stored is not the one kept beside it."""
    document = json.loads(version.document)
    document["lines"]["rescue"]["value"] = "60"
    ProtocolVersion.objects.update(document=json.dumps(document))
    assert "NotAsStored" in prove(version)["why"]


def test_drafts_that_wait_are_found_again(cast, version):
    """Whoever proved them was killed."""
    waiting = list(jobs.registry()[actions.PROVE].left_over())
    assert waiting == [(str(version.pk), version.digest)]
    prove(version)
    assert list(jobs.registry()[actions.PROVE].left_over()) == []


def test_a_proof_is_asked_for_again(cast, version):
    """By those who may draft; not by others."""
    with pytest.raises(NotAllowed):
        actions.ask_for_proof(version=version, by=cast.diver, at=NOON)
    prove(version)
    assert actions.ask_for_proof(version=version, by=cast.chief, at=NOON).proof["state"] == "queued"


def test_an_adopted_version_is_not_proven_again(cast):
    """Its result stands as it was adopted."""
    version = actions.draft(agency=cast.agency, document=BASELINE.read_text(), by=cast.safety, at=NOON)
    actions.adopt(version=version, by=cast.chief, at=NOON, reason="The start")
    with pytest.raises(actions.NotADraft):
        actions.ask_for_proof(version=version, by=cast.chief, at=NOON)
    assert prove(version) is None
