"""A bad document is refused with the place of its fault, and nothing of it is kept; a proof that gives up proves nothing."""

import json
from functools import partial

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from opsrisk import jobs
from opsrisk.engine.proof import prove
from opsrisk.protocols import actions
from opsrisk.protocols import jobs as proving
from opsrisk.protocols.models import ProtocolVersion
from opsrisk.protocols.shipped import BASELINE
from tests.cast import NOON
from tests.engine.protocols import GONE, changed, document

ICE = "inputs.`readings.ice_thickness`"
RULE = {"input": "readings.depth", "worse_than": "130"}


def ten_thousand_rules():
    made = document()
    made["rules"] = [made["rules"][0] | {"id": f"rule_{number}"} for number in range(10_000)]
    return json.dumps(made)


# What is wrong, the document, and the place that the page must name.
REFUSED = {
    "a number without a source": (changed("rules[0].source", GONE), "rules[0].source"),
    "a limit without a source": (changed("lines.rescue.source", GONE), "lines.rescue.source"),
    "an unknown factor": (changed("factors[0].input", "readings.moonlight"), "factors[0].input"),
    "a band that turns back": (changed("factors[0].points[2]", ["0.2", "5"]), "factors[0].points"),
    "bands that overlap": (changed("factors[2].points[1]", ["60", "3"]), "factors[2].points"),
    "an empty domain": (changed("inputs.`readings.current`.domain", ["20", "20"]), "inputs.readings.current.domain"),
    "a domain the wrong way round": (
        changed("inputs.`readings.current`.domain", ["20", "0"]),
        "inputs.readings.current.domain",
    ),
    "lines that cross": (changed("lines.divers.value", "46"), "lines"),
    "a limit in the wrong unit": (changed("rules[0].when", RULE | {"unit": "kn"}), "rules[0].when.worse_than.unit"),
    "points in the wrong unit": (changed("factors[0].unit", "ft"), "factors[0].points.unit"),
    "a setting in the wrong unit": (changed("settings.gas_rate.unit", "bar"), "settings.gas_rate.unit"),
    # A waiver is a name and a reason. One that leans on another, in a circle or not, cannot be written.
    "waivers in a circle": (
        changed("waivers", {"ice_not_yet_measured": {"waiver": "later"}, "later": {"waiver": "ice_not_yet_measured"}}),
        "waivers.ice_not_yet_measured",
    ),
    "a waiver that nobody wrote down": (changed(f"{ICE}.waiver", "later"), "inputs.readings.ice_thickness.waiver"),
    "an unknown taken for another unknown": (
        changed(f"{ICE}.assume", {"input": "readings.ice_thickness"}),
        "inputs.readings.ice_thickness.assume",
    ),
    "ten thousand rules": (ten_thousand_rules(), "document"),
}  # fmt: skip


@pytest.mark.parametrize("fault", REFUSED)
def test_a_document_that_is_no_protocol_is_refused_at_its_place(cast, as_person, fault):
    """By the page that brings it in, with what was given and what is accepted there."""
    text, place = REFUSED[fault]
    brought = SimpleUploadedFile("ours.json", text.encode())
    answer = as_person(cast.safety).post("/protocols/bring/", {"file": brought})
    assert answer.status_code == 422
    assert place in [named for named, _, _ in answer.context["faults"]]
    assert f"<code>{place}</code>: given".encode() in answer.content
    assert not ProtocolVersion.objects.exists()


def test_a_proof_that_the_solver_does_not_finish_proves_nothing(cast, as_person, monkeypatch):
    """The page says which properties are open and why; nobody can adopt."""
    monkeypatch.setattr(proving, "prove", partial(prove, patience=1_000))
    text = json.dumps(json.loads(BASELINE.read_text()) | {"version": "2"})
    version = actions.draft(agency=cast.agency, document=text, by=cast.safety, at=NOON)
    jobs.run(actions.PROVE, str(version.pk), version.digest)
    version.refresh_from_db()
    shown = as_person(cast.chief).get(f"/protocols/{version.pk}/").content
    assert b"Must hold, unfinished" in shown and b"did not finish within its limit: not proven" in shown
    with pytest.raises(actions.NotProven, match="one that does not hold"):
        actions.adopt(version=version, by=cast.chief, at=NOON, reason="In a hurry")
