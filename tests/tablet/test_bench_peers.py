"""`manage.py bench --peers` compares what is the same: every engine decides by the same table, or nothing is timed."""

import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from opsrisk.engine.algebra import NUMBERS
from opsrisk.engine.decide import decide
from opsrisk.protocols.shipped import baseline
from opsrisk.review.investigations import CASES
from opsrisk.tablet.management import beside_peers
from opsrisk.tablet.management.beside_peers import Speed, verdicts
from opsrisk.tablet.management.commands import bench
from opsrisk.tablet.management.expressions import plain
from opsrisk.tablet.management.peers import NoPeers, Peer, peers
from tests.engine.at_random import columns, row


@pytest.mark.parametrize("peer", list(peers(baseline())), ids=lambda peer: peer.name.split()[0])
def test_each_peer_has_the_whole_table(peer):
    """On 200 random situations, many near the protocol's own numbers: the same score and the same decision.

    To six decimals: one of them computes in decimals, where neighbouring floats are one number.
    """
    drawn = columns(baseline(), 200, seed=3, harmless=0.9)
    answers = set()
    for place in range(200):
        at = {name: round(value, 6) for name, value in row(drawn, place).items()}
        ours = decide(baseline(), at, NUMBERS)
        assert peer.answer({plain(name): value for name, value in at.items()}) == (ours.score, ours.decision)
        answers.add(ours.decision)
    assert len(answers) == 5


def test_the_command_names_every_engine_and_both_goals(monkeypatch):
    """Three peers, ours without and with explanation and over arrays; each goal met or missed."""
    monkeypatch.setattr(bench, "ROWS", 1_000)
    monkeypatch.setattr(beside_peers, "VARIANTS", 0)
    out = StringIO()

    call_command("bench", "--peers", stdout=out)

    lines = out.getvalue().splitlines()
    assert lines[0].startswith("all the same score and decision on all of 34 situations")
    assert [line.split()[0] for line in lines[1:4]] == ["zen-engine", "panzi-json-logic", "rule-engine"]
    assert all(float(line.split()[-2].replace(",", "")) > 0 for line in lines[1:7])
    assert ["goal, 1" in lines[7], "goal, 10" in lines[8], len(lines)] == [True, True, 9]


def test_a_peer_that_answers_otherwise_is_not_timed(monkeypatch):
    """A speed on another table would mean nothing."""
    monkeypatch.setattr(beside_peers, "peers", lambda _: [Peer("liar 1.0", False, lambda _: (0, 0))])
    with pytest.raises(CommandError, match=r"not timed: situation \d+: liar 1.0 answers \(0, 0\)"):
        call_command("bench", "--peers", stdout=StringIO())


def test_without_the_peers_it_says_what_is_missing(monkeypatch):
    def gone(_):
        raise NoPeers("No module named 'zen'; it comes with make test")

    monkeypatch.setattr(beside_peers, "peers", gone)
    with pytest.raises(CommandError, match="not measured: No module named 'zen'"):
        call_command("bench", "--peers", stdout=StringIO())


def test_a_missed_goal_says_so():
    """Each goal against its own peer: pure Python for explanations, the fastest of all for arrays."""
    found = [
        Speed("quick", 100, "compiled"),
        Speed("slow", 50, "Python"),
        Speed("ours, every reason explained", 40, "ours"),
        Speed("ours, over arrays", 1500, "ours"),
    ]
    explained, arrays = verdicts(found)
    assert (
        explained
        == "ours, every reason explained: 0.8 times as fast as the fastest peer in Python (MISSES the goal, 1)"
    )
    assert arrays == "ours, over arrays: 15.0 times as fast as the fastest peer of all (meets the goal, 10)"


def test_what_is_explained_is_all_that_fired():
    """The timed explanation is the one that people read: reading, limit and source of every rule that fired."""
    text = json.dumps(next(case["situation"] for case in json.loads(CASES.read_text())))
    (facts, *_) = beside_peers.situations([text], baseline())

    decision, _, reasons, points, _ = beside_peers.explained(baseline(), facts)

    outcome = decide(baseline(), {name: fact.value for name, fact in facts.items()}, NUMBERS)
    assert decision == outcome.decision
    assert [reason["id"] for reason in reasons] == [rule.id for rule in baseline().rules if outcome.fired[rule.id]]
    assert all(reason["reading"] and reason["limit"] and reason["source"] for reason in reasons)
    assert reasons and points
