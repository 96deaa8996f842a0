"""Points along a reading: exact at the printed breakpoints, rounded up between them, and they add up on paper."""

import itertools
from fractions import Fraction
from math import ceil

import pytest

from opsrisk.assessment.assess import assess
from opsrisk.engine.algebra import NUMBERS
from opsrisk.engine.conditions import holds
from opsrisk.engine.decide import SCORE_CAP, decide
from opsrisk.engine.inputs import INPUTS, Quantity
from opsrisk.engine.points import staircase
from opsrisk.protocols.shipped import baseline
from opsrisk.reference.units import from_si, to_si
from tests.engine.at_random import columns, row
from tests.situations import cases, situation

MEASURED = [factor for factor in baseline().factors if isinstance(INPUTS[factor.input], Quantity)]
GRADED = [factor for factor in baseline().factors if factor not in MEASURED]


def on_paper(breakpoints, value: Fraction) -> int:
    """Points read off the printed breakpoints with a ruler: straight lines, rounded up."""
    marks = [(Fraction(text), points) for text, points in breakpoints]
    sign = 1 if marks[-1][0] > marks[0][0] else -1
    if sign * value <= sign * marks[0][0]:
        return marks[0][1]
    for (start, low), (end, high) in itertools.pairwise(marks):
        if sign * value <= sign * end:
            return ceil(low + (high - low) * (value - start) / (end - start))
    return marks[-1][1]


@pytest.mark.parametrize("factor", MEASURED, ids=lambda factor: factor.id)
def test_points_are_exact_at_each_printed_breakpoint(factor):
    """A reading that equals a printed value has the printed points, in the printed unit."""
    for text, points in factor.breakpoints:
        assert NUMBERS.steps(to_si(text, factor.unit), factor.steps) == points


@pytest.mark.parametrize("factor", MEASURED, ids=lambda factor: factor.id)
def test_points_between_breakpoints_are_those_on_paper(factor):
    """At every value somebody may type, to three digits, the points are the straight line's, rounded up."""
    ends = [Fraction(text) for text, _ in factor.breakpoints]
    parts = 1000 if max(ends) - min(ends) < 10 else 10
    wrong = []
    for step in range(int(min(ends) * parts) - parts, int(max(ends) * parts) + parts):
        value = Fraction(step, parts)
        if NUMBERS.steps(to_si(value, factor.unit), factor.steps) != on_paper(factor.breakpoints, value):
            wrong.append(str(value))
    assert not wrong


def test_a_whole_point_at_a_typed_value_is_not_rounded_up_again():
    """1.25 kn lies on 25 points exactly; in metres a second a line through rounded ends gave 26."""
    current = next(factor for factor in MEASURED if factor.id == "current")

    assert NUMBERS.steps(to_si("1.25", "kn"), current.steps) == 25
    assert NUMBERS.steps(to_si("1.2500001", "kn"), current.steps) == 26


def test_a_falling_line_is_rounded_up_too():
    """Where a (bad) protocol lets points fall, the higher whole point holds until the line reaches the lower one."""
    falling = staircase([Fraction(0), Fraction(1)], [2, 0], 1, ramp=True)

    found = [NUMBERS.steps(value, falling) for value in (-1.0, 0.0, 0.25, 0.4999, 0.5, 0.75, 0.9999, 1.0, 2.0)]

    assert found == [2, 2, 2, 2, 1, 1, 1, 0, 0]


def test_a_level_stretch_has_no_steps():
    """Between equal points nothing changes."""
    level = staircase([Fraction(0), Fraction(1), Fraction(2)], [3, 3, 4], 1, ramp=True)

    assert level.thresholds == (1.0,)
    assert [NUMBERS.steps(value, level) for value in (0.5, 1.0, 1.0001, 2.0)] == [3, 3, 4, 4]


@pytest.mark.parametrize("factor", GRADED, ids=lambda factor: factor.id)
def test_a_category_has_the_points_of_its_word(factor):
    """Each word has its own points, none between."""
    found = [NUMBERS.steps(place, factor.steps) for place in range(len(factor.breakpoints))]

    assert found == [points for _, points in factor.breakpoints]


def test_the_sum_can_be_done_on_paper():
    """For 1,000 random sets of inputs the printed tables alone give the engine's sum, and its score capped at 100."""
    protocol = baseline()
    drawn = columns(protocol, 1000, seed=1, harmless=0.6)
    over = 0
    for place in range(1000):
        at = row(drawn, place)
        typed = {each.input: from_si(at[each.input], each.unit, 2) for each in MEASURED}
        at |= {each.input: to_si(typed[each.input], each.unit) for each in MEASURED}
        outcome = decide(protocol, at, NUMBERS)
        total = sum(on_paper(each.breakpoints, Fraction(typed[each.input])) for each in MEASURED)
        total += sum(each.breakpoints[at[each.input]][1] for each in GRADED)
        total += sum(extra.points for extra in protocol.combinations if holds(extra.when, at, NUMBERS))
        assert (outcome.sum, outcome.score) == (total, min(total, SCORE_CAP))
        over += total > SCORE_CAP
    assert 0 < over < 1000


@pytest.mark.parametrize("case", cases()[::4], ids=lambda case: case["name"])
def test_the_points_of_the_document_add_up_to_its_score(case):
    """The decision document lists every point it counts."""
    made = situation(case["base"], case.get("vehicle", "none in the kit"), **case.get("given", {}))

    decision = assess(made, baseline())

    assert decision["score"] == min(100, sum(line["points"] for line in decision["points"]))
    assert all(line["points"] for line in decision["points"])
