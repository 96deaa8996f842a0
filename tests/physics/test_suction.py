"""Pressure difference: published forces, the flow field summed from small sinks, distances, refusals."""

from math import cos, hypot, pi, sin, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from opsrisk.physics.ranges import OutOfRange
from opsrisk.physics.suction import Opening, flow_m3ps, holding_force_n, reach, speed_at_mps
from opsrisk.reference import suction as published

POUND_N = 4.4482216152605


def pipe(diameter_m: float) -> float:
    return pi * diameter_m**2 / 4


@pytest.mark.parametrize(
    ("head", "diameter", "force", "within_lb"),
    [
        (published.EXAMPLE_HEAD, published.EXAMPLE_PIPE, published.EXAMPLE_FORCE, 10),
        (published.SECOND_HEAD, published.SECOND_PIPE, published.SECOND_FORCE, 3),
    ],
)
def test_the_worked_forces(head, diameter, force, within_lb):
    """50 ft on a 10 in pipe hold with nearly 1,700 lb, 15 ft on 12 in with 735 lb (fresh water, within 0.5 percent)."""
    ours = holding_force_n(Opening(pipe(diameter.si), head.si))
    assert ours == pytest.approx(force.si, abs=within_lb * POUND_N)


def field_speed(radius, distance, flow, rings=60, spokes=60):
    """Speed on the axis of a round opening, summed from small sinks of equal flow spread over it, each drawing from a half space."""
    total = 0.0
    for ring in range(rings):
        r = radius * (ring + 0.5) / rings
        share = (2 * ring + 1) / rings**2 / spokes
        for spoke in range(spokes):
            angle = 2 * pi * spoke / spokes
            away = hypot(hypot(r * cos(angle), r * sin(angle)), distance)
            total += flow * share / (2 * pi * away**2) * distance / away
    return total


@pytest.mark.parametrize("radii_off", [2.0, 4.0, 10.0])
def test_the_half_sphere_never_says_too_little_on_the_axis(radii_off):
    """Against the opening's flow summed from 3,600 sinks: ours is larger, by under 25 percent from two radii on."""
    opening = Opening(pipe(0.5), head_m=2.0)
    flow = flow_m3ps(opening)
    distance = 0.25 * radii_off
    ours, summed = speed_at_mps(flow_m3ps=flow, distance_m=distance), field_speed(0.25, distance, flow)
    assert summed <= ours <= 1.25 * summed


def test_flow_is_that_of_a_falling_body():
    """2 m of head drive the water at 6.26 m/s through the free opening, less where the edge is sharp."""
    assert flow_m3ps(Opening(1.0, 2.0)) == pytest.approx(sqrt(2 * 9.80665 * 2.0))
    assert flow_m3ps(Opening(1.0, 2.0, contraction=0.62)) == pytest.approx(0.62 * sqrt(2 * 9.80665 * 2.0))


@given(st.floats(0.01, 50), st.floats(0.1, 1.0), st.sampled_from([1.0, 0.5, 0.25]))
def test_the_reach_is_where_the_speed_is_that_of_the_diver(flow, speed, sides):
    """At the stated distance the half-space flow over the open sides is just the speed given."""
    found = reach(flow_m3ps=flow, carried_at_mps=speed, sides=sides)
    assert flow / (2 * pi * sides * found.carried_m**2) == pytest.approx(speed)
    assert found.felt_m >= found.carried_m


def test_there_is_little_warning():
    """By default a flow of 0.5 m3/s is felt 1.3 m off and carries a diver from 0.6 m: half a metre between the two."""
    found = reach(flow_m3ps=0.5)
    assert found.felt_m == pytest.approx(1.26, abs=0.01)
    assert found.carried_m == pytest.approx(0.62, abs=0.01)


def test_a_corner_reaches_twice_as_far_as_a_wall():
    """Water that can only come from a quarter of the half space carries a diver from twice the distance."""
    assert reach(flow_m3ps=1.0, sides=0.25).carried_m == pytest.approx(2 * reach(flow_m3ps=1.0).carried_m)


def test_no_head_no_force():
    """Level water on both sides neither holds nor draws."""
    level = Opening(0.5, 0.0)
    assert holding_force_n(level) == 0.0
    assert flow_m3ps(level) == 0.0
    assert reach(flow_m3ps=0.0).carried_m == 0.0


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: Opening(0.0, 1.0), "area_m2"),
        (lambda: Opening(1.0, -1.0), "head_m"),
        (lambda: Opening(1.0, 1.0, contraction=0.1), "contraction"),
        (lambda: speed_at_mps(flow_m3ps=1.0, distance_m=0.0), "distance_m"),
        (lambda: reach(flow_m3ps=-1.0), "flow_m3ps"),
        (lambda: reach(flow_m3ps=1.0, carried_at_mps=0.3, felt_at_mps=0.4), "felt_at_mps"),
        (lambda: reach(flow_m3ps=1.0, sides=0.0), "sides"),
    ],
)
def test_what_is_no_opening_is_refused(call, argument):
    """Out of range is refused by name."""
    with pytest.raises(OutOfRange) as refusal:
        call()
    assert refusal.value.argument == argument
