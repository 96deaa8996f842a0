"""Against the publishing agency's own predictions, and against its constants with yearly node factors."""

from datetime import UTC, datetime, timedelta

import pytest

from opsrisk.physics.station import Station
from opsrisk.physics.tides import events, velocity_mps
from tests.physics.frozen import KNOT_MPS, instant, oracle, selection

MINUTES = 3
KNOTS = 0.03
STATIONS = selection()
CASES = oracle("published_current_predictions")["cases"]


def nearest(found, at):
    return min(found, key=lambda event: abs(event.at - at))


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["inputs"]["published_at"])
def test_slacks_and_maxima_are_those_the_agency_publishes(case):
    """A slack or maximum is where the agency's own answer puts it: within 3 minutes and 0.03 kn."""
    inputs, published = case["inputs"], instant(case["inputs"]["published_at"])
    near = events(Station.from_document(inputs["station"]), start=published - timedelta(hours=1), hours=2)
    ours = nearest([e for e in near if e.kind == inputs["kind"]], published)
    assert abs(ours.at - published) <= timedelta(minutes=MINUTES)
    speed = ours.velocity_mps / KNOT_MPS * inputs["speed_ratio"]
    assert speed == pytest.approx(case["expected"]["speed_kn"], abs=KNOTS)


# One week's start from the constants and yearly arguments of a public tide file (2026-11-25, UTC, knots).
# f and u stand for the whole year there, and M1 runs 20 degrees ahead: hence the tolerance.
YEARLY = {
    "PUG1527": {
        "slack": ("25 07:26", "25 14:23", "25 20:12", "26 00:43"),
        "peaks": (("25 03:47", -5.84), ("25 10:31", 6.46), ("25 17:07", -2.88), ("25 22:24", 2.74)),
        "at": (-0.089, -3.557, 5.128),
    },
    "PUG1701": {
        "slack": ("25 05:16", "25 12:02", "25 18:02", "25 22:56"),
        "peaks": (("25 01:19", -8.69), ("25 08:15", 6.17), ("25 14:40", -4.97), ("25 20:15", 4.14)),
        "at": (-6.456, 2.460, 0.120),
    },
    "PUG1702": {
        "slack": ("25 08:22", "25 15:54", "25 21:50", "25 23:41"),
        "peaks": (("25 04:22", -4.83), ("25 11:32", 3.71), ("25 18:23", -0.88), ("25 22:52", 0.20)),
        "at": (-0.585, -3.891, 3.621),
    },
}


def clock(text):
    return datetime.fromisoformat(f"2026-11-{text.replace(' ', 'T')}").replace(tzinfo=UTC)


@pytest.mark.parametrize("name", sorted(YEARLY))
def test_the_first_day_is_that_of_the_yearly_constants(name):
    """Slacks within 4 minutes, maxima within 3 percent, velocities within 0.1 kn of the yearly method."""
    station, expected = STATIONS[name], YEARLY[name]
    found = events(station, start=clock("25 00:00"), hours=26)
    slacks = [e.at for e in found if e.kind == "slack"][: len(expected["slack"])]

    for ours, text in zip(slacks, expected["slack"], strict=True):
        assert abs(ours - clock(text)) <= timedelta(minutes=4)
    for text, speed in expected["peaks"]:
        ours = nearest([e for e in found if e.kind != "slack"], clock(text))
        assert ours.velocity_mps / KNOT_MPS == pytest.approx(speed, rel=0.03, abs=0.05)
    for hour, speed in zip((0, 6, 12), expected["at"], strict=True):
        assert velocity_mps(station, clock(f"25 {hour:02}:00")) / KNOT_MPS == pytest.approx(speed, abs=0.1)
