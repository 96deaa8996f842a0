"""Against skyfield with an ephemeris, from the tropics to beyond the polar circle, and against round figures."""

from datetime import UTC, datetime, timedelta

import pytest

from opsrisk.operations.time_checks import sun_events
from opsrisk.physics.daylight import daylight, sun_height_deg
from opsrisk.physics.ranges import OutOfRange
from tests.physics.frozen import oracle

CASES = oracle("daylight_skyfield")["cases"]
SECONDS = 20
TROMSOE = {"latitude_deg": 69.65, "longitude_deg": 18.96}
SEATTLE = {"latitude_deg": 47.6, "longitude_deg": -122.3}


@pytest.mark.parametrize(
    "case", CASES, ids=lambda case: f"{case['inputs']['latitude_deg']} {case['inputs']['around'][:10]}"
)
def test_every_event_is_the_ephemeris_event_within_twenty_seconds(case):
    """Dawn, sunrise, sunset and dusk, and which of them does not come that day."""
    ours = sun_events(case["inputs"])
    for name, seconds in case["expected"].items():
        if seconds == "none":
            assert ours[name] == "none"
        else:
            assert ours[name] == pytest.approx(seconds, abs=SECONDS)


@pytest.mark.parametrize(
    ("day", "dawn", "sunrise", "sunset", "dusk"),
    [
        ("2026-11-25T20:00Z", "25 14:54:17", "25 15:28:55", "26 00:23:13", "26 00:57:51"),
        ("2026-06-21T20:00Z", "21 11:30:45", "21 12:11:29", "22 04:10:40", "22 04:51:24"),
    ],
)
def test_two_days_on_the_coast(day, dawn, sunrise, sunset, dusk):
    """An earlier run of the same library at 47.6 N 122.3 W."""
    found = daylight(datetime.fromisoformat(day), **SEATTLE)
    for ours, text in zip(
        (found.dawn, found.sunrise, found.sunset, found.dusk), (dawn, sunrise, sunset, dusk), strict=True
    ):
        expected = datetime.fromisoformat(f"{day[:8]}{text.replace(' ', 'T')}+00:00")
        assert abs(ours - expected) < timedelta(seconds=5)


def test_minutes_left_count_down_to_the_events():
    """An hour later there is an hour less; after dusk nothing is left."""
    at = datetime(2026, 11, 25, 22, 0, tzinfo=UTC)
    early, late = daylight(at, **SEATTLE), daylight(at + timedelta(hours=1), **SEATTLE)
    assert early.to_sunset_min - late.to_sunset_min == pytest.approx(60, abs=1e-6)
    assert early.light_left_min == pytest.approx(177.9, abs=0.2)
    assert daylight(at + timedelta(hours=4), **SEATTLE).light_left_min == 0


def test_before_dawn_there_is_no_light_left_to_use():
    """At four in the morning it is dark, whatever the coming dusk says."""
    assert daylight(datetime(2026, 11, 25, 12, tzinfo=UTC), **SEATTLE).light_left_min == 0


@pytest.mark.parametrize(
    ("day", "latitude", "words", "left"),
    [
        ("2026-06-21T10:00Z", 69.65, "does not set", None),
        ("2026-12-21T10:45Z", 69.65, "twilight around noon only", 128),
        ("2026-12-21T10:45Z", 78.2, "no civil twilight all day", 0),
        ("2026-06-21T22:00Z", 62.0, "lasts all night", None),
        ("2026-03-20T10:45Z", 69.65, "", None),
    ],
)
def test_polar_day_and_night_are_said_plainly(day, latitude, words, left):
    """Not a missing number but a sentence."""
    found = daylight(datetime.fromisoformat(day), latitude_deg=latitude, longitude_deg=18.96)
    assert words in found.said
    assert bool(words) == bool(found.said)
    if left is not None:
        assert found.light_left_min == pytest.approx(left, abs=2)


def test_the_sun_stands_at_the_event_height_at_each_event():
    """Two ways to the same sky: the height computed at each event is the height that defines it."""
    for month in range(1, 13):
        found = daylight(datetime(2026, month, 10, 20, tzinfo=UTC), **SEATTLE)
        for at, height in ((found.sunrise, -50 / 60), (found.sunset, -50 / 60), (found.dawn, -6), (found.dusk, -6)):
            assert sun_height_deg(at, **SEATTLE) == pytest.approx(height, abs=0.01)


@pytest.mark.parametrize(
    ("change", "named"), [({"latitude_deg": 90.0}, "latitude_deg"), ({"longitude_deg": 181.0}, "longitude_deg")]
)
def test_a_place_off_the_globe_is_refused(change, named):
    """At a pole a solar day means nothing."""
    with pytest.raises(OutOfRange) as refusal:
        daylight(datetime(2026, 6, 1, tzinfo=UTC), **{**TROMSOE, **change})
    assert refusal.value.argument == named


def test_a_bare_clock_time_is_refused():
    """Without an offset nobody knows which day it is."""
    with pytest.raises(OutOfRange):
        daylight(datetime.fromisoformat("2026-06-01T12:00"), **TROMSOE)
