"""Every drawing and table over the operations sums back to the list: no operation is counted twice, none is dropped."""

import re

import pytest
from django.urls import reverse

from opsrisk.review.listing import MARKED, assessments
from opsrisk.review.patterns import KEPT_OUT, calendar, panels, people
from opsrisk.review.trends import by_period, by_version, summary
from opsrisk.review.views import COUNTS, WORDS

ASKED = ({}, {"kind": "inspection"}, {"decision": "hold"}, {"overrides": True}, {"month": 4}, {"q": "van"})


@pytest.mark.parametrize("asked", ASKED, ids=str)
def test_every_figure_sums_back_to_the_list(county, asked):
    """Calendar, panels, periods, versions, spread, deciders and decisions, under any filter."""
    rows = assessments(county.chief, asked)
    listed = rows.count()
    found = summary(rows, 0, WORDS, MARKED)
    sites = calendar(rows)
    assert listed == found.assessed == sum(number for *_, number in found.by_decision)
    assert listed == sum(site.number for site in sites) == sum(panel.number for panel in panels(rows))
    assert listed == sum(one.number for one in people(rows))
    for groups in (by_period(rows), by_version(rows)):
        assert listed == sum(group.number for group in groups)
        assert listed == sum(sum(group.tens) + group.unscored for group in groups)
    out = rows.filter(decision__in=KEPT_OUT).count()
    assert out == sum(cell.out for site in sites for cell in site.cells)
    assert out == sum(bar.out for panel in panels(rows) for bar in panel.bars)
    assert found.chosen_otherwise == sum(one.otherwise for one in people(rows))


def test_each_count_opens_as_many_operations(county, as_person):
    """The links of the page lead to lists of exactly as many rows as the count said."""
    client = as_person(county.chief)
    html = client.get(reverse("review")).content.decode()
    links = re.findall(r'<dd><a href="(\?[^"]+)">(\d+) of 12</a>', html)
    assert len(links) >= 7
    for link, number in links:
        page = client.get(reverse("review") + link.replace("&amp;", "&")).content.decode()
        assert f"<p>{number} found" in page
    assert {mark for mark, _, _ in COUNTS} <= set(MARKED)


@pytest.mark.parametrize("page", ["review_patterns", "review_rules"])
def test_the_links_of_the_other_pages_open_as_many(county, as_person, page):
    """Each number with a link, of sites, months, people and rules."""
    client = as_person(county.chief)
    html = client.get(reverse(page), {"since": "2026-03-02"}).content.decode()
    links = re.findall(r'href="(/review/\?[^"]+)">(?:(\d+) of (\d+)|)', html)
    links = [(link, first, of) for link, first, of in links if first]
    assert len(links) >= 2
    for link, first, of in links:
        asked = link.replace("&amp;", "&")
        found = re.search(r"<p>(\d+) found", client.get(asked).content.decode())
        assert found and found[1] == (of if page == "review_patterns" else first), link


def test_of_few_no_share_is_shaded(county, past, as_person):
    """Nine operations of a site in a month carry no shade; ten do."""
    for n in range(9):
        past(200, f"Weed {n}", decision="hold", site=county.site)
    [cell] = [c for s in calendar(assessments(county.chief, {})) for c in s.cells if c.month == 9 and c.number]
    assert (cell.number, cell.shade) == (9, None)
    past(200, "Weed again", decision="divers", site=county.site)
    [cell] = [c for s in calendar(assessments(county.chief, {})) for c in s.cells if c.month == 9 and c.number]
    assert (cell.number, cell.out, cell.shade) == (10, 9, 4)
    assert "9 of 10" in as_person(county.chief).get(reverse("review_patterns")).content.decode()


def test_nobody_is_ranked(county):
    """People stand by name, whatever their counts."""
    names = [one.name for one in people(assessments(county.chief, {}))]
    assert names == sorted(names)


def test_months_are_those_of_the_agencys_clock(cast, past):
    """The last evening of a month is in that month where the agency is, although it is the next one in UTC."""
    cast.agency.time_zone = "America/New_York"
    cast.agency.save()
    made = past(30.5, "Late")  # the first of April, 03:00 in UTC
    assert (made.assessed_at.month, made.assessed_at.hour) == (4, 3)
    [row] = assessments(cast.chief, {})
    assert (row.year, row.month) == (2026, 3)
