"""The tether's shape: closed forms, a published worked example, laws it must keep, and what it refuses."""

from math import asinh, dist, hypot, inf, sinh, sqrt

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from opsrisk.physics.drag import body_drag_n, broadside_n
from opsrisk.physics.line import Line, current_at
from opsrisk.physics.ranges import OutOfRange
from opsrisk.physics.tether import NotClosed, hang
from opsrisk.reference import drag as published

STREAM = ((0.0, 0.5, 0.0),)


def solve_a(chord: float, length: float) -> float:
    """The a of a catenary of `length` over `chord`: length = 2 a sinh(chord / 2a), by bisection."""
    low, high = chord / 1400.0, 1e6
    for _ in range(200):
        a = 0.5 * (low + high)
        low, high = (a, high) if 2 * a * sinh(chord / (2 * a)) > length else (low, a)
    return a


@pytest.mark.parametrize(("length", "chord"), [(100.0, 90.0), (50.0, 49.0), (80.0, 40.0), (300.0, 296.0)])
def test_a_line_square_to_the_current_is_a_catenary(length, chord):
    """Neutral, no drag along it, square to the current: tension is q a all along, sag as the catenary's."""
    line = Line(length, 0.008, 1.2, 0.0)
    shape = hang(line=line, vehicle_m=(0, chord, 10), platform_m=(0, 0, 10), profile=STREAM, density_kgpm3=1000)
    q = 0.5 * 1000 * 1.2 * 0.008 * 0.5**2
    a = solve_b(chord, length)
    assert shape.vehicle_tension_n == pytest.approx(q * a, rel=1e-5)
    assert shape.platform_tension_n == pytest.approx(q * a, rel=1e-5)
    assert shape.points_m[shape.steps // 2][0] == pytest.approx(sqrt(a * a + length**2 / 4) - a, abs=1e-3)


def solve_b(chord: float, length: float) -> float:
    """The a of the line in a current: chord = 2 a asinh(length / 2a), the same curve told by its length."""
    low, high = 1e-3, 1e6
    for _ in range(200):
        a = 0.5 * (low + high)
        low, high = (a, high) if 2 * a * asinh(length / (2 * a)) < chord else (low, a)
    return a


def test_the_published_closed_form_in_full_digits():
    """100 m over 90 m at 0.5 m/s: 67.211325 N, sag 19.070901 m, 44.759605 N along the current, 50.139206 N across."""
    shape = hang(
        line=Line(100, 0.008, 1.2, 0.0),
        vehicle_m=(0, 90, 10),
        platform_m=(0, 0, 10),
        profile=STREAM,
        density_kgpm3=1000,
    )
    assert shape.vehicle_tension_n == pytest.approx(67.211325, abs=1e-4)
    assert max(p[0] for p in shape.points_m) == pytest.approx(19.070901, abs=1e-3)
    assert shape.vehicle_pull_n[0] == pytest.approx(44.759605, abs=2e-3)
    assert shape.vehicle_pull_n[1] == pytest.approx(-50.139206, abs=2e-3)


@pytest.mark.parametrize(("length", "chord", "weight"), [(100.0, 90.0, 2.0), (60.0, 58.0, 0.4), (40.0, 25.0, -0.7)])
def test_a_heavy_line_in_almost_still_water_is_the_common_catenary(length, chord, weight):
    """Without current a line hangs (or floats up) in the catenary of its own weight: T = w a cosh(c / 2a)."""
    line = Line(length, 0.008, 1.2, 0.0, weight_npm=weight)
    still = ((0.0, 0.0, 0.0),)
    shape = hang(line=line, vehicle_m=(0, chord, 50), platform_m=(0, 0, 50), profile=still, density_kgpm3=1000)
    a = solve_a(chord, length)
    assert shape.platform_tension_n == pytest.approx(abs(weight) * sqrt(a * a + length**2 / 4), rel=1e-5)
    assert shape.points_m[shape.steps // 2][2] - 50 == pytest.approx(
        (sqrt(a * a + length**2 / 4) - a) * (1 if weight > 0 else -1), abs=1e-3
    )


def test_the_worked_example_of_the_handbook():
    """Vehicle 25.5 lb and 500 ft of umbilical 106.3 lb at 1 knot, as printed, within the last printed digit."""
    density = published.EXAMPLE_DENSITY.si * 9.80665 / published.EXAMPLE_GRAVITY.si
    speed = published.EXAMPLE_SPEED.si
    vehicle = body_drag_n(
        drag_coefficient=published.EXAMPLE_VEHICLE_DRAG.si, area_m2=published.EXAMPLE_VEHICLE_AREA.si, speed_mps=speed,
        density_kgpm3=density,
    )  # fmt: skip
    line = broadside_n(
        length_m=published.EXAMPLE_LINE_LENGTH.si, diameter_m=published.EXAMPLE_LINE_DIAMETER.si,
        normal_drag=published.EXAMPLE_LINE_DRAG.si, speed_mps=speed, density_kgpm3=density,
    )  # fmt: skip
    tenth_of_a_pound = 0.44482216
    assert vehicle == pytest.approx(published.EXAMPLE_VEHICLE_FORCE.si, abs=tenth_of_a_pound / 2)
    assert line == pytest.approx(published.EXAMPLE_LINE_FORCE.si, abs=tenth_of_a_pound / 2)


# Laws, over lines such as a team would pay out

coordinates = st.floats(-40, 40)
speeds = st.floats(-1.5, 1.5)


@st.composite
def lines(draw):
    """A line of 5 to 70 m with 2 to 60 percent slack from the surface to a vehicle 3 to 30 m deep, in a sheared current."""
    vehicle = (draw(coordinates), draw(coordinates), draw(st.floats(3, 30)))
    away = dist(vehicle, (0, 0, 0))
    line = Line(
        away * draw(st.floats(1.02, 1.6)),
        draw(st.floats(0.004, 0.016)),
        draw(st.floats(1.0, 2.0)),
        draw(st.floats(0, 0.02)),
    )
    profile = tuple((z, draw(speeds), draw(speeds)) for z in (0.0, 10.0, 20.0))
    assume(min(hypot(u, v) for _, u, v in profile) > 0.1)
    return {
        "line": line,
        "vehicle_m": vehicle,
        "platform_m": (0.0, 0.0, 0.0),
        "profile": profile,
        "density_kgpm3": 1000.0,
    }


def solved(case):
    """The shape, or the example dropped where the solver refuses by name: a refusal is tested elsewhere."""
    try:
        return hang(**case)
    except NotClosed:
        assume(False)


@settings(max_examples=60, deadline=None)
@given(lines())
def test_the_line_closes_and_balances(case):
    """The last point is the platform within a millimetre, and both pulls together equal the load on the line."""
    shape = solved(case)
    assert dist(shape.points_m[0], case["vehicle_m"]) < 1e-9
    assert dist(shape.points_m[-1], case["platform_m"]) <= 1e-3
    assert shape.residual_m <= 1e-3
    assert shape.error_n <= 5e-4 * shape.greatest_tension_n


@settings(max_examples=40, deadline=None)
@given(lines())
def test_the_line_is_as_long_as_it_was_paid_out(case):
    """The straight pieces between the points add up to the length, less only what their curvature hides."""
    shape = solved(case)
    pieces = sum(dist(a, b) for a, b in zip(shape.points_m, shape.points_m[1:], strict=False))
    assert 0.99 * case["line"].length_m < pieces <= case["line"].length_m * (1 + 1e-6)


@settings(max_examples=30, deadline=None)
@given(lines(), st.floats(0.3, 2.0))
def test_forces_of_a_neutral_line_grow_with_the_square_of_the_current(case, factor):
    """Every speed times k: every force times k squared, the shape unchanged."""
    shape = solved(case)
    faster = tuple((z, u * factor, v * factor) for z, u, v in case["profile"])
    other = solved(case | {"profile": faster})
    tolerance = 2e-3 * shape.greatest_tension_n * factor**2
    for a, b in zip(shape.vehicle_pull_n, other.vehicle_pull_n, strict=True):
        assert b == pytest.approx(a * factor**2, abs=tolerance)


@settings(max_examples=30, deadline=None)
@given(lines())
def test_a_mirrored_current_gives_the_mirrored_line(case):
    """y turned round everywhere turns the sideways pull round and nothing else."""
    shape = solved(case)
    x, y, z = case["vehicle_m"]
    mirrored = tuple((depth, u, -v) for depth, u, v in case["profile"])
    other = solved(case | {"vehicle_m": (x, -y, z), "profile": mirrored})
    tolerance = 2e-3 * shape.greatest_tension_n
    assert other.vehicle_pull_n[0] == pytest.approx(shape.vehicle_pull_n[0], abs=tolerance)
    assert other.vehicle_pull_n[1] == pytest.approx(-shape.vehicle_pull_n[1], abs=tolerance)
    assert other.vehicle_pull_n[2] == pytest.approx(shape.vehicle_pull_n[2], abs=tolerance)


def test_both_ends_alike_pull_alike():
    """A level line square to a uniform current has the same tension at both ends."""
    shape = hang(line=Line(60, 0.01), vehicle_m=(0, 50, 5), platform_m=(0, 0, 5), profile=STREAM, density_kgpm3=1025)
    assert shape.vehicle_tension_n == pytest.approx(shape.platform_tension_n, rel=1e-6)


def test_a_line_that_stretches_pulls_less():
    """A taut line that gives way pulls less than one that does not, and one that hardly gives way hardly less."""

    def pull(stiffness: float) -> float:
        line = Line(100, 0.008, 1.2, 0.0, stiffness_n=stiffness)
        return hang(
            line=line, vehicle_m=(0, 99.5, 5), platform_m=(0, 0, 5), profile=((0.0, 1.0, 0.0),), density_kgpm3=1000
        ).vehicle_tension_n

    assert pull(5e3) < pull(1e5) < pull(inf)
    assert pull(1e9) == pytest.approx(pull(inf), rel=1e-3)


def test_the_current_between_two_rows_is_on_the_straight_line_and_constant_outside():
    """Half way between 0.8 and 0.4 m/s is 0.6; above the first and below the last row nothing changes."""
    at = current_at(((2.0, 0.8, 0.0), (10.0, 0.4, 0.2)))
    assert at(6.0) == pytest.approx((0.6, 0.1))
    assert at(0.0) == (0.8, 0.0)
    assert at(50.0) == (0.4, 0.2)


GOOD = {"vehicle_m": (0, 40, 10), "platform_m": (0, 0, 0), "profile": STREAM, "density_kgpm3": 1000}


@pytest.mark.parametrize(
    ("change", "argument"),
    [
        ({"line": Line(41, 0.008)}, "distance between vehicle_m and platform_m"),
        ({"density_kgpm3": 1.2}, "density_kgpm3"),
        ({"vehicle_m": (0, 40, -1)}, "vehicle_m"),
        ({"platform_m": (0, float("nan"), 0)}, "platform_m"),
        ({"profile": ()}, "profile"),
        ({"profile": ((5.0, 0.5, 0.0), (2.0, 0.5, 0.0))}, "profile"),
        ({"profile": ((0.0, 11.0, 0.0),)}, "profile u_mps"),
        ({"profile": ((0.0, 0.0, 0.0),)}, "profile"),
    ],
)
def test_what_it_cannot_answer_is_refused_by_name(change, argument):
    """Each bad argument is refused with its name, what was given and what is accepted."""
    with pytest.raises(OutOfRange) as refusal:
        hang(**({"line": Line(50, 0.008)} | GOOD | change))
    assert refusal.value.argument == argument
    assert refusal.value.accepted


@pytest.mark.parametrize(
    ("argument", "value"),
    [("length_m", 0.5), ("diameter_m", 0.2), ("normal_drag", 0.0), ("tangential_drag", -0.1), ("weight_npm", 99.0), ("stiffness_n", 10.0), ("length_m", True)],
)  # fmt: skip
def test_a_line_out_of_range_is_refused_by_name(argument, value):
    """A line outside the range that was checked is refused when it is described."""
    with pytest.raises(OutOfRange, match=argument):
        Line(**({"length_m": 50.0, "diameter_m": 0.008} | {argument: value}))
