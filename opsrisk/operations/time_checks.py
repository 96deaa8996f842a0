"""Moving water and time against frozen answers: what check_physics recomputes for them."""

from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from math import cos, radians, sin
from typing import Any

from opsrisk.physics.daylight import daylight
from opsrisk.physics.equilibrium import argument_deg, node, node_formulas, sky
from opsrisk.physics.instant import minutes_between
from opsrisk.physics.station import Station
from opsrisk.physics.tides import events, velocity_mps

Answers = Mapping[str, Any]
KNOT_MPS = 1852 / 3600


def tidal_current(case: Answers) -> Answers:
    """Velocities of one station through a year, and its slacks of a day."""
    station, first = Station.from_document(case["station"]), datetime.fromisoformat(case["first"])
    looks = [first + timedelta(hours=case["every_hours"] * place) for place in range(case["values"])]
    start = datetime.fromisoformat(case["slacks_from"])
    slacks = [one.at for one in events(station, start=start, hours=case["slacks_hours"]) if one.kind == "slack"]
    return {
        "velocity_kn": [velocity_mps(station, at) / KNOT_MPS for at in looks],
        "slack_min": [minutes_between(start, at) for at in slacks],
    }


def tidal_current_event(case: Answers) -> Answers:
    """The slack or maximum nearest to a published one: minutes by which ours is later, and its speed."""
    published = datetime.fromisoformat(case["published_at"])
    near = events(Station.from_document(case["station"]), start=published - timedelta(hours=1), hours=2)
    ours = min((one for one in near if one.kind == case["kind"]), key=lambda one: abs(one.at - published))
    return {
        "late_min": minutes_between(published, ours.at),
        "speed_kn": ours.velocity_mps / KNOT_MPS * case["speed_ratio"],
    }


def equilibrium_argument(case: Answers) -> Answers:
    """V on 1 January with u and f at midyear, the argument as a point on the circle."""
    name, new_year = case["constituent"], datetime(case["year"], 1, 1, tzinfo=UTC)
    midyear = new_year + (datetime(case["year"] + 1, 1, 1, tzinfo=UTC) - new_year) / 2
    turned = node(name, node_formulas(sky(midyear)))
    argument = radians(argument_deg(name, sky(new_year)) + turned.u_deg)
    return {"argument": [cos(argument), sin(argument)], "node_factor": turned.f}


def sun_events(case: Answers) -> Answers:
    """Dawn, sunrise, sunset and dusk of a solar day as seconds after its clock noon; "none" where it does not come."""
    noon = datetime.fromisoformat(case["around"])
    day = daylight(noon, latitude_deg=case["latitude_deg"], longitude_deg=case["longitude_deg"])
    events_of_day = {"dawn_s": day.dawn, "sunrise_s": day.sunrise, "sunset_s": day.sunset, "dusk_s": day.dusk}
    return {name: (at - noon).total_seconds() if at else "none" for name, at in events_of_day.items()}
