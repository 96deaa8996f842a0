"""Crew cover: against networkx on random teams, and by the rules of the trade."""

from random import Random

import pytest

from opsrisk.assessment.crew import Limits, Member, cover
from opsrisk.engine.inputs import POSITIONS

FULL = ("supervisor", "diver", "standby_diver", "diver_tender")
NO_LIMITS = Limits()


def person(name, *qualifications, **facts):
    return Member(id=name, name=name, qualifications=frozenset(qualifications), fit="yes", **facts)


def test_no_team_is_covered_better_by_the_library():
    """On 400 random teams the number of filled positions is the size of networkx's maximum matching."""
    networkx = pytest.importorskip("networkx", reason="networkx is installed for tests only")
    chance = Random(7)
    for _ in range(400):
        team = [person(f"p{k}", *chance.sample(POSITIONS, chance.randint(0, 4))) for k in range(chance.randint(0, 9))]
        needed = chance.sample(POSITIONS, chance.randint(1, 8))
        graph = networkx.Graph()
        graph.add_nodes_from(needed)
        graph.add_edges_from((post, ("p", one.id)) for post in needed for one in team if one.may_fill(post))
        largest = len(networkx.bipartite.maximum_matching(graph, top_nodes=needed)) // 2

        crew = cover(needed=needed, people=team, limits=NO_LIMITS, may_combine=())

        assert len(crew.filled) == largest
        assert len({who for _, who in crew.filled}) == len(crew.filled)
        assert sorted([*crew.missing, *(post for post, _ in crew.filled)]) == sorted(needed)
        for post, who in crew.filled:
            assert next(one for one in team if one.id == who).may_fill(post)


def test_each_shortfall_names_one_position_more_than_people():
    """The reason for a missing position is the smallest: so many positions, one fewer people who could take them."""
    chance = Random(11)
    seen = 0
    for _ in range(300):
        team = [person(f"p{k}", *chance.sample(POSITIONS, chance.randint(0, 3))) for k in range(5)]
        crew = cover(needed=POSITIONS, people=team, limits=NO_LIMITS, may_combine=())
        for short in crew.shortfalls:
            seen += 1
            assert len(short.positions) == len(short.people) + 1
            able = {one.id for one in team for post in short.positions if one.may_fill(post)}
            assert able == set(short.people)
    assert seen > 100


def test_a_supervisor_who_is_the_only_diver_does_not_dive():
    """One person never fills two positions: the diver is missing, and the reason names the one person there is."""
    team = [person("ada", "supervisor", "diver"), person("bo", "tender"), person("cy", "tender")]
    crew = cover(needed=("supervisor", "diver", "diver_tender"), people=team, limits=NO_LIMITS)
    assert crew.missing == ("diver",)
    assert crew.shortfalls[0].people == ("ada",)
    assert set(crew.shortfalls[0].positions) == {"supervisor", "diver"}


def test_people_are_moved_on_so_that_everybody_fits():
    """The first choice yields where it would leave another position empty."""
    team = [
        person("ada", "supervisor", "diver"),
        person("bo", "diver"),
        person("cy", "diver", "tender"),
        person("di", "tender"),
    ]
    crew = cover(needed=FULL, people=team, limits=NO_LIMITS, asked_for={"diver": "ada", "diver_tender": "cy"})
    assert dict(crew.filled)["supervisor"] == "ada"
    assert not crew.missing


def test_a_person_asked_for_gets_the_position_where_nothing_is_lost():
    """A wish is kept as long as nobody else needs that person."""
    team = [person("ada", "diver"), person("bo", "diver"), person("cy", "diver")]
    crew = cover(needed=("diver", "standby_diver"), people=team, limits=NO_LIMITS, asked_for={"diver": "cy"})
    assert dict(crew.filled)["diver"] == "cy"


def test_the_tired_the_unfit_and_those_who_dived_enough_are_left_out():
    """Limits bar a person from where they matter: dives bar from diving, not from tending."""
    limits = Limits(hours_awake=16, dives_24h=2)
    team = [
        person("ada", "diver", hours_awake=17),
        Member(id="bo", name="bo", qualifications=frozenset({"diver"}), fit="no"),
        person("cy", "diver", "tender", dives_24h=2),
    ]
    crew = cover(needed=("diver", "diver_tender"), people=team, limits=limits)
    assert crew.missing == ("diver",)
    assert crew.filled == (("diver_tender", "cy"),)


def test_the_tether_handler_doubles_only_when_nobody_else_can():
    """A pair that may be combined is combined where that fills a position, and not otherwise."""
    needed = ("standby_tender", "tether_handler")
    one = cover(needed=needed, people=[person("ada", "tender")], limits=NO_LIMITS)
    two = cover(needed=needed, people=[person("ada", "tender"), person("bo", "tender")], limits=NO_LIMITS)
    assert one.filled == (("standby_tender", "ada"), ("tether_handler", "ada"))
    assert len({who for _, who in two.filled}) == 2


def test_the_most_important_position_is_filled_first():
    """With one person for two positions the first of the list is kept."""
    crew = cover(needed=("standby_diver", "diver"), people=[person("ada", "diver")], limits=NO_LIMITS)
    assert crew.filled == (("standby_diver", "ada"),)
    assert crew.missing == ("diver",)
