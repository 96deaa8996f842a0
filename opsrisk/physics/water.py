"""Density, pressure and sound speed of water, and the air pressure at altitude: short published forms.

Checked against the full equation of state and an independent standard atmosphere
(tests/physics/test_against_gsw.py, test_against_ambiance.py); the errors given are those measured there.
"""

from math import sqrt

from opsrisk.physics.ranges import within
from opsrisk.reference import water as published

GRAVITY_MPS2 = published.STANDARD_GRAVITY.si
FRESH_KGPM3 = 1000.0
SALT_KGPM3 = 1025.0
SEA_LEVEL_PA = 101325.0

_PURE, _SALT, _SALT_15, _SALT_2 = (published.DENSITY.column(name) for name in ("pure water", "s", "s^1.5", "s^2"))
_SOUND, _SOUND_SALT, _SOUND_DEPTH = (published.SOUND_SPEED.column(name) for name in ("alone", "s - 35", "depth"))


def water_density_kgpm3(*, temperature_c: float, salinity: float) -> float:
    """Density of water at the surface in kg/m3, from temperature (-2 to 40 C) and practical salinity (0 to 42).

    The one-atmosphere form of 1980 (UNESCO 44); within 0.006 kg/m3 of the full equation of state.
    30 m deeper adds 0.14 kg/m3. Raises OutOfRange.

    >>> round(water_density_kgpm3(temperature_c=5 / 1.00024, salinity=35), 5)
    1027.67547
    """
    within("temperature_c", temperature_c, -2.0, 40.0, "C")
    within("salinity", salinity, 0.0, 42.0, "")
    t = published.SCALE_OF_1968.si * temperature_c
    root = sqrt(salinity)
    return _power_sum(_PURE, t) + salinity * (
        _power_sum(_SALT, t) + root * _power_sum(_SALT_15, t) + salinity * _power_sum(_SALT_2, t)
    )


def pressure_at_depth_pa(*, depth_m: float, density_kgpm3: float, surface_pa: float = SEA_LEVEL_PA) -> float:
    """Absolute pressure in Pa at a depth of 0 to 200 m: surface pressure and the weight of the water.

    Water is taken as not compressed and gravity as standard: gauge pressure within 0.32 percent of the full
    equation of state to 50 m, at 1,000 kg/m3 for fresh and 1,025 for salt. Raises OutOfRange.

    >>> round(pressure_at_depth_pa(depth_m=30, density_kgpm3=1025))
    402879
    """
    within("depth_m", depth_m, 0.0, 200.0, "m")
    within("density_kgpm3", density_kgpm3, 990.0, 1060.0, "kg/m3")
    within("surface_pa", surface_pa, 50_000.0, 110_000.0, "Pa")
    return surface_pa + density_kgpm3 * GRAVITY_MPS2 * depth_m


def altitude_pressure_pa(*, altitude_m: float) -> float:
    """Air pressure in Pa of the standard atmosphere at -500 to 5,000 m above the sea (ISO 2533, geometric altitude).

    Weather moves the true pressure by up to 5 percent: a barometer on scene wins. Raises OutOfRange.

    >>> round(altitude_pressure_pa(altitude_m=2000), 1)
    79501.4
    """
    within("altitude_m", altitude_m, -500.0, 5000.0, "m")
    radius = published.EARTH_RADIUS.si
    geopotential_m = radius * altitude_m / (radius + altitude_m)
    lapse = published.LAPSE_RATE.si
    warm = published.SEA_LEVEL_TEMPERATURE_K.si
    exponent = GRAVITY_MPS2 / (published.GAS_CONSTANT.si * lapse)
    return float(SEA_LEVEL_PA * ((warm - lapse * geopotential_m) / warm) ** exponent)


def sound_speed_mps(*, temperature_c: float, salinity: float, depth_m: float) -> float:
    """Speed of sound in m/s in water of 0 to 35 C, salinity 0 to 45, at 0 to 1,000 m (Medwin 1975).

    Within 0.8 m/s of the full equation of state: half a part in a thousand of any range. Raises OutOfRange.

    >>> round(sound_speed_mps(temperature_c=10, salinity=35, depth_m=0), 1)
    1490.0
    """
    within("temperature_c", temperature_c, 0.0, 35.0, "C")
    within("salinity", salinity, 0.0, 45.0, "")
    within("depth_m", depth_m, 0.0, 1000.0, "m")
    salt = (salinity - 35.0) * _power_sum(_SOUND_SALT, temperature_c)
    return _power_sum(_SOUND, temperature_c) + salt + depth_m * _power_sum(_SOUND_DEPTH, temperature_c)


def _power_sum(coefficients: tuple[float, ...], t: float) -> float:
    total = 0.0
    for coefficient in reversed(coefficients):
        total = total * t + coefficient
    return total
