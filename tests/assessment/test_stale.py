"""A reading too old to decide on is no longer known: it becomes its worst, and is named."""

import pytest

from opsrisk.assessment.assess import assess
from opsrisk.assessment.computed import facts_of
from opsrisk.engine.inputs import INPUTS
from opsrisk.protocols.shipped import baseline
from tests.situations import situation

AGEING = {name: rule.valid_minutes for name, rule in baseline().inputs.items() if rule.valid_minutes}
FRESH = {
    "readings.current": "0.1 kn", "readings.visibility": "30 ft", "readings.depth": "15 ft",
    "readings.water_temperature": "20 C", "readings.air_temperature": "22 C", "readings.wind_speed": "5 kn",
    "readings.wave_height": "0.5 ft", "readings.daylight_left": "300 min", "readings.ice_thickness": "8 in",
}  # fmt: skip


def fact(name, minutes):
    given = {name: f"{FRESH[name]}, {minutes} min ago", "hazards.ice_cover": "solid"}
    return facts_of(situation(**given), baseline())[name]


def test_every_reading_of_the_baseline_ages():
    """All readings that change by themselves have a time after which they are taken again."""
    assert set(AGEING) == set(FRESH)


@pytest.mark.parametrize("name", AGEING)
def test_a_reading_holds_until_its_last_minute(name):
    """At the protocol's age it still counts as taken."""
    found = fact(name, AGEING[name])

    assert found.state == "given"
    assert found.shown == FRESH[name]


@pytest.mark.parametrize("name", AGEING)
def test_a_reading_one_minute_older_is_its_worst(name):
    """Ice as well: a waiver is for what nobody has measured yet."""
    found = fact(name, AGEING[name] + 1)

    item, rule = INPUTS[name], baseline().inputs[name]
    assert found.state == "stale"
    assert found.value == found.worst == (rule.highest if item.worse == "higher" else rule.lowest)
    assert found.shown == f"{FRESH[name]}, too old"


def test_the_answer_names_what_is_too_old():
    """With what was assumed instead, and flags that say so."""
    decision = assess(situation(**{"readings.wave_height": "0.5 ft, 61 min ago"}), baseline())

    old = next(each for each in decision["assumed"] if each["input"] == "readings.wave_height")
    assert (old["why"], old["assumed"]) == ("too old", "90.0 ft")
    assert {"reading_stale", "unknown_inputs"} <= set(decision["flags"])


def test_a_reading_without_a_time_was_taken_now():
    """It holds for its whole time from the assessment on."""
    assert facts_of(situation(), baseline())["readings.current"].state == "given"


def test_old_air_makes_an_unknown_wind_chill():
    """What is computed from readings that are too old is as unknown as they are."""
    old = {"readings.air_temperature": "22 C, 61 min ago", "readings.wind_speed": "5 kn, 61 min ago"}

    found = facts_of(situation(**old), baseline())

    assert found["computed.wind_chill"].state == "unknown"
    assert found["computed.heat"].value == INPUTS["computed.heat"].highest
