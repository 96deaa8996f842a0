"""The language and the decimal sign of an agency."""

import pytest

from opsrisk.agencies import actions
from opsrisk.agencies.permissions import NotAllowed
from opsrisk.agencies.refusals import Refused
from opsrisk.ledger.models import Entry
from tests.cast import NOON


def test_a_chief_sets_both_and_tablets_hear_it(cast, as_person):
    """Old and new are in the ledger; the kit and the session carry them."""
    assert as_person(cast.chief).post("/language/", {"language": "es", "decimal": ","}).status_code == 302
    cast.agency.refresh_from_db()
    assert (cast.agency.language, cast.agency.decimal) == ("es", ",")
    entry = Entry.objects.get(verb="set_language")
    assert entry.detail == '{"from":{"decimal":".","language":"en"},"to":{"decimal":",","language":"es"}}'
    told = as_person(cast.supervisor).get("/tablet/session.json").json()["agency"]
    assert (told["language"], told["decimal"]) == ("es", ",")


@pytest.mark.parametrize("who", ["supervisor", "diver", "safety", "neighbour_chief"])
def test_others_do_not(cast, who):
    """Only the chief of the same agency."""
    with pytest.raises(NotAllowed):
        actions.set_language(agency=cast.agency, language="es", decimal=",", by=cast.people[who], at=NOON)


@pytest.mark.parametrize(("language", "decimal", "field"), [("fr", ",", "language"), ("es", ";", "decimal")])
def test_what_is_not_offered_is_refused(cast, language, decimal, field):
    """The message names the field; nothing is kept."""
    with pytest.raises(Refused, match=field):
        actions.set_language(agency=cast.agency, language=language, decimal=decimal, by=cast.chief, at=NOON)
    cast.agency.refresh_from_db()
    assert (cast.agency.language, cast.agency.decimal) == ("en", ".")
