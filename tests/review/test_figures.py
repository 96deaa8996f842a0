"""The figures add up, say of how many, and never mix two protocols in one average."""

import re
from dataclasses import replace
from statistics import median
from zoneinfo import ZoneInfo

import pytest
from django.urls import reverse

from opsrisk.operations.models import Decision
from opsrisk.review import trends
from opsrisk.review.chart import HIGH, WIDE, chart
from opsrisk.review.listing import MARKED, assessments
from opsrisk.review.trends import by_period, by_version, summary
from opsrisk.review.views import WORDS
from tests.review.conftest import FIRST

UTC = ZoneInfo("UTC")


@pytest.fixture
def rows(county):
    return assessments(county.chief, {})


@pytest.fixture
def points(rows):
    return trends.points(rows, 1000)


def test_counts_add_up(rows):
    """Decisions add up to the assessments; assessments and operations without one add up to the operations."""
    found = summary(rows, 1, WORDS, MARKED)
    assert sum(number for *_, number in found.by_decision) == found.assessed == 12
    assert [word for _, word, _ in found.by_decision] == Decision.labels
    assert found.operations == 13
    assert (found.chosen_otherwise, found.judged_otherwise, found.server_otherwise, found.without_score) == (1, 2, 1, 1)


def test_versions_are_kept_apart(rows):
    """Each version has its own median, and the groups together hold every assessment once."""
    groups = by_version(rows)
    assert [group.version for group in groups] == ["baseline 1.0.0", "baseline 2.0.0"]
    assert sum(group.number for group in groups) == 12
    assert groups[0].middle == f"{median([45, 20, 0, 60, 52, 100, 88]):g}"
    assert (groups[1].number, groups[1].scored, groups[1].lowest, groups[1].highest) == (5, 4, "10", "70")
    assert all(group.few for group in groups)


def test_months_hold_every_assessment_once(rows):
    """The table under the chart counts as many as the chart, and a month under two versions has two rows."""
    groups = by_period(rows)
    assert sum(group.number for group in groups) == 12
    assert [(g.name, g.number) for g in groups] == [("2026-03", 4), ("2026-04", 3), ("2026-04", 1), ("2026-05", 4)]


def test_the_chart_shows_each_assessment_once(points):
    """One mark for each assessment, with its words; a missing score is marked, not left out."""
    text = chart(points, WORDS, UTC)
    titles = re.findall(r"<title>(.*?)</title>", text)
    assert len(titles) == 12
    assert sum(title.endswith("no score") for title in titles) == 1
    assert "11 of 12 assessments" in text


def test_scores_stand_at_their_height(points):
    """A score of 100 is on the top line, 0 on the bottom line, and everything is inside the drawing."""
    text = chart(points, WORDS, UTC)
    heights = {score: float(y) - 5 for y, score in re.findall(r'y="([\d.]+)" text-anchor="end">(\d+)<', text)}
    assert heights["100"] < heights["0"]
    for x, y in re.findall(r'(?:cx|x)="([\d.]+)" (?:cy|y)="([\d.]+)"', text):
        assert 0 <= float(x) <= WIDE
        assert 0 <= float(y) <= HIGH
    [quarry] = re.findall(r"2026-03-10 [^<]*score 0</title><circle cx=\"[\d.]+\" cy=\"([\d.]+)\"", text)
    assert float(quarry) == heights["0"]


def test_decisions_have_their_shapes(points):
    """Five decisions, five shapes: colour is not needed."""
    marks = re.findall(
        r'<g class="point"><title>[^<]*: ([^,]+),[^<]*score \d+</title>(.*?)</g>', chart(points, WORDS, UTC)
    )
    shapes = {}
    for word, mark in marks:
        shapes.setdefault(word, set()).add(re.sub(r"[\d.]+", "", mark))
    assert len(shapes) == 5
    assert all(len(kinds) == 1 for kinds in shapes.values())
    assert len({next(iter(kinds)) for kinds in shapes.values()}) == 5


def test_a_new_version_is_marked_and_no_line_crosses_it(points):
    """A dashed line where the second version begins; two medians that do not meet."""
    text = chart(points, WORDS, UTC)
    assert text.count('<path class="version"') == 1
    spans = [(float(a), float(b)) for a, b in re.findall(r'class="middle" d="M([\d.]+) [\d.]+H([\d.]+)"', text)]
    assert len(spans) == 2
    assert spans[0][1] < spans[1][0]


def test_no_assessments_draw_no_chart(cast, as_person):
    """An agency that has done nothing yet sees that, and no empty axes."""
    html = as_person(cast.chief).get(reverse("review")).content.decode()
    assert '<svg class="trend"' not in html
    assert "None match." in html
    assert "0: 0 with an assessment in force, 0 without one" in html


def test_one_assessment_draws_a_chart(past, cast, as_person):
    """A single point has an axis of days."""
    past(0, "Only one")
    html = as_person(cast.chief).get(reverse("review")).content.decode()
    assert f"{FIRST:%Y-%m-%d}" in html
    assert html.count('<g class="point">') == 1


def test_names_in_the_chart_cannot_break_out(points):
    """A protocol named like a tag is printed, not obeyed."""
    hostile = [replace(point, version='"><script>alert(1)</script>') for point in points]
    assert "<script>" not in chart(hostile, WORDS, UTC)


def test_the_page_states_denominators(county, as_person):
    """Every count says of how many."""
    html = as_person(county.chief).get(reverse("review")).content.decode()
    for words in ("13: 12 with an assessment in force, 1 without one", "1 of 12", "2 of 12", "3 of 12"):
        assert words in html
