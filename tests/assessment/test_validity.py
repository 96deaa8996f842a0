"""Until when an answer holds: the earliest of everything that ends it, each of which is the earliest once."""

from datetime import timedelta

import pytest

from opsrisk.assessment.assess import assess
from opsrisk.protocols.shipped import baseline
from tests.situations import NOW, situation

LONG = {"readings.daylight_left": "600 min"}
CREW = {
    "people": [{"id": name, "hours_awake": hours, "dives_24h": "0"} for name, hours in (("ada", "15.75"), ("bo", "3"))],
    "positions.supervisor.person": "ada",
} | {
    f"positions.{name}.person": "bo" for name in ("diver", "standby_diver", "diver_tender", "standby_tender")
}  # fmt: skip

ENDS = {
    "re-check every 30 minutes": ({}, 30),
    "Current at the work depth: take the reading again": ({"readings.current": "0.1 kn, 25 min ago"}, 5),
    "Underwater visibility: take the reading again": ({"readings.visibility": "30 ft, 45 min ago"}, 15),
    "Depth at the target: take the reading again": ({"readings.depth": "15 ft, 230 min ago"}, 10),
    "Wind speed: take the reading again": ({"readings.wind_speed": "5 kn, 59 min ago"}, 1),
    "dusk": ({"readings.daylight_left": "15 min"}, 10),
    "the current window ends": ({"site.window_ends": (NOW + timedelta(minutes=12)).isoformat()}, 12),
    "the survival window closes: from then on this is a recovery": (
        {"task.kind": "rescue", "under_water": "22 min"},
        8,
    ),
    "Somebody in a diving position has been awake too long": (CREW, 15),
}


@pytest.mark.parametrize("because", ENDS)
def test_each_cause_is_the_earliest_once(because):
    """The answer says until when it holds and what ends it, to the minute."""
    given, minutes = ENDS[because]

    decision = assess(situation(**(LONG | given)), baseline())

    assert (decision["valid_because"], decision["valid_until"]) == (
        because,
        (NOW + timedelta(minutes=minutes)).isoformat(),
    )


def test_the_earliest_of_several_ends_it():
    """A reading due in five minutes comes before a window of twelve."""
    several = ENDS["Current at the work depth: take the reading again"][0] | ENDS["the current window ends"][0]

    assert assess(situation(**LONG, **several), baseline())["valid_until"] == (NOW + timedelta(minutes=5)).isoformat()


def test_dusk_counts_from_the_time_of_the_reading():
    """28 minutes of light seen 15 minutes ago are 13 now; five are kept for the spread of the reading."""
    decision = assess(situation(**{"readings.daylight_left": "28 min, 15 min ago"}), baseline())

    assert decision["valid_because"] == "dusk"
    assert decision["valid_until"] == (NOW + timedelta(minutes=8)).isoformat()


def test_light_that_has_gone_since_it_was_read_ends_it_at_once():
    """The answer is not valid for a minute, and not from before it was made."""
    decision = assess(situation(**{"readings.daylight_left": "10 min, 20 min ago"}), baseline())

    assert decision["valid_until"] == NOW.isoformat()


def test_a_reading_that_nobody_took_ends_nothing():
    """An unknown or an old reading is not valid until anything: the re-check stands."""
    for said in ("unknown", "30 ft, 61 min ago"):
        assert assess(situation(**LONG, **{"readings.visibility": said}), baseline())["valid_because"].startswith(
            "re-check"
        )


def test_a_window_that_has_passed_ends_nothing_more():
    """The current that was read now is what counts."""
    past = (NOW - timedelta(minutes=12)).isoformat()

    assert assess(situation(**LONG, **{"site.window_ends": past}), baseline())["valid_because"].startswith("re-check")


def test_somebody_awake_too_long_already_ends_nothing_more():
    """That is a stop now, not a time when the answer ends."""
    tired = CREW | {
        "people": [
            {"id": "ada", "hours_awake": "17", "dives_24h": "0"},
            {"id": "bo", "hours_awake": "3", "dives_24h": "0"},
        ]
    }

    decision = assess(situation(**LONG, **tired), baseline())

    assert decision["valid_because"].startswith("re-check")
    assert decision["valid_until"] == (NOW + timedelta(minutes=30)).isoformat()


def test_a_closed_survival_window_ends_nothing_more():
    """It has ended already, and the answer is that of a recovery."""
    decision = assess(situation(**LONG, **{"task.kind": "rescue", "under_water": "31 min"}), baseline())

    assert decision["valid_because"].startswith("re-check")


def test_the_offset_of_the_assessment_is_kept():
    """A device writes its own offset and reads its own time back."""
    decision = assess(situation(assessed_at="2026-06-12T10:00:00-04:00", **LONG), baseline())

    assert decision["valid_until"] == "2026-06-12T10:30:00-04:00"
