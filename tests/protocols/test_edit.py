"""A draft is started from a version, edited entry by entry by its author, and thrown away by nobody else."""

import json

import pytest

from opsrisk.agencies.permissions import NotAllowed
from opsrisk.agencies.refusals import Refused
from opsrisk.ledger.models import Entry
from opsrisk.protocols import actions
from opsrisk.protocols.models import ProtocolVersion
from opsrisk.protocols.places import Place, entry_at, places, read_place
from opsrisk.protocols.shipped import BASELINE
from tests.cast import NOON

CHOICE = {"kind": "agency", "note": "asked for by the divers"}
LINE = Place("lines", "rescue")
BAD_DEPTH = {"input": "readings.depth", "unit": "kn", "points": [["20", "0"]]}
SHALLOW = {"unit": "ft", "domain": ["0", "50"]}


@pytest.fixture
def version(cast):
    return actions.start_draft(
        agency=cast.agency, base=None, name="tarrow", version="1", title="Tarrow", by=cast.safety, at=NOON
    )


def edit(cast, version, place=LINE, value=None, source=CHOICE, **given):
    value = {"value": "60"} if value is None and "remove" not in given else value
    given.pop("remove", None)
    return actions.edit_draft(
        version=version, place=place, value=value, source=source, **{"by": cast.safety, "at": NOON} | given
    )


def at(version, place):
    return entry_at(json.loads(version.document), place)


def test_a_draft_starts_from_the_shipped_baseline_under_its_own_name(cast, version):
    """Everything but the heading is as it was."""
    heading = {
        "id": "tarrow",
        "version": "1",
        "title": "Tarrow",
        "author": "Lena Okafor",
        "effective_from": "2026-06-01",
    }
    assert json.loads(version.document) == json.loads(BASELINE.read_text()) | heading
    assert version.proof["state"] == "queued"


def test_a_draft_starts_from_another_persons_draft(cast, version):
    """Who may not edit one makes the next; what it came from is kept."""
    second = actions.start_draft(
        agency=cast.agency, base=version, name="tarrow", version="2", title="Tarrow", by=cast.chief, at=NOON
    )
    assert (second.based_on, second.author) == (version, cast.chief)
    assert (
        f'"based_on":"{version.digest}"'
        in Entry.objects.about("protocols.protocolversion", str(second.pk)).get().detail
    )


def test_a_neighbours_version_starts_no_draft_here(cast, version):
    """Not even by its key."""
    with pytest.raises(NotAllowed):
        actions.start_draft(
            agency=cast.neighbour, base=version, name="x", version="1", title="x", by=cast.neighbour_chief, at=NOON
        )


def test_an_edit_makes_a_new_document_with_a_new_digest(cast, version):
    """One entry differs; the proof of the former document no longer counts."""
    former = version.digest
    edited = edit(cast, version)
    assert at(edited, LINE) == {"value": "60", "source": CHOICE}
    assert edited.digest not in (former, None)
    assert edited.proof["digest"] == edited.digest
    expected = json.loads(version.document)
    expected["lines"]["rescue"] = {"value": "60", "source": CHOICE}
    assert json.loads(edited.document) == expected


def test_the_ledger_keeps_what_an_entry_was_and_is(cast, version):
    """The history of a number is read there."""
    edit(cast, version)
    detail = json.loads(Entry.objects.get(verb="edit_protocol").detail)
    assert (detail["place"], detail["was"]["value"], detail["is"]["value"]) == ("lines/rescue", "65", "60")


def test_an_edit_that_changes_nothing_leaves_the_proof_alone(cast, version):
    """Saving a form unchanged is no edit."""
    before = at(version, LINE)
    same = edit(cast, version, value={"value": before["value"]}, source=before["source"])
    assert same.digest == version.digest
    assert not Entry.objects.filter(verb="edit_protocol").exists()


def test_an_entry_is_added_and_removed(cast, version):
    """A new rule stands after the others; without it the document is the former one again."""
    when = {"input": "readings.depth", "worse_than": "90", "unit": "ft"}
    place = Place("rules", "deeper_than_we_like")
    value = {"effect": "trigger", "text": "Deeper than we like", "when": when}
    added = edit(cast, version, place, value)
    assert json.loads(added.document)["rules"][-1] == {"id": place.id, **value, "source": CHOICE}
    removed = edit(cast, added, place, remove=True)
    assert json.loads(removed.document) == json.loads(version.document)


def test_a_limit_is_abolished_with_a_note_not_forgotten(cast, version):
    """An omission and an abolition differ."""
    place = Place("rules", "deep")
    place = place if at(version, place) else Place("rules", json.loads(version.document)["rules"][-1]["id"])
    value = {k: v for k, v in at(version, place).items() if k not in ("id", "source")}
    with pytest.raises(Refused, match="note"):
        edit(cast, version, place, value | {"when": None})
    done = edit(cast, version, place, value | {"when": None, "note": "no limit: asked of counsel"})
    assert at(done, place)["when"] is None


@pytest.mark.parametrize(
    "given, field",
    [
        ((LINE, {"value": "sixty"}, CHOICE), "document.lines.rescue"),
        ((LINE, {"value": "60"}, {"kind": "hearsay"}), "document.lines.rescue.source.kind"),
        ((LINE, {"value": "60"}, {"kind": "published"}), "document.lines.rescue.source.document"),
        ((LINE, {"value": "60"}, None), "document.lines.rescue.source"),
        ((LINE, {"value": "30"}, CHOICE), "document.lines"),
        ((Place("factors", "depth"), BAD_DEPTH, CHOICE), "document.factors[2]"),
        ((Place("inputs", "readings.depth"), SHALLOW, CHOICE), "document.inputs.readings.depth.domain"),
        ((Place("lines", "another"), {"value": "1"}, CHOICE), "place"),
        ((Place("rules", "Not An Id"), {"text": "x"}, CHOICE), "id"),
        ((Place("waivers", "ice_not_yet_measured"), None, None), "document.inputs.readings.ice_thickness.waiver"),
        ((Place("lines", "rescue"), None, None), "place"),
    ],
)
def test_a_bad_edit_is_refused_by_place_and_changes_nothing(cast, version, given, field):
    """With what was given and what is accepted."""
    with pytest.raises(Refused) as refused:
        edit(cast, version, *given, **({"remove": True} if given[1] is None else {}))
    assert [error for error in refused.value.errors if error[0].startswith(field)], refused.value.errors
    version.refresh_from_db()
    assert at(version, LINE)["value"] == "65"


def test_two_windows_do_not_overwrite_each_other(cast, version):
    """The second edit was made looking at what no longer stands."""
    edit(cast, version, seen=version.digest)
    with pytest.raises(actions.Stale):
        edit(cast, version, value={"value": "50"}, seen=version.digest)


def test_only_the_author_edits_and_discards(cast, version):
    """So that author and adopter of every number are two people."""
    with pytest.raises(actions.NotTheAuthor, match="Lena Okafor; start a draft of your own"):
        edit(cast, version, by=cast.chief)
    with pytest.raises(actions.NotTheAuthor):
        actions.discard_draft(version=version, by=cast.chief, at=NOON)
    with pytest.raises(NotAllowed):
        edit(cast, version, by=cast.supervisor)
    with pytest.raises(NotAllowed):
        edit(cast, version, by=cast.neighbour_chief)


def test_an_adopted_version_is_neither_edited_nor_discarded(cast):
    """By the action; the database refuses as well."""
    version = actions.draft(agency=cast.agency, document=BASELINE.read_text(), by=cast.safety, at=NOON)
    actions.adopt(version=version, by=cast.chief, at=NOON, reason="The start")
    with pytest.raises(actions.NotADraft):
        edit(cast, version)
    with pytest.raises(actions.NotADraft):
        actions.discard_draft(version=version, by=cast.safety, at=NOON)


def test_a_discarded_draft_is_gone_and_the_ledger_has_its_document(cast, version):
    """Nothing vanishes without a trace; what others were started from stays."""
    second = actions.start_draft(
        agency=cast.agency, base=version, name="tarrow", version="2", title="T", by=cast.chief, at=NOON
    )
    with pytest.raises(Refused, match="from which no other version was started"):
        actions.discard_draft(version=version, by=cast.safety, at=NOON)
    actions.discard_draft(version=second, by=cast.chief, at=NOON)
    assert ProtocolVersion.objects.get() == version
    kept = json.loads(Entry.objects.get(verb="discard_protocol").detail)
    assert json.loads(kept["document"])["version"] == "2"


def test_a_document_has_a_largest_size(cast):
    """Before anything is read."""
    with pytest.raises(Refused, match="at most 400000"):
        actions.draft(agency=cast.agency, document=" " * 400_001, by=cast.safety, at=NOON)


def test_every_entry_of_the_baseline_has_a_place(version):
    """Each can be found again by it, and read from an address."""
    document = json.loads(version.document)
    found = list(places(document))
    parts = ("lines", "factors", "combinations", "rules", "controls", "notes", "settings", "inputs", "waivers")
    assert len(found) == sum(len(document[part]) for part in parts) + len(("recheck", "not_assessed")) + 4
    assert all(entry_at(document, place) is not None and read_place(str(place)) == place for place in found)
