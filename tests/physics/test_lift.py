"""Lift: a published example, what breaks loose, what swells, refusals."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from opsrisk.physics.lift import bag_lift_kg, displaced_l, plan_lift
from opsrisk.physics.ranges import OutOfRange
from opsrisk.reference import lift as published


def test_the_published_outboard_motor():
    """50 kg that displace 20 L of sea water weigh 29.4 kg in it and need 28.5 L of air, as printed."""
    lift = plan_lift(
        mass_kg=published.EXAMPLE_MASS.si,
        displaced_l=published.EXAMPLE_DISPLACED.si,
        depth_m=10,
        density_kgpm3=published.EXAMPLE_WATER.si,
    )
    assert lift.weight_kg == pytest.approx(float(published.EXAMPLE_WEIGHT.value), abs=0.05)
    assert lift.air_l == pytest.approx(published.EXAMPLE_AIR.si, abs=0.05)


def test_a_litre_of_air_lifts_a_kilogram():
    """In fresh water a litre of air lifts a kilogram, as the rule of thumb says."""
    lifted = bag_lift_kg(air_l=100, from_depth_m=10, to_depth_m=10, bag_l=100, density_kgpm3=1000)
    assert lifted == pytest.approx(100 * float(published.RULE_OF_THUMB.value))


def test_steel_keeps_seven_eighths_of_its_weight_in_water():
    """Solid steel displaces little: 785 kg displace 100 L and weigh 685 kg in fresh water."""
    lift = plan_lift(mass_kg=785, displaced_l=displaced_l(mass_kg=785, material="steel"), depth_m=5)
    assert lift.weight_kg == pytest.approx(685)


def test_the_hold_of_the_mud_becomes_runaway_lift():
    """With mud that holds as much again as the weight, half the air is too much the moment it lets go."""
    free, stuck = (plan_lift(mass_kg=200, displaced_l=50, depth_m=10, mud_share=share) for share in (0.0, 1.0))
    assert stuck.pull_kg == pytest.approx(2 * free.pull_kg)
    assert stuck.runaway_kg == pytest.approx(stuck.weight_kg)
    assert free.runaway_kg == 0.0


def test_air_from_ten_metres_nearly_doubles():
    """From 10 m of fresh water air swells 1.97 times: a half-filled open bag ends up nearly full, a full one spills."""
    lift = plan_lift(mass_kg=100, displaced_l=20, depth_m=10)
    assert lift.swells == pytest.approx(1.968, abs=0.001)
    usual = {"from_depth_m": 10, "to_depth_m": 0, "bag_l": 100, "density_kgpm3": 1000}
    assert bag_lift_kg(air_l=50, **usual) == pytest.approx(98.4, abs=0.1)
    assert bag_lift_kg(air_l=90, **usual) == pytest.approx(100)


def test_the_cylinder_gives_free_air():
    """80 L in the bag at 10 m are 157 free litres from the cylinder."""
    lift = plan_lift(mass_kg=100, displaced_l=20, depth_m=10)
    assert lift.air_l == pytest.approx(80)
    assert lift.free_air_l == pytest.approx(80 * 1.968, abs=0.1)


@given(st.floats(1, 5000), st.floats(0, 0.9), st.floats(0, 60), st.floats(0, 5))
def test_the_air_balances_the_pull(mass, floating, depth, mud):
    """Whatever the object, the water that the air displaces weighs what must be pulled."""
    lift = plan_lift(mass_kg=mass, displaced_l=floating * mass, depth_m=depth, mud_share=mud, bag_kg=2.0)
    assert lift.air_l * 1000 / 1000 == pytest.approx(lift.pull_kg)
    assert lift.pull_kg == pytest.approx(lift.weight_kg + lift.runaway_kg + 2.0)


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: displaced_l(mass_kg=10, material="butter"), "material"),
        (lambda: plan_lift(mass_kg=0, displaced_l=0, depth_m=5), "mass_kg"),
        (lambda: plan_lift(mass_kg=10, displaced_l=11, depth_m=5), "displaced_l"),
        (lambda: plan_lift(mass_kg=10, displaced_l=1, depth_m=101), "depth_m"),
        (lambda: plan_lift(mass_kg=10, displaced_l=1, depth_m=5, mud_share=-1), "mud_share"),
        (lambda: bag_lift_kg(air_l=20, from_depth_m=5, to_depth_m=6, bag_l=50, density_kgpm3=1000), "to_depth_m"),
        (lambda: bag_lift_kg(air_l=60, from_depth_m=5, to_depth_m=0, bag_l=50, density_kgpm3=1000), "air_l"),
    ],
)
def test_what_needs_no_lift_or_cannot_be_is_refused(call, argument):
    """An object that floats, an unknown material, a bag fuller than full: refused by name."""
    with pytest.raises(OutOfRange) as refusal:
        call()
    assert refusal.value.argument == argument
