"""Who answers for the no-stop tables stands where a protocol is read, and where two are compared."""

import html
import json

from opsrisk.physics.no_stop import DIGEST
from opsrisk.protocols import actions
from opsrisk.protocols.compare import compare
from opsrisk.protocols.shipped import BASELINE
from tests.assessment.test_no_stop_decides import ADOPTION, document
from tests.cast import NOON


def shown(cast, as_person, text):
    text = json.dumps(json.loads(text) | {"version": f"9.{len(text)}.0"})
    version = actions.draft(agency=cast.agency, document=text, by=cast.safety, at=NOON)
    return html.unescape(as_person(cast.diver).get(f"/protocols/{version.pk}/").content.decode())


def test_an_adoption_is_shown_with_person_day_and_altitude(cast, as_person):
    """And with the digest of what was compared."""
    page = shown(cast, as_person, document())
    for words in (ADOPTION["person"], ADOPTION["on"], "250 ft", DIGEST):
        assert words in page
    assert "Other tables were compared" not in page
    assert "Not adopted" not in page


def test_no_adoption_is_said_too(cast, as_person):
    """With the digest that an agency would name."""
    page = shown(cast, as_person, BASELINE.read_text())
    assert "Not adopted: no plan gives a no-stop time" in page
    assert DIGEST in page


def test_an_adoption_of_other_tables_is_said(cast, as_person):
    """The computation refuses it; the page says why."""
    page = shown(cast, as_person, document(ADOPTION | {"digest": "0" * 64}))
    assert "Other tables were compared" in page


def test_two_versions_differ_in_their_adoption():
    """Added, removed, and by another person."""
    without, other = document(None, None), document(ADOPTION | {"person": "Bo Ash"}, None)
    found = [one for one in compare(without, other) if one.title == "No-stop tables"]
    assert found[0].kind == "added"
    assert ("Compared with a print by", "", "Bo Ash") in found[0].rows
    assert compare(other, without)[-1].kind == "removed"
    changed = compare(document(rule=None), other)
    assert [one.rows for one in changed] == [(("Compared with a print by", ADOPTION["person"], "Bo Ash"),)]
