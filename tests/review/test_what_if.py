"""Past operations decided again: the array reader on kept facts says what the float reader says on the records."""

import json
from uuid import UUID

import pytest

from opsrisk import jobs
from opsrisk.agencies.models import Agency
from opsrisk.assessment.assess import assess
from opsrisk.assessment.situation import read_situation
from opsrisk.engine.inputs import DECISIONS
from opsrisk.engine.protocol import ProtocolRefused, read_protocol
from opsrisk.operations.models import Assessment
from opsrisk.protocols import actions as protocols
from opsrisk.protocols.knobs import knobs, turned
from opsrisk.protocols.shipped import baseline
from opsrisk.review import actions
from opsrisk.review.facts import basis_of
from opsrisk.review.jobs import PREPARE, PREPARE_ALL
from opsrisk.review.models import PastFacts
from opsrisk.review.whatif import effect, past
from tests.cast import NOON
from tests.filed import protocol_of
from tests.operations.sending import adopt_baseline, received
from tests.review.past import changed, decided, file_many, file_one
from tests.situations import document

METHODS = ("measured", "estimated", "reported", "forecast")
# One number each; together they touch a line, a point, a rule, a spread, a domain's waiver, and a computation.
CHANGES = {
    "a line": {"lines__nobody_to_save__value": "30"},
    "points": {"factors__1__points__1__1": "9"},
    "a limit": {},
    "an age": {"inputs__readings~current__valid_minutes": "5"},
    "a spread": {"inputs__readings~depth__spread": {how: {"plus_minus": "200"} for how in METHODS}},
    "a computation": {"settings__tether_reach_ratio__value": "2.5"},
    "a survival window": {"settings__submersion_warm_minutes__value": "100"},
}


@pytest.fixture
def version(cast):
    return adopt_baseline(cast)


def work_out(cast, rules=None, most=10_000):
    return actions.work_out_facts(agency=cast.agency, protocol=rules or baseline(), most=most)


def tried(cast, rules):
    """The effect of `rules`, with everything worked out."""
    work_out(cast, rules)
    return effect(rules, past(cast.agency, rules))


def answers(found):
    """Decision and score after, by assessment."""
    return {
        str(found.past.id_at(place)): (DECISIONS[found.after[place]], int(found.score[place]))
        for place in range(len(found.past))
    }


def situation_of(assessment):
    return json.loads(assessment.record)["situation"]


@pytest.mark.parametrize("name", CHANGES)
def test_what_if_equals_deciding_each_record_again(cast, version, name):
    """Decision and score of 150 random situations under a changed protocol, unknowns and unstated kit included."""
    rules = changed(**CHANGES[name]) if CHANGES[name] else changed_limit()
    rows = file_many(cast, version, 150)
    found = tried(cast, rules)
    expected = {str(row.pk): decided(situation_of(row), rules) for row in rows}
    assert answers(found) == expected
    changes = {expected[str(row.pk)] == (row.decision, row.score) for row in rows}
    assert changes == {True, False}, "this change changes some answers and not all"


def test_what_if_equals_deciding_again_where_much_is_unknown(cast, version):
    """Every third answer is missing."""
    rows = file_many(cast, version, 200, seed=5, known=0.66, fair=0.95)
    assert answers(tried(cast, baseline())) == {str(row.pk): (row.decision, row.score) for row in rows}


def changed_limit():
    """The depth from which the vehicle goes first."""
    key = next(k.key for k in knobs(baseline().document) if k.key.startswith("rules/deep") and k.value == "100")
    return read_protocol(json.dumps(turned(baseline().document, key, "30")))


def test_what_if_equals_the_whole_assessment(cast, version):
    """Not only the same function: the document that a tablet would show."""
    rows = file_many(cast, version, 40, seed=3)
    rules = changed(lines__nobody_to_save__value="25")
    found = answers(tried(cast, rules))
    for row in rows:
        document = assess(read_situation(json.dumps(situation_of(row))), rules)
        assert found[str(row.pk)] == (document["decision"], document["score"])


def test_the_same_protocol_changes_nothing(cast, version):
    """Every row of the table stands on its diagonal."""
    file_many(cast, version, 60)
    found = tried(cast, baseline())
    assert len(found.changed) == found.more == found.less == 0
    assert sum(found.table[place][place] for place in range(5)) == 60


def test_the_table_counts_from_what_to_what(cast, version):
    """Rows as decided then, columns as decided now; more and less caution add up to all that change."""
    rows = file_many(cast, version, 120)
    rules = changed(lines__nobody_to_save__value="20", lines__divers__value="5")
    found = tried(cast, rules)
    table = [[0] * 5 for _ in range(5)]
    for row in rows:
        table[DECISIONS.index(row.decision)][DECISIONS.index(decided(situation_of(row), rules)[0])] += 1
    assert found.table == table
    assert found.more + found.less == len(found.changed) > 0
    assert found.less == 0, "lower lines only add caution"


def test_an_unstated_configuration_is_decided_both_ways(cast, version):
    """Nobody said whether there is a vehicle, nor what the diver breathes: the most cautious answer stands."""
    given = document()
    given["vehicle"] = "unknown"
    given["dive"]["breathing"] = "unknown"
    row = file_one(cast, given, version)
    rules = changed(lines__divers__value="0", lines__nobody_to_save__value="0")
    assert answers(tried(cast, rules)) == {str(row.pk): decided(given, rules)}


def test_decisions_of_several_versions_are_kept_apart(cast, version):
    """A table for each version of then, which add up to the whole."""
    other = protocol_of(cast.agency, cast.safety, cast.chief, version="2.0.0")
    file_many(cast, version, 40)
    file_many(cast, other, 25, seed=2)
    found = tried(cast, changed(lines__nobody_to_save__value="20"))
    parts = {pk: (many, table) for pk, many, _, table in found.by_version}
    assert {pk: many for pk, (many, _) in parts.items()} == {version.pk: 40, other.pk: 25}
    summed = [[sum(table[i][j] for _, table in parts.values()) for j in range(5)] for i in range(5)]
    assert summed == found.table


def test_against_the_version_in_force_all_are_decided_by_one_protocol(cast, version):
    """Also where that version reads its numbers otherwise, so that its facts are others."""
    rows = file_many(cast, version, 60)
    now, rules = changed(**CHANGES["an age"]), changed(lines__nobody_to_save__value="20")
    work_out(cast, now)
    work_out(cast, rules)
    found = effect(rules, past(cast.agency, rules), (now, past(cast.agency, now)))
    by_id = {str(row.pk): situation_of(row) for row in rows}
    for place in range(len(found.past)):
        given = by_id[str(found.past.id_at(place))]
        assert DECISIONS[found.before[place]] == decided(given, now)[0]
        assert DECISIONS[found.after[place]] == decided(given, rules)[0]
    assert len(found.past) == 60


def test_what_only_one_side_knows_is_counted_not_compared(cast, version):
    """An assessment whose facts have been worked out for one of the two versions only."""
    file_many(cast, version, 10)
    now, rules = changed(**CHANGES["an age"]), changed(lines__nobody_to_save__value="20")
    work_out(cast, now, most=4)
    work_out(cast, rules)
    found = effect(rules, past(cast.agency, rules), (now, past(cast.agency, now)))
    assert (len(found.past), found.past.unreadable) == (4, 6)


def test_a_replaced_assessment_does_not_count(cast, version):
    """The revision in force is the one that was worked by."""
    first, second = file_many(cast, version, 2)
    work_out(cast)
    Assessment.objects.filter(pk=first.pk).update(superseded_by=second)
    assert [past(cast.agency, baseline()).id_at(0)] == [UUID(second.pk)]
    assert len(past(cast.agency, baseline())) == 1


def test_a_situation_that_is_no_longer_read_is_counted_as_such(cast, version):
    """Nothing is guessed for it."""
    broken = document()
    broken["readings"]["current"] = {"value": "fast"}
    file_one(cast, document(), version, stored=broken)
    file_one(cast, document(), version)
    found = tried(cast, baseline())
    assert (len(found.past), found.past.unreadable) == (1, 1)


def test_facts_are_worked_out_once(cast, version):
    """In portions, oldest first; a second time there is nothing to do."""
    file_many(cast, version, 7)
    assert actions.missing(cast.agency, baseline()) == 7
    assert [work_out(cast, most=5), work_out(cast, most=5), work_out(cast, most=5)] == [5, 2, 0]
    assert (actions.missing(cast.agency, baseline()), len(past(cast.agency, baseline()))) == (0, 7)


def test_two_workers_keep_no_assessment_twice(cast, version, monkeypatch):
    """The other one finished while this one was reading."""
    file_many(cast, version, 6)
    honest = actions._rows

    def slow(wanted, protocol):
        rows = honest(wanted, protocol)
        monkeypatch.setattr(actions, "_rows", honest)
        work_out(cast, most=4)
        return rows

    monkeypatch.setattr(actions, "_rows", slow)
    assert work_out(cast) == 2
    assert len(past(cast.agency, baseline())) == 6


def test_another_limit_needs_no_other_facts_another_spread_does():
    """The basis is what values depend on: not on limits, points, words or sources."""
    for change in ("a line", "points"):
        assert basis_of(changed(**CHANGES[change])) == basis_of(baseline())
    assert basis_of(changed_limit()) == basis_of(baseline())
    assert basis_of(changed(**{"inputs__readings~depth__source__note": "other words"})) == basis_of(baseline())
    for change in ("an age", "a spread", "a computation", "a survival window"):
        assert basis_of(changed(**CHANGES[change])) != basis_of(baseline())


def test_a_job_prepares_drafts_and_drops_what_no_version_needs(cast):
    """Of every agency; twice does no harm."""
    adopt_baseline(cast)
    received(cast)
    other = changed(**CHANGES["an age"])
    work_out(cast, other)
    text = json.dumps(json.loads(json.dumps(other.document)) | {"version": "2"})
    jobs.run(PREPARE_ALL)
    assert not PastFacts.objects.filter(basis=basis_of(other)).exists()
    draft = protocols.draft(agency=cast.agency, document=text, by=cast.safety, at=NOON)
    for _ in range(2):
        jobs.run(PREPARE, str(draft.pk))
    assert sum(PastFacts.objects.filter(basis=basis_of(other)).values_list("number", flat=True)) == 1
    jobs.run(PREPARE_ALL)
    assert PastFacts.objects.filter(basis=basis_of(other)).exists()


def test_a_neighbours_past_is_not_counted(cast, version):
    """Each agency its own."""
    file_many(cast, version, 3)
    work_out(cast)
    theirs = Agency.objects.get(pk=cast.neighbour.pk)
    actions.work_out_facts(agency=theirs, protocol=baseline(), most=100)
    assert len(past(theirs, baseline())) == 0
    assert effect(baseline(), past(theirs, baseline())).table == [[0] * 5] * 5


def test_every_number_that_decides_can_be_moved():
    """Each within a range that holds its value, to a step of its last decimal; at its own value nothing differs.

    At both ends it is still a protocol, and points moved along a band still only rise.
    """
    found = list(knobs(baseline().document))
    assert len(found) > 150 and len({knob.key for knob in found}) == len(found)
    assert {knob.key.split("/")[0] for knob in found} == {
        "lines", "weight", "points", "bands", "together", "rules", "combinations", "controls",
    }  # fmt: skip
    for knob in found:
        assert float(knob.lowest) <= float(knob.value) <= float(knob.highest) and float(knob.step) > 0
        assert turned(baseline().document, knob.key, knob.value) == baseline().document
        ends = [turned(baseline().document, knob.key, end) for end in (knob.lowest, knob.highest)]
        moved = [read_protocol(json.dumps(end)) for end in ends if end != baseline().document]
        assert moved, knob
        totals = [[int(points) for _, points in f.breakpoints] for each in moved for f in each.factors]
        assert all(each == sorted(each) and each[0] >= 0 for each in totals), knob


def test_the_weight_of_a_factor_moves_all_its_points_together():
    """In proportion, rounded up to whole points, as points are everywhere."""
    moved = turned(baseline().document, "weight/visibility/0", "50")
    factor = next(each for each in moved["factors"] if each["id"] == "visibility")
    assert factor["points"] == [["10", "0"], ["5", "3"], ["3", "4"], ["1", "6"], ["0", "7"]]


@pytest.mark.parametrize("key", ["points/none/0", "points/waves/9", "points/waves/x", "weight/none/0", "moons/waves/0"])
def test_a_number_that_is_not_there_is_not_moved(key):
    with pytest.raises(LookupError):
        turned(baseline().document, key, "1")


def test_a_limit_moved_out_of_reason_is_refused_by_the_protocols_reader():
    """As any protocol would be."""
    with pytest.raises(ProtocolRefused, match="the lines cross"):
        read_protocol(json.dumps(turned(baseline().document, "lines/rescue/0", "10")))


@pytest.mark.parametrize("key", ["rules/none/0", "rules/deep/9", "heading/title/0", "rules/deep/x"])
def test_a_limit_that_is_not_there_is_not_moved(key):
    """By its key."""
    with pytest.raises(LookupError):
        turned(baseline().document, key, "1")
