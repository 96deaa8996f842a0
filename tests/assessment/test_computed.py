"""What follows from the readings before the decision: wind chill, heat, gas, ice; rounded toward more caution."""

from dataclasses import replace

import pytest

from opsrisk.assessment.assess import assess
from opsrisk.assessment.computed import facts_of, rounded
from opsrisk.engine.decide import inputs_read
from opsrisk.engine.inputs import INPUTS
from opsrisk.physics.exposure import wind_chill_c
from opsrisk.protocols.shipped import baseline
from opsrisk.reference.units import to_si
from tests.situations import situation

GAS = {"dive.gas.cylinder_volume": "12 L", "dive.gas.pressure": "200 bar", "dive.gas.reserve": "50 bar"}


def fact(name, **given):
    return facts_of(situation(**given), baseline())[name]


def test_every_input_that_the_protocol_reads_has_a_fact():
    """In the order of the inputs, for a situation that says much and for one that says nothing."""
    for made in (situation(), replace(situation(), document={"format": "opsrisk.situation/1"})):
        found = facts_of(made, baseline())
        assert set(inputs_read(baseline())) <= set(found)
        assert list(found) == [name for name in INPUTS if name in found]


def test_wind_chill_is_that_of_the_formula_rounded_down():
    """-10 C at 20 kn, to a tenth of a degree, never warmer than computed."""
    exact = wind_chill_c(air_c=-10, wind_mps=to_si("20", "kn"))

    found = fact("computed.wind_chill", **{"readings.air_temperature": "-10 C", "readings.wind_speed": "20 kn"})

    assert found.value <= exact < found.value + 0.1
    assert found.worst < found.value < found.best
    assert found.of == ("readings.air_temperature", "readings.wind_speed")


def test_wind_nobody_knows_chills_at_its_worst():
    """At 2 C a storm that nobody measured counts."""
    cold = {"readings.air_temperature": "2 C"}
    known = fact("computed.wind_chill", **cold, **{"readings.wind_speed": "5 kn"})
    unknown = fact("computed.wind_chill", **cold, **{"readings.wind_speed": "unknown"})

    assert unknown.value < known.value


def test_the_strongest_wind_that_can_be_stated_can_be_assessed():
    """120 kn is inside what the wind chill formula takes: no refusal in the middle of a storm."""
    decision = assess(situation(**{"readings.wind_speed": "120 kn"}), baseline())

    assert {line["factor"]: line["points"] for line in decision["points"]}["wind"] == 8


def test_heat_is_the_same_reading_the_other_way_round():
    """Colder is worse for the chill, hotter for the heat; unknown is the worst both ways."""
    hot = fact("computed.heat", **{"readings.air_temperature": "38 C"})
    unknown = fact("computed.water_heat", **{"readings.water_temperature": "unknown"})

    assert hot.best < hot.value == 38.0 < hot.worst
    assert unknown.value == unknown.worst == INPUTS["computed.water_heat"].highest
    assert unknown.best == INPUTS["computed.water_heat"].lowest


def test_gas_minutes_by_hand():
    """Real air at 40 C: Z 1.0428 at 200 bar, 0.9956 at 50, so 2,283 L less 607 L over 77.9 L/min, less 3 min: 18.5."""
    held, kept = (12 * (bar + 1.01325) / 1.01325 * 0.99985 / z for bar, z in ((200, 1.04281), (50, 0.99556)))
    by_hand = (held - kept) / (39.6 * (1 + 1000 * 9.80665 * 10 / 101325)) - 3

    found = fact("computed.gas_minutes", **GAS, **{"readings.depth": "10 m", "site.water": "fresh"})

    assert found.value == pytest.approx(by_hand, abs=0.1)
    assert found.value == 18.5
    assert found.worst < found.value < found.best


def test_real_gas_is_less_than_the_ideal_and_never_more():
    """At every pressure: an ideal gas would give more minutes, by 5 percent at 200 bar and more above."""
    for pressure, less in ((100, 0.0), (200, 0.03), (290, 0.08)):
        found = fact("computed.gas_minutes", **(GAS | {"dive.gas.pressure": f"{pressure} bar"}))
        ideal = 12 * (pressure - 50) / (39.6 * (1 + found_depth() / 10))
        assert found.value + 3 < ideal * (1 - less)


def found_depth():
    return fact("readings.depth").value


@pytest.mark.parametrize(("shown", "counted"), [("320 bar", "298 bar"), ("500 bar", "298 bar")])
def test_gas_over_the_checked_range_is_not_counted(shown, counted):
    """A gauge over 298 bar counts as 298: the table of air ends there."""
    minutes = [fact("computed.gas_minutes", **(GAS | {"dive.gas.pressure": said})).value for said in (shown, counted)]
    assert minutes[0] == minutes[1]


def test_deeper_than_checked_there_is_no_gas():
    """Below 100 m nothing is counted, which stops the dive."""
    assert fact("computed.gas_minutes", **GAS, **{"readings.depth": "120 m"}).value == 0


def test_not_knowing_the_water_counts_as_the_heavier():
    """Salt water presses more: never fewer minutes than the worst that it can be."""
    salt, unknown, fresh = (
        fact("computed.gas_minutes", **GAS, **{"site.water": water, "readings.depth": "40 m"}).value
        for water in ("salt", "unknown", "fresh")
    )
    assert salt == unknown < fresh


def test_no_gas_left_over_the_reserve_is_none_at_all():
    """Never less than none."""
    assert fact("computed.gas_minutes", **(GAS | {"dive.gas.reserve": "250 bar"})).value == 0


@pytest.mark.parametrize("part", [*GAS, "readings.depth"])
def test_gas_that_is_not_fully_known_is_none(part):
    """A cylinder was entered, but not all of it: taken as empty, and the dive is stopped."""
    found = fact("computed.gas_minutes", **(GAS | {part: "unknown"}))
    decision = assess(situation(**(GAS | {part: "unknown"})), baseline())

    assert (found.state, found.value) == ("unknown", 0)
    assert "gas_short" in decision["flags"]


def test_gas_that_nobody_entered_is_named_as_not_assessed():
    """It stops nothing, and the answer says that it did not look."""
    decision = assess(situation(), baseline())

    assert "gas_short" not in decision["flags"]
    assert any(line.startswith("Breathing gas") for line in decision["not_assessed"])
    assert not any(line.startswith("Breathing gas") for line in assess(situation(**GAS), baseline())["not_assessed"])


def test_ice_thickness_has_no_meaning_on_open_water():
    """A thickness left over from last time stops nothing where there is no ice."""
    found = fact("readings.ice_thickness", **{"readings.ice_thickness": "1 in"})

    assert found.state == "not_applicable"
    assert (
        fact("readings.ice_thickness", **{"hazards.ice_cover": "broken", "readings.ice_thickness": "1 in"}).state
        == "given"
    )


def test_cold_gear_is_asked_only_where_it_matters():
    """In water that may be colder than 3 C an unknown rating counts as none; elsewhere it is not listed."""
    cold = assess(situation(**{"readings.water_temperature": "3.4 C"}), baseline())
    warm = assess(situation(**{"readings.water_temperature": "12 C"}), baseline())

    assert "dive.cold_gear" in {each["input"] for each in cold["assumed"]}
    assert "dive.cold_gear" not in {each["input"] for each in warm["assumed"]}


@pytest.mark.parametrize(
    ("name", "value", "expected"), [("computed.wind_chill", -3.11, -3.2), ("computed.heat", 30.01, 30.1)]
)
def test_rounding_goes_toward_more_caution(name, value, expected):
    """Down where lower is worse, up where higher is."""
    assert rounded(name, "0.1", (value, value, value), of=()).value == pytest.approx(expected)


def test_rounding_stays_inside_what_is_possible():
    """A chill below the scale is the end of the scale."""
    found = rounded("computed.wind_chill", "0.1", (-500.0, 80.0, -500.0), of=())

    assert (found.value, found.best) == (INPUTS["computed.wind_chill"].lowest, INPUTS["computed.wind_chill"].highest)
