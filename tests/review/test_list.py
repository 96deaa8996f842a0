"""The chief's list: filters, order, pages, and who may see it."""

import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from opsrisk.review.views import ON_A_PAGE

ALL = 12


def titles(client, **asked):
    answer = client.get(reverse("review"), asked)
    assert answer.status_code == 200
    return re.findall(r'<th scope="row"><a href="/assessments/[^"]+">([^<]+)</a>', answer.content.decode())


@pytest.fixture
def chief(county, as_person):
    return as_person(county.chief)


def test_everything_of_the_own_agency_newest_first(chief):
    """Twelve rows of twelve, none of the neighbour's, the newest on top."""
    found = titles(chief)
    assert len(found) == ALL
    assert found[0] == "Van again"
    assert found[-1] == "Van at the ferry"


@pytest.mark.parametrize(
    ("asked", "expected"),
    [
        ({"kind": "training"}, {"Quarry day", "Ice training"}),
        ({"decision": "vehicle_only"}, {"=Skiff+1", "Lost ring"}),
        ({"overrides": "on"}, {"=Skiff+1"}),
        ({"disagreed": "on"}, {"Boy at the weir", "Culvert"}),
        ({"differs": "on"}, {"Second culvert"}),
        ({"q": "van"}, {"Van at the ferry", "Van again"}),
        ({"q": "mile 62"}, {"Lost ring"}),
        ({"since": "2026-04-30", "until": "2026-05-02"}, {"Bridge pier", "Safe in the lake", "Lost ring"}),
        ({"since": "2026-05-20"}, {"Van again"}),
        ({"until": "2026-03-01"}, {"Van at the ferry"}),
        ({"kind": "rescue", "decision": "hold"}, set()),
    ],
)
def test_filters(chief, asked, expected):
    """Each filter, and filters together, leave exactly the rows that match."""
    assert set(titles(chief, **asked)) == expected


def test_filter_by_site_and_by_version(chief, county):
    """A site and a protocol version of the own agency can be asked for."""
    assert set(titles(chief, site=county.site.pk)) == {"Van at the ferry", "Quarry day", "Van again"}
    second = county.agency.protocols.get(version="2.0.0")
    assert len(titles(chief, version=second.pk)) == 5


def test_another_agencys_site_or_version_is_no_choice(chief, county):
    """Asking with the id of another agency's protocol is refused like any unknown id."""
    theirs = county.neighbour.protocols.get()
    answer = chief.get(reverse("review"), {"version": theirs.pk})
    assert answer.status_code == 422
    assert "barge" not in answer.content.decode()


@pytest.mark.parametrize(
    "asked", [{"since": "yesterday"}, {"decision": "maybe"}, {"since": "2026-05-02", "until": "2026-05-01"}]
)
def test_a_question_that_makes_no_sense_is_said_to_make_none(chief, asked):
    """Bad input is named beside its field, and nothing is listed as if it had been understood."""
    answer = chief.get(reverse("review"), asked)
    assert answer.status_code == 422
    assert "There is a problem" in answer.content.decode()


def test_order(chief):
    """By score, those without one last; by caution; by title."""
    assert titles(chief, sort="-score")[0] == "Culvert"
    assert titles(chief, sort="-score")[-1] == "Ice training"
    assert titles(chief, sort="score")[0] == "Quarry day"
    assert titles(chief, sort="score")[-1] == "Ice training"
    assert set(titles(chief, sort="-caution")[:3]) == {"Culvert", "Second culvert", "Ice training"}
    assert titles(chief, sort="title") == sorted(titles(chief))


def test_each_row_opens_the_record(chief, county):
    """The link of a row leads to the assessment's own page."""
    html = chief.get(reverse("review")).content.decode()
    found = set(re.findall(r'href="(/assessments/[^"]+)"', html))
    own = county.agency.operations.exclude(assessments=None).values_list("assessments", flat=True)
    assert found == {reverse("assessment", args=[pk]) for pk in own}


def test_pages(chief, past):
    """More rows than a page holds are on several pages, each row once, and the links keep the filter."""
    for n in range(ON_A_PAGE):
        past(100, f"Routine {n:02d}", kind="evidence", score=25, decision="divers_with_controls")
    first, second = (titles(chief, kind="evidence", page=n) for n in (1, 2))
    assert len(first) == ON_A_PAGE
    assert len(set(first) | set(second)) == ON_A_PAGE + 1
    html = chief.get(reverse("review"), {"kind": "evidence"}).content.decode()
    assert "?kind=evidence&amp;page=2" in html


def test_the_number_of_queries_does_not_grow(chief, past):
    """Forty rows more cost not one query more."""
    chief.get(reverse("review"))  # the first visit puts a token into the session
    with CaptureQueriesContext(connection) as few:
        chief.get(reverse("review"))
    for n in range(30):
        past(100 + n, f"Routine {n}")
    chief.get(reverse("review"))  # works out the thirty
    with CaptureQueriesContext(connection) as many:
        chief.get(reverse("review"))
    assert len(many) == len(few)
    assert len(many) <= 24  # one of them for the imported


def test_who_may(county, as_person):
    """Chief and safety officer of the own agency; nobody else."""
    for name in ("review", "review_csv", "review_definitions"):
        for person in (county.chief, county.safety):
            assert as_person(person).get(reverse(name)).status_code == 200
        for person in (county.supervisor, county.diver, county.installer):
            assert as_person(person).get(reverse(name)).status_code == 403
        assert as_person(None).get(reverse(name)).status_code == 302


def test_the_neighbour_sees_only_its_own(county, as_person):
    """The wall stands in both directions: list, figures and CSV."""
    neighbour = as_person(county.neighbour_chief)
    assert titles(neighbour) == ["Neighbour&#x27;s barge"]
    text = neighbour.get(reverse("review")).content.decode()
    assert "1 with an assessment in force, 0 without one" in text
    rows = b"".join(neighbour.get(reverse("review_csv")).streaming_content).decode().splitlines()
    assert len(rows) == 2
    assert "barge" in rows[1]


def test_the_cautions_are_on_the_page(chief):
    """A page of results carries the cautions."""
    assert "No score makes a dive safe." in chief.get(reverse("review")).content.decode()
