"""The chief's what-if page: counts, the list, one limit moved, and who may see it."""

import json
from uuid import UUID

import pytest

from opsrisk.engine.protocol import read_protocol
from opsrisk.operations.models import Assessment
from opsrisk.protocols import actions as protocols
from opsrisk.protocols.knobs import turned
from opsrisk.review import whatif_views
from tests.cast import NOON
from tests.filed import protocol_of
from tests.operations.sending import adopt_baseline
from tests.review.past import changed_text, decided, file_many, file_one
from tests.situations import document

KEY = "lines/nobody_to_save/0"


@pytest.fixture
def version(cast):
    return adopt_baseline(cast)


@pytest.fixture
def draft(cast, version):
    text = json.dumps(json.loads(changed_text(lines__nobody_to_save__value="20")) | {"version": "2"})
    return protocols.draft(agency=cast.agency, document=text, by=cast.safety, at=NOON)


def ask(browser, version, part="", **query):
    return browser.get(f"/review/what-if/{version.pk}/{part}", query)


def test_the_page_counts_and_lists_what_would_change(cast, as_person, version, draft):
    """Each row opens its record, with what was chosen and what came of it."""
    rows = file_many(cast, version, 30)
    for row in rows:
        row.operation.outcome = f"Outcome of {row.pk}"
        row.operation.save()
    answer = ask(as_person(cast.chief), draft)
    rules = draft.rules()
    moved = [row for row in rows if decided(json.loads(row.record)["situation"], rules)[0] != row.decision]
    shown = answer.content.decode()
    assert f"<b>{len(moved)} of 30</b> decisions would change" in shown and moved
    assert {row["assessment"].pk for row in answer.context["rows"]} == {UUID(row.pk) for row in moved}
    assert all(f"/assessments/{row.pk}/" in shown and f"Outcome of {row.pk}" in shown for row in moved)
    assert sum(row["total"] for row in answer.context["table"]) == 30


def test_a_moved_limit_moves_the_count(cast, as_person, version, draft):
    """The part that a slider asks for, and the whole page without scripts, say the same."""
    file_many(cast, version, 40)
    browser = as_person(cast.safety)
    same = ask(browser, draft, "effect/", limit=KEY, value="45")
    assert b"<b>0 of 40</b>" in same.content, "45 is what the baseline says"
    moved = ask(browser, draft, "effect/", limit=KEY, value="25")
    count = len(moved.context["effect"].changed)
    assert count and f"<b>{count} of 40</b>".encode() in moved.content
    page = ask(browser, draft, limit=KEY, value="25")
    assert page.context["table"] == moved.context["table"]
    assert b'type="range"' in page.content and b'name="value"' in page.content
    draft.refresh_from_db()
    assert draft.rules().line_nobody_to_save == 20, "moving a limit here changes nothing in the draft"


@pytest.mark.parametrize(
    ("key", "value"), [("weight/visibility/0", "200"), ("points/visibility/2", "12"), ("bands/depth/2", "40")]
)
def test_points_of_a_band_are_moved_and_drawn(cast, as_person, version, key, value):
    """Whole, at one breakpoint, or a breakpoint itself: each answer as that protocol decides, beside the strip as it would be."""
    file_many(cast, version, 40)
    shown = ask(as_person(cast.safety), version, "effect/", limit=key, value=value)
    assert shown.context["knob"].factor == key.split("/")[1]
    assert b'<svg class="strip"' in shown.content and b"nothing is proven" in shown.content
    tried = read_protocol(json.dumps(turned(version.rules().document, key, value)))
    moved = [
        row
        for row in Assessment.objects.all()
        if decided(json.loads(row.record)["situation"], tried)[0] != row.decision
    ]
    assert {row["assessment"].pk for row in shown.context["rows"]} == {row.pk for row in moved}


@pytest.mark.parametrize("value", ["many", "-3", "1.5", "99", "10<script>"])
def test_a_value_that_makes_no_protocol_is_refused_by_place(cast, as_person, version, draft, value):
    """With what was given and what is accepted; what was typed stays."""
    file_many(cast, version, 3)
    page = ask(as_person(cast.chief), draft, limit=KEY, value=value)
    assert (page.status_code, b"That is no protocol" in page.content) == (422, True)
    assert b"<script>1" not in page.content and b"10<script>" not in page.content
    part = ask(as_person(cast.chief), draft, "effect/", limit=KEY, value=value)
    assert (part.status_code, b"That is no protocol" in part.content) == (200, True), "a part is shown whatever it says"


@pytest.mark.parametrize("query", [{"limit": "rules/none/0"}, {"against": "luck"}])
def test_a_question_that_nobody_offers_is_refused(cast, as_person, version, draft, query):
    """Rather than answered as another."""
    file_many(cast, version, 2)
    assert ask(as_person(cast.chief), draft, **query).status_code == 422


def test_mixed_versions_are_marked(cast, as_person, version, draft):
    """One table over all says so; each version has its own; against one version nothing is mixed."""
    file_many(cast, version, 12)
    browser = as_person(cast.chief)
    assert b"Mixed versions" not in ask(browser, draft).content
    second = protocol_of(cast.agency, cast.safety, cast.chief, version="1.5.0")
    file_many(cast, second, 5, seed=2)
    shown = ask(browser, draft).content.decode()
    assert "Mixed versions:" in shown
    assert "Decided under baseline 1.0.0:" in shown and "of 12 would change" in shown and "of 5 would change" in shown


def test_against_the_version_in_force(cast, as_person, version, draft):
    """Named in the heading of the table, so that nobody takes it for what was decided."""
    file_one(cast, document(), version)
    shown = ask(as_person(cast.chief), draft, against="in_force").content.decode()
    assert "what baseline 1.0.0 decides" in shown and "Mixed versions" not in shown


def test_the_list_comes_in_pages(cast, as_person, version, draft, monkeypatch):
    """With the question kept in the links."""
    monkeypatch.setattr(whatif_views, "ON_A_PAGE", 3)
    file_many(cast, version, 40)
    first = ask(as_person(cast.chief), draft, limit=KEY, value="20")
    assert len(first.context["rows"]) == 3
    assert b"limit=lines%2Fnobody_to_save%2F0" in first.content and b"page=2" in first.content
    second = ask(as_person(cast.chief), draft, limit=KEY, value="20", page="2")
    assert {row["assessment"].pk for row in first.context["rows"]}.isdisjoint(
        row["assessment"].pk for row in second.context["rows"]
    )


def test_what_is_not_read_yet_is_said(cast, as_person, version, draft, monkeypatch):
    """A job goes on with it."""
    monkeypatch.setattr(whatif_views, "WHILE_WAITING", 4)
    asked = []
    monkeypatch.setattr(whatif_views, "enqueue", lambda *job: asked.append(job))
    file_many(cast, version, 6)
    answer = ask(as_person(cast.chief), draft)
    assert b"2 more are still being read" in answer.content
    assert asked == [("review.prepare", str(draft.pk))]
    assert answer.context["total"] == 4


def test_nothing_to_decide_again_is_said(cast, as_person, draft):
    """A young agency."""
    assert not Assessment.objects.exists()
    assert b"No past assessment to decide again" in ask(as_person(cast.chief), draft).content


@pytest.mark.parametrize("part", ["", "effect/"])
@pytest.mark.parametrize(
    "given", [("safety", 200), ("chief", 200), ("supervisor", 403), ("diver", 403), ("neighbour_chief", 404)]
)
def test_for_safety_officer_and_chief_of_the_own_agency(cast, as_person, draft, part, given):
    """Colleagues may not, strangers find nothing."""
    who, status = given
    assert ask(as_person(cast.people[who]), draft, part).status_code == status
