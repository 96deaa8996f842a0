"""The vehicle's envelope: earlier runs, the worst direction searched for, the textbook rule, refusals, time."""

from math import cos, hypot, radians, sin, sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from opsrisk.physics.holding import envelope, holding_limit, worst_pull_n
from opsrisk.physics.line import Line
from opsrisk.physics.ranges import OutOfRange
from opsrisk.physics.tether import hang

KNOT = 1852 / 3600
VEHICLE = {"drag_area_m2": 0.1, "tether_diameter_m": 0.008, "density_kgpm3": 1025.0}
USUAL = VEHICLE | {"thrust_n": 100.0, "tether_out_m": 50.0, "depth_m": 10.0}

# Knots at 50, 100 and 200 N of horizontal thrust: an earlier, separate program of the same equations,
# at the direction square to the current only, printed to a hundredth.
TEXTBOOK = {
    30: (0.97, 1.38, 1.95),
    50: (0.80, 1.13, 1.59),
    75: (0.67, 0.95, 1.34),
    100: (0.59, 0.83, 1.18),
    150: (0.49, 0.69, 0.98),
}
ACROSS_TAUT = {
    30: (0.92, 1.31, 1.85),
    50: (0.72, 1.02, 1.44),
    75: (0.59, 0.84, 1.18),
    100: (0.51, 0.73, 1.03),
    150: (0.42, 0.60, 0.84),
}
ACROSS_SLACK = {
    30: (1.23, 1.74, 2.46),
    50: (1.02, 1.44, 2.04),
    75: (0.86, 1.22, 1.72),
    100: (0.76, 1.07, 1.52),
    150: (0.63, 0.89, 1.26),
}


def need_n(out_m: float, depth_m: float, slack: float, bearing_deg: float, drag: float = 1.2) -> float:
    """Horizontal thrust needed at 1 m/s with the vehicle at a bearing (180: up-current), by solving that very line."""
    level = sqrt(max(0.0, (out_m / slack) ** 2 - depth_m**2))
    angle = radians(bearing_deg)
    vehicle = (level * cos(angle), level * sin(angle), depth_m)
    shape = hang(
        line=Line(out_m, 0.008, drag, 0.01), vehicle_m=vehicle, platform_m=(0, 0, 0), profile=((0.0, 1.0, 0.0),),
        density_kgpm3=1025,
    )  # fmt: skip
    return hypot(0.5 * 1025 * 0.1 + shape.vehicle_pull_n[0], shape.vehicle_pull_n[1])


@pytest.mark.parametrize("out_m", TEXTBOOK)
def test_slack_tethers_fall_back_on_the_textbook_rule(out_m):
    """With 10 percent slack the whole length broadside allows less than the line does, so that is what is given."""
    for thrust, knots in zip((50, 100, 200), TEXTBOOK[out_m], strict=True):
        limit = holding_limit(**VEHICLE, thrust_n=thrust, tether_out_m=out_m, depth_m=10, normal_drag=1.2, slack=1.1)
        assert limit.direction == "textbook"
        assert limit.current_mps / KNOT == pytest.approx(knots, abs=0.0051)


@pytest.mark.parametrize("out_m", ACROSS_TAUT)
def test_a_taut_tether_across_the_stream_allows_less_than_the_textbook(out_m):
    """With 2 percent slack the earlier table's figures come back, or up to 0.02 kn less for the worst direction."""
    for thrust, knots in zip((50, 100, 200), ACROSS_TAUT[out_m], strict=True):
        limit = holding_limit(**VEHICLE, thrust_n=thrust, tether_out_m=out_m, depth_m=10, normal_drag=1.2, slack=1.02)
        assert limit.direction == "across"
        assert knots - 0.025 <= limit.current_mps / KNOT <= knots + 0.0051


@pytest.mark.parametrize("out_m", ACROSS_SLACK)
def test_the_line_itself_across_the_stream_matches_the_earlier_table(out_m):
    """Square to the stream with 10 percent slack, without the textbook rule: the earlier table to its last digit."""
    need = need_n(out_m, 10, 1.1, 90)
    for thrust, knots in zip((50, 100, 200), ACROSS_SLACK[out_m], strict=True):
        assert sqrt(thrust / need) / KNOT == pytest.approx(knots, abs=0.0051)


@pytest.mark.parametrize(
    ("out_m", "depth_m", "slack"),
    [(30, 10, 1.02), (30, 25, 1.05), (12, 11, 1.02), (100, 10, 1.03), (100, 60, 1.02), (60, 57, 1.04)],
)
def test_no_direction_is_worse_than_the_one_it_took(out_m, depth_m, slack):
    """Every direction all round, solved one by one: none needs over 0.5 percent more than the limit allowed for."""
    limit = holding_limit(**VEHICLE, thrust_n=100, tether_out_m=out_m, depth_m=depth_m, normal_drag=1.2, slack=slack)
    needs = [need_n(out_m, depth_m, slack, bearing) for bearing in range(0, 181, 10)]
    allowed = 100 / limit.current_mps**2
    assert max(needs) <= 1.005 * allowed
    if limit.direction != "textbook":
        assert max(needs) >= 0.98 * allowed


@settings(max_examples=50, deadline=None)
@given(
    thrust=st.floats(20, 1000), area=st.floats(0.01, 1.0), out=st.floats(15, 300), share=st.floats(0.0, 0.9),
    slack=st.sampled_from([1.02, 1.05, 1.1, 1.3]),
)  # fmt: skip
def test_it_never_allows_more_than_the_textbook_rule(thrust, area, out, share, slack):
    """Whatever the vehicle and the tether, the whole length broside to the current is never beaten."""
    limit = holding_limit(
        thrust_n=thrust, drag_area_m2=area, tether_diameter_m=0.008, tether_out_m=out, depth_m=share * out / slack,
        density_kgpm3=1000, slack=slack,
    )  # fmt: skip
    textbook = sqrt(thrust / (0.5 * 1000 * (area + 1.5 * 0.008 * out)))
    assert 0 < limit.current_mps <= textbook * (1 + 1e-12)
    assert limit.residual_m < 1e-3


@settings(max_examples=30, deadline=None)
@given(
    factor=st.floats(1.01, 3.0),
    argument=st.sampled_from(["drag_area_m2", "tether_diameter_m", "normal_drag", "tether_out_m"]),
)
def test_more_drag_or_more_tether_never_helps(factor, argument):
    """A larger vehicle, a thicker, rougher or longer tether: the limit does not rise."""
    usual = USUAL | {"normal_drag": 1.2}
    assert (
        holding_limit(**usual | {argument: usual[argument] * factor}).current_mps <= holding_limit(**usual).current_mps
    )


def test_four_times_the_thrust_holds_twice_the_current():
    """Forces grow with the square of the speed, so the limit grows with the root of the thrust."""
    one, four = holding_limit(**USUAL), holding_limit(**USUAL | {"thrust_n": 400.0})
    assert four.current_mps == pytest.approx(2 * one.current_mps, rel=1e-9)
    assert four.vertical_pull_n == pytest.approx(4 * one.vertical_pull_n, rel=1e-9)


def test_the_lift_is_the_lift_of_the_solved_line():
    """The vertical pull at the limit is what the line square to the stream pulls there, or up to a tenth more."""
    limit = holding_limit(**USUAL | {"slack": 1.02})
    level = sqrt((50 / 1.02) ** 2 - 100)
    shape = hang(
        line=Line(50, 0.008, 1.5, 0.01), vehicle_m=(0, level, 10), platform_m=(0, 0, 0),
        profile=((0.0, limit.current_mps, 0.0),), density_kgpm3=1025,
    )  # fmt: skip
    lift = -shape.vehicle_pull_n[2]
    assert lift * 0.999 <= limit.vertical_pull_n <= 1.1 * lift


def test_the_envelope_is_the_limit_cell_by_cell():
    """A table of lengths and depths holds the single answers, and None where the tether does not reach."""
    table = envelope(**VEHICLE, thrust_n=100, tether_out_m=(20.0, 60.0), depths_m=(5.0, 30.0))
    assert table.limits[0][1] is None
    assert table.limits[1][1] == holding_limit(**VEHICLE, thrust_n=100, tether_out_m=60, depth_m=30)
    assert table.limits[0][0].current_mps > table.limits[1][0].current_mps


def test_the_pull_of_a_tending_line_is_that_of_the_solved_line():
    """The greatest pull on a diver at the end of 40 m of line is found again by solving lines all round."""
    worst = worst_pull_n(current_mps=1.0, line_diameter_m=0.01, line_out_m=40, depth_m=8, density_kgpm3=1000)
    level = sqrt((40 / 1.05) ** 2 - 64)
    pulls = []
    for bearing in range(40, 181, 10):
        at = (level * cos(radians(bearing)), level * sin(radians(bearing)), 8.0)
        shape = hang(
            line=Line(40, 0.01), vehicle_m=at, platform_m=(0, 0, 0), profile=((0.0, 1.0, 0.0),), density_kgpm3=1000
        )
        pulls.append(hypot(*shape.vehicle_pull_n[:2]))
    assert worst == pytest.approx(max(pulls), rel=0.01)


@pytest.mark.parametrize(
    ("argument", "value"),
    [
        ("thrust_n", 0.0),
        ("drag_area_m2", -1.0),
        ("tether_diameter_m", 0.0),
        ("tether_out_m", 10.0),
        ("tether_out_m", float("inf")),
        ("depth_m", -1.0),
        ("density_kgpm3", 800.0),
        ("normal_drag", 9.0),
        ("tangential_drag", 0.5),
        ("slack", 1.0),
    ],
)
def test_a_refusal_names_the_argument(argument, value):
    """What is out of range is refused with its name, what was given and what is accepted; so is a tether too short."""
    with pytest.raises(OutOfRange) as refusal:
        holding_limit(**USUAL | {argument: value})
    assert refusal.value.argument == argument
    assert str(value) in str(refusal.value)
