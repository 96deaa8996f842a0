"""The chief's list for programs: the rows of the CSV, for whoever may read it there, and nothing is written."""

import csv
import io

import pytest
from django.urls import reverse

from opsrisk.agencies import actions
from opsrisk.assessment.cautions import CAUTIONS
from opsrisk.review.export import guarded
from tests.cast import NOON


def asked(client, person, method="get", **query):
    _, secret = actions.make_token(person=person, name="county board", by=person, at=NOON)
    return getattr(client, method)(reverse("api_review"), query, headers={"Authorization": f"Bearer {secret}"})


@pytest.mark.parametrize("query", [{}, {"kind": "inspection", "sort": "score"}, {"overrides": "on"}, {"q": "van"}])
def test_a_token_reads_the_rows_of_the_csv(county, client, as_person, query):
    """Row by row and value by value, under the same filters, with the cautions."""
    text = b"".join(as_person(county.chief).get(reverse("review_csv"), query).streaming_content).decode()
    lines = list(csv.DictReader(io.StringIO(text, newline="")))
    found = asked(client, county.chief, **query).json()
    assert found["count"] == len(lines) > 0
    assert found["cautions"] == list(CAUTIONS)
    assert [{name: guarded(value) for name, value in row.items()} for row in found["results"]] == lines


def test_only_who_may_review_and_only_their_own(county, client):
    """A diver's token is refused; a neighbour's reads the neighbour's."""
    assert asked(client, county.diver).status_code == 403
    assert asked(client, county.supervisor).status_code == 403
    assert [row["title"] for row in asked(client, county.neighbour_chief).json()["results"]] == ["Neighbour's barge"]


@pytest.mark.parametrize("method", ["post", "put", "patch", "delete"])
def test_nothing_is_written(county, client, method):
    """By a token; and by nobody else either."""
    assert asked(client, county.chief, method).status_code == 403


def test_it_comes_in_pages(county, client, monkeypatch):
    """Each row once; a page that is not there is 404."""
    monkeypatch.setattr("opsrisk.api.pages.Pages.page_size", 5)
    pages = [asked(client, county.chief, page=number).json()["results"] for number in (1, 2, 3)]
    assert [len(page) for page in pages] == [5, 5, 2]
    assert len({row["assessment_id"] for page in pages for row in page}) == 12
    assert asked(client, county.chief, page=4).status_code == 404


@pytest.mark.parametrize(
    ("query", "field"),
    [
        ({"kind": "picnic"}, "kind"),
        ({"since": "3/1/2026"}, "since"),
        ({"since": "2026-03-02", "until": "2026-03-01"}, "until"),
        ({"overrides": "yes"}, "overrides"),
        ({"decision": ""}, "decision"),
        ({"month": "13"}, "month"),
        ({"site": "quarry"}, "site"),
    ],
    ids=str,
)
def test_a_bad_filter_is_refused_by_field(county, client, query, field):
    """Never passed over, since a program would take the whole list for the part that it asked for."""
    answer = asked(client, county.chief, **query)
    assert (answer.status_code, answer.json()["errors"][0]["field"]) == (400, field)
