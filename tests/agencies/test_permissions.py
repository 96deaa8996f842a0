"""docs/access.md says who may do what as the one table does, and pages say only what fits whoever reads them."""

import re

import pytest
from django.core.cache import cache

from opsrisk.agencies import actions
from opsrisk.agencies.permissions import CHIEF, INSTALLER, MAY, MEMBER, SAFETY, SUPERVISOR, NotAllowed
from tests.cast import NOON
from tests.house.reading import ROOT

COLUMNS = (SUPERVISOR, MEMBER, CHIEF, SAFETY, INSTALLER)


def told():
    """What the page's table grants: each permission with its roles."""
    text = (ROOT / "docs" / "access.md").read_text().partition("## Signing in")[0]
    for line in text.splitlines():
        cells = [cell.strip() for cell in line.strip("|").split("|")]
        if len(cells) == 2 + len(COLUMNS):
            roles = frozenset(role for role, cell in zip(COLUMNS, cells[2:], strict=True) if cell == "yes")
            for name in re.findall(r"`(\w+)`", cells[1]):
                yield name, roles


def test_the_page_says_what_the_table_says():
    """Every permission once, with the same roles."""
    found = list(told())
    assert len(found) == len(dict(found))
    assert dict(found) == MAY


def test_an_installer_sets_nothing_that_is_the_agencys_own(cast):
    """They have no page for it either: while founding an agency they say how it begins."""
    for by in (cast.installer, None):
        with pytest.raises(NotAllowed):
            actions.set_second_factor(agency=cast.agency, on=True, by=by, at=NOON)
        with pytest.raises(NotAllowed):
            actions.set_language(agency=cast.agency, language="es", decimal=",", by=by, at=NOON)


def test_an_installer_is_told_where_people_are_enrolled(cast, as_person):
    """Nothing of a second factor of an agency that is not theirs, and no form that could only refuse."""
    page = as_person(cast.installer).get("/people/").content.decode()
    assert "You belong to no agency" in page and 'href="/admin/"' in page
    for words in ("of this agency", "Enrol a person", "Decimal sign", "Change that"):
        assert words not in page
    assert "You belong to no agency" not in as_person(cast.diver).get("/people/").content.decode()


ASKED = "set up a passkey or an authenticator before you go on"


@pytest.mark.parametrize(("who", "asked"), [("supervisor", True), ("diver", False), ("installer", True)])
def test_only_who_needs_a_second_factor_is_told_to_set_one_up(cast, as_person, settings, who, asked):
    """A team member may have one and is not pressed; whoever installs is not told of an agency."""
    cache.clear()
    settings.INSTALLER_SECOND_FACTOR = True
    actions.set_second_factor(agency=cast.agency, on=True, by=cast.chief, at=NOON)
    page = as_person(cast.people[who] if who != "installer" else cast.installer).get("/accounts/2fa/").content.decode()
    assert (ASKED in page) is asked
    assert ("Your agency asks for one" in page) is (who == "supervisor")
