"""A reading's bounds: its own where somebody gave them, else the protocol's spread for the way it was had."""

import json

import pytest

from opsrisk.assessment.computed import facts_of
from opsrisk.assessment.situation import read_situation
from opsrisk.protocols.shipped import baseline
from opsrisk.reference.units import from_si, to_si
from tests.situations import document


def fact(name="current", **entry):
    made = document()
    made["readings"][name] = entry
    return facts_of(read_situation(json.dumps(made)), baseline())[f"readings.{name}"]


def ends(unit, places=2, **entry):
    found = fact(unit=unit, **entry)
    return from_si(found.best, unit, places), from_si(found.worst, unit, places)


@pytest.mark.parametrize(
    ("how", "best", "worst"),
    [
        ("measured", "0.70", "0.90"),
        ("estimated", "0.56", "1.04"),
        ("reported", "0.40", "1.20"),
        ("forecast", "0.60", "1.00"),
    ],
)
def test_each_way_of_knowing_has_its_own_spread(how, best, worst):
    """0.8 kn: the larger of a fixed and a relative spread of the protocol."""
    assert ends("kn", value="0.8", how=how) == (best, worst)


def test_the_larger_of_both_spreads_counts():
    """2 kn measured: 10 percent are more than 0.1 kn; 0.5 kn: 0.1 kn is more than 10 percent."""
    assert ends("kn", value="2", how="measured") == ("1.80", "2.20")
    assert ends("kn", value="0.5", how="measured") == ("0.40", "0.60")


def test_who_does_not_say_how_is_taken_as_reported():
    """The widest way."""
    assert ends("kn", value="0.8") == ends("kn", value="0.8", how="reported")


def test_own_bounds_replace_the_spread():
    """Each end by itself: an upper bound alone leaves the lower one to the protocol."""
    assert ends("kn", value="0.8", low="0.75", high="0.85", how="reported") == ("0.75", "0.85")
    assert ends("kn", value="0.8", high="0.85", how="measured") == ("0.70", "0.85")


def test_bounds_are_in_the_unit_of_the_reading():
    """A spread of 1 ft around 5 m, and Fahrenheit without its offset."""
    assert ends("m", name="depth", value="5", how="measured") == ("4.70", "5.30")
    assert ends("F", 1, name="water_temperature", value="50", how="measured") == ("50.9", "49.1")


def test_the_spread_ends_at_what_is_possible():
    """No current flows backwards, no visibility is less than none."""
    assert ends("kn", value="0.1", how="reported")[0] == "0.00"
    assert ends("ft", name="visibility", value="1", how="reported")[1] == "0.00"


def test_worse_is_colder_shallower_sight_and_more_of_the_rest():
    """The worse end of each reading is the one that the protocol's rules look at."""
    assert fact(value="0.8", unit="kn").worst > fact(value="0.8", unit="kn").value
    assert fact("visibility", value="8", unit="ft").worst < fact("visibility", value="8", unit="ft").value
    assert fact("water_temperature", value="8", unit="C").worst < fact("water_temperature", value="8", unit="C").value


def test_the_value_never_lies_outside_its_bounds():
    """Even where the protocol's domain ends before the value."""
    found = fact("visibility", value="99.9", unit="m", how="measured")

    assert found.best >= found.value >= found.worst


@pytest.mark.parametrize(("value", "unit"), [("0.8", "kn"), ("0.80", "kn"), ("1.35", "ft/s"), ("1.4816", "km/h")])
def test_a_reading_is_shown_as_it_was_typed(value, unit):
    """With its digits and its unit; decided on in SI."""
    found = fact(value=value, unit=unit)

    assert found.shown == f"{value} {unit}"
    assert found.value == to_si(value, unit)


@pytest.mark.parametrize(
    ("first", "second"),
    [
        (("1", "kn"), ("1.852", "km/h")),
        (("100", "ft"), ("30.48", "m")),
        (("10", "fsw"), ("10", "ft")),
        (("5", "msw"), ("5", "m")),
    ],
)
def test_the_same_reading_in_two_units_is_the_same(first, second):
    """One knot is 1.852 km/h to the last bit."""
    name = "current" if first[1] == "kn" else "depth"

    assert fact(name, value=first[0], unit=first[1]).value == fact(name, value=second[0], unit=second[1]).value
