"""Between the solver's exact numbers and floats nothing is lost: order, edges, and what a person would write."""

import operator
from dataclasses import replace
from fractions import Fraction
from math import inf, nextafter

import pytest
import z3
from hypothesis import given
from hypothesis import strategies as st

from opsrisk.engine.algebra import NUMBERS, Steps
from opsrisk.engine.conditions import AllOf, Limit
from opsrisk.engine.inputs import INPUTS, Quantity
from opsrisk.engine.proof import OnSolver, Reading, prove
from opsrisk.engine.rounding import as_floats, best_of, marks, neighbours, shown, units_of, written
from opsrisk.protocols.shipped import baseline
from opsrisk.reference.units import to_si

QUANTITIES = [name for name in baseline().inputs if isinstance(INPUTS[name], Quantity)]
HARMLESS = {name: best_of(name) for name in INPUTS}


def between(low, high):
    """A condition on the current that only values strictly between two numbers fulfil."""
    over = Limit("readings.current", "worse_than", low, "low", "m/s", operator.gt)
    under = Limit("readings.current", "better_than", high, "high", "m/s", operator.lt)
    return AllOf((over, under))


def test_no_reading_lies_between_neighbouring_floats():
    """A rule that only an unwritable number could fire is said never to fire, though real numbers lie there."""
    low = to_si("1.3", "kn")
    rules = {"narrow": between(low, nextafter(low, inf)), "wide": between(low, nextafter(nextafter(low, inf), inf))}
    stop = next(rule for rule in baseline().rules if rule.id == "current_tended")
    added = tuple(replace(stop, id=name, when=when) for name, when in rules.items())
    protocol = replace(baseline(), rules=(*baseline().rules, *added))

    never = {failure.subject for failure in next(r for r in prove(protocol) if r.letter == "d").failures}

    assert never == {"narrow"}
    assert (low, nextafter(low, inf)) in set(neighbours(marks(protocol, "readings.current")))


@given(
    st.lists(st.fractions(min_value=-5, max_value=5), max_size=8),
    st.sets(st.floats(min_value=-5, max_value=5), min_size=2, max_size=6),
)
def test_floats_stand_to_each_other_as_the_exact_numbers_do(exact, at):
    """Equal stays equal, less stays less, and a mark is met only by what is exactly there."""
    at |= {-6.0, 6.0}
    found = as_floats(exact, at)

    everything = sorted({*exact, *(Fraction(mark) for mark in at)})
    floats = [found[value] for value in everything]

    assert floats == sorted(set(floats)) or any(a == b for a, b in neighbours(tuple(sorted(at))))
    assert all(found[Fraction(mark)] == mark for mark in at)


def test_a_number_too_near_to_a_mark_moves_off_it():
    """A third of the way to the next float would round onto the mark; it must stay beyond it."""
    mark = 1.0
    third = Fraction(mark) + Fraction(1, 3 * 2**52)

    found = as_floats([third], {0.0, mark, 2.0})

    assert float(third) == mark
    assert mark < found[third] < 2.0


@pytest.mark.parametrize("sign", [1, -1])
@pytest.mark.parametrize("inclusive", [(True, False), (False, True), (True, True), (False, False)])
def test_steps_at_one_threshold_are_taken_alike_by_the_solver(sign, inclusive):
    """Two steps at one number: the solver's staircase is the float reader's."""
    stairs = Steps(sign, 0, (sign * 1.0, sign * 1.0), inclusive, (5, 9))
    ctx = z3.Context()
    x = z3.Real("x", ctx)
    term = OnSolver(ctx).steps(Reading(x), stairs)
    for value in (0.0, nextafter(1.0, 0.0), 1.0, nextafter(1.0, 2.0), 3.0):
        exact = z3.RealVal(Fraction(value), ctx)
        assert z3.simplify(z3.substitute(term, (x, exact))).as_long() == NUMBERS.steps(value, stairs)


@pytest.mark.parametrize("name", QUANTITIES)
def test_what_is_shown_reads_back_to_the_same_number(name):
    """A value on the grid of what a person writes is shown exactly, in a unit of the protocol."""
    for values in list(written(baseline(), name, HARMLESS))[:3]:
        for value in values:
            number, _, unit = shown(baseline(), name, value).partition(" ")
            assert to_si(number, unit) == value
            assert unit in units_of(baseline(), name)


@pytest.mark.parametrize("name", QUANTITIES)
def test_written_values_stay_in_range_and_in_order(name):
    """Nothing that cannot be stated is tried, and harmless to worst or back is one direction."""
    item = INPUTS[name]
    for values in written(baseline(), name, HARMLESS):
        assert list(values) == sorted(values)
        assert all(item.lowest <= value <= item.highest for value in values)
