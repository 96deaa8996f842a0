"""Water and air: published check values, plain sense, refusals."""

import pytest

from opsrisk.physics.ranges import OutOfRange
from opsrisk.physics.water import (
    altitude_pressure_pa,
    pressure_at_depth_pa,
    sound_speed_mps,
    water_density_kgpm3,
)

OLD_SCALE = 1.00024  # the check values are printed for temperatures on the scale of 1968


@pytest.mark.parametrize(("salinity", "expected"), [(35.0, 1027.67547), (0.0, 999.96675)])
def test_the_published_check_values_of_the_equation_of_state(salinity, expected):
    """At 5 C on the scale of 1968: 1027.67547 and 999.96675 kg/m3, to the last printed digit."""
    assert water_density_kgpm3(temperature_c=5 / OLD_SCALE, salinity=salinity) == pytest.approx(expected, abs=5e-6)


def test_ten_metres_are_about_one_atmosphere():
    """10 m of sea water add 1.005 bar, 10 m of fresh water 0.981 bar."""
    salt = pressure_at_depth_pa(depth_m=10, density_kgpm3=1025) - pressure_at_depth_pa(depth_m=0, density_kgpm3=1025)
    fresh = pressure_at_depth_pa(depth_m=10, density_kgpm3=1000) - 101325
    assert salt == pytest.approx(100518, abs=1)
    assert fresh == pytest.approx(98066.5, abs=0.1)


@pytest.mark.parametrize(
    ("altitude_m", "pressure_pa"),
    [
        (0, 101325),
        (300, 97772.7399),
        (500, 95461.2855),
        (1000, 89876.2776),
        (1500, 84559.6659),
        (2000, 79501.4111),
        (3000, 70121.1441),
    ],
)
def test_the_standard_atmosphere_to_its_printed_digits(altitude_m, pressure_pa):
    """Pressure at geometric altitude as another program of the same standard prints it."""
    assert altitude_pressure_pa(altitude_m=altitude_m) == pytest.approx(pressure_pa, abs=1e-3)


def test_air_at_altitude_over_water():
    """At a mountain lake the surface pressure is what is handed in, not the sea's."""
    high = altitude_pressure_pa(altitude_m=2000)
    assert pressure_at_depth_pa(depth_m=0, density_kgpm3=1000, surface_pa=high) == high


def test_sound_is_faster_in_warm_salt_and_deep_water():
    """Each of temperature, salinity and depth raises the speed."""
    usual = {"temperature_c": 10.0, "salinity": 20.0, "depth_m": 10.0}
    base = sound_speed_mps(**usual)
    for name, more in (("temperature_c", 15.0), ("salinity", 35.0), ("depth_m", 100.0)):
        assert sound_speed_mps(**usual | {name: more}) > base


@pytest.mark.parametrize(
    ("function", "arguments", "argument"),
    [
        (water_density_kgpm3, {"temperature_c": 41, "salinity": 0}, "temperature_c"),
        (water_density_kgpm3, {"temperature_c": 4, "salinity": -1}, "salinity"),
        (pressure_at_depth_pa, {"depth_m": 201, "density_kgpm3": 1000}, "depth_m"),
        (pressure_at_depth_pa, {"depth_m": 1, "density_kgpm3": 13600}, "density_kgpm3"),
        (pressure_at_depth_pa, {"depth_m": 1, "density_kgpm3": 1000, "surface_pa": 1.013}, "surface_pa"),
        (altitude_pressure_pa, {"altitude_m": 9000}, "altitude_m"),
        (sound_speed_mps, {"temperature_c": -1, "salinity": 0, "depth_m": 1}, "temperature_c"),
        (sound_speed_mps, {"temperature_c": 5, "salinity": 0, "depth_m": -1}, "depth_m"),
    ],
)
def test_outside_its_range_it_refuses_by_name(function, arguments, argument):
    """A value outside the range of the published form is refused, never extrapolated."""
    with pytest.raises(OutOfRange) as refusal:
        function(**arguments)
    assert refusal.value.argument == argument
