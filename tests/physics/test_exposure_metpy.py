"""Against MetPy, and against the chart that the National Weather Service prints."""

from itertools import pairwise, product

import pytest

from opsrisk.physics.exposure import frostbite_within_30_min, heat_index_c, wind_chill_c
from opsrisk.physics.ranges import OutOfRange

MPH = 0.44704

# Air in F, wind in mph, chill in F as printed. The row that one copy labels -10 F is really -15 F and is not used.
CHART = [(0, 15, -19), (40, 5, 36), (20, 30, 1), (35, 10, 27), (10, 25, -11), (-20, 20, -48), (-45, 60, -98)]
METPY_CHILL = [(-10, 20, -17.8606), (0, 30, -6.4730), (5, 5, 4.0828), (-20, 15, -29.0768)]
METPY_HEAT = [
    (80, 40, 79.9294),
    (90, 70, 105.9220),
    (100, 40, 109.2556),
    (85, 90, 101.7808),
    (95, 10, 89.4496),
    (75, 50, 74.55),
]


def celsius(f):
    return (f - 32) / 1.8


@pytest.mark.parametrize(("air_f", "wind_mph", "chill_f"), CHART)
def test_wind_chill_is_the_printed_charts(air_f, wind_mph, chill_f):
    """The chart's cell is our number rounded to a whole degree F."""
    ours = wind_chill_c(air_c=celsius(air_f), wind_mps=wind_mph * MPH) * 1.8 + 32
    assert round(ours) == pytest.approx(chill_f, abs=0.51)


@pytest.mark.parametrize(("air_c", "wind_kmh", "chill_c"), METPY_CHILL)
def test_wind_chill_is_the_librarys_frozen_value(air_c, wind_kmh, chill_c):
    """Four values that MetPy gave, to their last digit."""
    assert wind_chill_c(air_c=air_c, wind_mps=wind_kmh / 3.6) == pytest.approx(chill_c, abs=6e-5)


@pytest.mark.parametrize(("air_f", "humidity", "index_f"), METPY_HEAT)
def test_heat_index_is_the_librarys_frozen_value(air_f, humidity, index_f):
    """Six values that MetPy gave, to their last digit."""
    ours = heat_index_c(air_c=celsius(air_f), humidity_percent=humidity) * 1.8 + 32
    assert ours == pytest.approx(index_f, abs=6e-5)


def test_both_indices_are_the_librarys_over_their_range():
    """MetPy run now agrees over a grid of air, wind and humidity."""
    calc = pytest.importorskip("metpy.calc", reason="MetPy is installed for tests only")
    units = pytest.importorskip("metpy.units", reason="MetPy is installed for tests only").units
    for air_c, wind_kmh in product(range(-45, 11, 5), (5, 10, 30, 70, 110)):
        library = calc.windchill(units.Quantity(air_c, "degC"), units.Quantity(wind_kmh, "km/h"), mask_undefined=False)
        ours = wind_chill_c(air_c=air_c, wind_mps=wind_kmh / 3.6)
        assert ours == pytest.approx(float(library.to("degC").m), abs=1e-9)
    for air_f, humidity in product(range(41, 121, 3), range(0, 101, 7)):
        library = calc.heat_index(
            units.Quantity(air_f, "degF"), units.Quantity(humidity, "percent"), mask_undefined=False
        )
        ours = heat_index_c(air_c=celsius(air_f), humidity_percent=humidity) * 1.8 + 32
        if air_f >= 80 and humidity <= 13 and ours < 79:
            continue  # the library takes the dry adjustment off the simple form too
        assert ours == pytest.approx(float(library.to("degF").m[0]), abs=1e-6)


def test_outside_the_formula_the_air_itself_is_the_answer():
    """Above 10 C, or in calm air, no chill is defined: nothing is made colder than it is."""
    assert wind_chill_c(air_c=15, wind_mps=20) == 15
    assert wind_chill_c(air_c=-5, wind_mps=0.5) == -5
    assert heat_index_c(air_c=0, humidity_percent=50) == 0


def test_chill_never_rises_when_air_cools_or_wind_grows():
    """Worse weather never looks better, over the formula's edges too."""
    winds = (0, 1.3, 1.4, 3, 10, 30, 60)
    airs = [40 - 0.5 * k for k in range(180)]
    for wind in winds:
        chills = [wind_chill_c(air_c=air, wind_mps=wind) for air in airs]
        assert all(b <= a for a, b in pairwise(chills))
    for air in airs:
        chills = [wind_chill_c(air_c=air, wind_mps=wind) for wind in winds]
        assert all(b <= a + 1e-9 for a, b in pairwise(chills))


def test_frostbite_starts_at_minus_eighteen_f():
    """-18 F of wind chill freezes skin within half an hour; a little warmer does not by this chart."""
    assert frostbite_within_30_min(air_c=celsius(0), wind_mps=15 * MPH)
    assert not frostbite_within_30_min(air_c=celsius(5), wind_mps=15 * MPH)


@pytest.mark.parametrize(
    ("call", "named"),
    [
        (lambda: wind_chill_c(air_c=-61, wind_mps=5), "air_c"),
        (lambda: wind_chill_c(air_c=0, wind_mps=-1), "wind_mps"),
        (lambda: wind_chill_c(air_c=float("nan"), wind_mps=1), "air_c"),
        (lambda: heat_index_c(air_c=30, humidity_percent=101), "humidity_percent"),
    ],
)
def test_impossible_weather_is_refused_by_name(call, named):
    """The argument, what was given and what is accepted."""
    with pytest.raises(OutOfRange) as refusal:
        call()
    assert refusal.value.argument == named
