"""What the numbers rest on: recomputed cases, counts with denominators, sources by kind, and no rate of a few."""

import json
import re

import pytest

from opsrisk.protocols import actions as protocols
from opsrisk.protocols.shipped import BASELINE, baseline
from opsrisk.review.calibration import FEW, GROUNDS, cases, grounds, own_record, share, tried
from opsrisk.review.investigations import run_cases
from tests.cast import NOON
from tests.filed import protocol_of
from tests.operations.sending import adopt_baseline
from tests.review.past import changed_text, file_many

GIVEN = json.loads(BASELINE.read_text())


def ask(browser, **query):
    return browser.get("/review/calibration/", query)


@pytest.mark.parametrize(
    "number, of, words", [(0, 0, "0 of 0"), (3, 7, "3 of 7"), (9, 9, "9 of 9"), (3, 10, "3 of 10 (30 %)"), (1, 3000, "1 of 3000 (0 %)")]
)  # fmt: skip
def test_no_share_of_a_few(number, of, words):
    """Under ten, one more or less moves it by ten of a hundred."""
    assert share(number, of) == words


def test_every_published_case_stands_on_the_page_as_recomputed(cast, as_person):
    """Every miss by name, with what was expected and given."""
    shown = ask(as_person(cast.chief)).content.decode()
    results = list(run_cases(baseline()))
    assert list(cases(baseline())) == results
    rows = re.findall(r'<th scope="row">([A-Z]+-\d+)( <span class="kind">missed</span>)?', shown)
    assert [(name, bool(missed)) for name, missed in rows] == [(case.id, not case.hit) for case in results]
    for group in tried(baseline()):
        assert group.hits in shown and group.flags in shown


def test_the_cases_follow_the_version_that_was_asked_for(cast, as_person):
    """A protocol under which everybody may dive misses more of them."""
    version = adopt_baseline(cast)
    text = json.loads(
        changed_text(lines__divers__value="100", lines__nobody_to_save__value="100", lines__rescue__value="100")
    )
    text |= {"version": "2", "rules": [rule for rule in text["rules"] if rule["effect"] == "vehicle_unable"]}
    lax = protocols.draft(agency=cast.agency, document=json.dumps(text), by=cast.safety, at=NOON)
    browser = as_person(cast.safety)
    missed = {pk: ask(browser, version=pk).content.count(b">missed<") for pk in (version.pk, lax.pk)}
    assert missed[lax.pk] > missed[version.pk]
    assert ask(browser).context["version"] == version, "the one in force, where none is asked for"


def test_the_own_record_counts_each_version_by_itself(cast, as_person):
    """No row puts two versions together; how many of how many."""
    file_many(cast, adopt_baseline(cast), 30)
    file_many(cast, protocol_of(cast.agency, cast.safety, cast.chief, version="2.0.0"), 4, seed=2)
    answer = ask(as_person(cast.chief))
    shown = answer.content.decode()
    assert "Decided under baseline 1.0.0: 30" in shown and "Decided under baseline 2.0.0: 4" in shown
    assert [record.number for record in answer.context["records"]] == [30, 4]
    assert all("%" not in str(vars(one)) for one in answer.context["records"][1].answers)


def test_judgements_and_choices_are_counted_by_the_way_they_differ():
    """Less caution and more caution are two things."""
    rows = [
        ("v 1", "vehicle_first", "divers", "vehicle_first", 6),
        ("v 1", "vehicle_first", "hold", "divers", 2),
        ("v 1", "vehicle_first", "vehicle_first", "hold", 4),
        ("v 1", "hold", "hold", "hold", 1),
    ]
    record = own_record(rows)[0]
    first = next(one for one in record.answers if one.decision == "vehicle_first")
    assert (first.number, first.judged_less, first.judged_more) == (12, "6 of 12 (50 %)", "2 of 12 (17 %)")
    assert (first.chosen_less, first.chosen_more) == ("2 of 12 (17 %)", "4 of 12 (33 %)")
    assert [one.number for one in record.answers] == [0, 0, 12, 0, 1]


def test_every_number_is_counted_under_what_it_rests_on():
    """Counted here by another walk through the document."""

    def sources(part):
        if isinstance(part, dict):
            if "kind" in part.get("source", {}):
                source = part["source"]
                yield source["kind"], source.get("status", "") if source["kind"] == "published" else ""
            for value in part.values():
                yield from sources(value)
        elif isinstance(part, list):
            for value in part:
                yield from sources(value)

    every = list(sources(GIVEN))
    found = grounds(GIVEN)
    assert found.number == len(every)
    assert [sum(row[1][column] for row in found.table) for column in range(len(GROUNDS))] == [
        every.count(ground) for ground in GROUNDS
    ]
    assert len(found.weak) == sum(status in ("memory", "second-hand") for _, status in every)


def test_a_number_from_memory_is_named(cast, as_person):
    """So that somebody looks it up."""
    text = json.loads(
        changed_text(lines__rescue__source={"kind": "published", "document": "An old guide", "status": "memory"})
    )
    draft = protocols.draft(agency=cast.agency, document=json.dumps(text), by=cast.safety, at=NOON)
    shown = ask(as_person(cast.safety), version=draft.pk).content.decode()
    assert "Rescue, up to: An old guide (from memory, not compared)" in shown


def test_the_page_says_what_the_score_is_not(cast, as_person):
    """In words, on top; also where nothing is in force yet."""
    shown = ask(as_person(cast.chief)).content.decode()
    assert "It is no probability." in shown and "the shipped baseline" in shown and f"fewer than {FEW}" in shown
    assert shown.index("What the score is not") < shown.index("Published cases")


@pytest.mark.parametrize("who, status", [("safety", 200), ("chief", 200), ("supervisor", 403), ("diver", 403)])
def test_for_safety_officer_and_chief(cast, as_person, who, status):
    """Desk work."""
    assert ask(as_person(cast.people[who])).status_code == status


@pytest.mark.parametrize("asked", ["x", "00000000-0000-4000-8000-00000000000a"])
def test_a_version_that_is_not_theirs_is_absent(cast, as_person, asked):
    """A neighbour's, an unknown one, no key at all."""
    version = adopt_baseline(cast)
    assert ask(as_person(cast.neighbour_chief), version=version.pk).status_code == 404
    assert ask(as_person(cast.chief), version=asked).status_code == 404
