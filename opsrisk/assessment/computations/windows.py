"""When the current is slow enough: at a station, from a typed table, below a dam."""

from collections.abc import Callable, Sequence
from datetime import datetime, timedelta, tzinfo
from itertools import pairwise
from typing import Any

from opsrisk.assessment.computations.answering import quantity, rows, time, word, yes_no
from opsrisk.assessment.computations.asking import amount, known, moment, number
from opsrisk.assessment.computations.entry import MINUTES, SPEED, Asked, Computation, Packed, Rows, Values
from opsrisk.assessment.computations.stations import station_of
from opsrisk.assessment.fields import Choice, Group, Time
from opsrisk.assessment.rotation import rotate
from opsrisk.physics.ranges import OutOfRange
from opsrisk.physics.river import Release, river_windows
from opsrisk.physics.slack_table import TypedTurn, table_windows, velocity_between
from opsrisk.physics.tides import velocity_mps
from opsrisk.physics.window import Window, dives_that_fit, recall_at, recheck_times, windows
from opsrisk.physics.window_check import check_windows
from opsrisk.reference import sources

Answers = dict[str, Any]
Curve = Callable[[datetime], float]
EVERY_MIN = 15
LONGEST_CURVE_HOURS = 36.0
LONGEST_HOURS = "72"  # further ahead than anybody plans a dive
AGENCY = "agency's choice"


def _whole(at: datetime, zone: tzinfo | None, toward: int) -> str:
    """A time to the minute: 1 later, -1 earlier, 0 nearest."""
    second = {1: 59.999, -1: 0.0, 0: 30.0}[toward]
    return (
        (at + timedelta(seconds=second)).replace(second=0, microsecond=0).astimezone(zone).isoformat(timespec="minutes")
    )


def _row(window: Window, given: Values, zone: tzinfo | None) -> Answers:
    """One window as it is planned with: usable times on the careful side, recall, re-checks, dives."""
    usable = window.usable_min > 0
    rechecks = recheck_times(window, every_min=given["recheck_every"])
    return {
        "starts": _whole(window.starts, zone, 0),
        "ends": _whole(window.ends, zone, 0),
        "usable_starts": _whole(window.usable_starts, zone, 1) if usable else None,
        "usable_ends": _whole(window.usable_ends, zone, -1) if usable else None,
        "usable": window.usable_min,
        "recall": _whole(recall_at(window, way_up_min=given["way_up"]), zone, -1) if usable else None,
        # The first look is at the usable start, which was rounded later; the others may as well be a little early.
        "rechecks": ", ".join(_whole(at, zone, 1 if place == 0 else -1) for place, at in enumerate(rechecks)),
        "dives": _dives(window, given),
        "peak": window.peak_mps,
        "open_ended": window.open_ended,
    }


def _dives(window: Window, given: Values) -> float | None:
    """How many dives fit, by as many divers as there are; None where no dive was planned."""
    if given["dive_time"] is None:
        return None
    if given["divers"] is None:
        return float(dives_that_fit(window, dive_min=given["dive_time"], between_min=given["between"]))
    turns = rotate(
        opens=window.usable_starts, closes=window.usable_ends, dive_min=given["dive_time"],
        between_min=given["between"], divers=int(given["divers"]), rest_min=given["rest"],
    )  # fmt: skip
    return float(len(turns))


def _listed(
    found: Sequence[Window], given: Values, said: str, *, start: datetime, hours: float, curve: Curve
) -> Answers:
    zone = start.tzinfo
    until = min(hours, LONGEST_CURVE_HOURS) * 60
    looks = [start + timedelta(minutes=minute) for minute in range(0, int(until) + 1, EVERY_MIN)]
    return {
        "said": said,
        "windows": [_row(window, given, zone) for window in found],
        "curve": [{"at": _whole(at, zone, 0), "speed": curve(at)} for at in looks],
    }


def _of_station(given: Values) -> Answers:
    station, start, hours = station_of(given["station"]), given["start"], given["hours"]
    measured = given["measured"]
    if measured is None:
        found = windows(
            station, limit_mps=given["limit"], start=start, hours=hours, uncertainty_min=given["uncertainty"]
        )
        said = "Predicted only: no wind, no river. Measure before anybody enters."
    else:
        checked = check_windows(
            station, measured_low_mps=measured[0], measured_high_mps=measured[2], measured_at=start,
            limit_mps=given["limit"], hours=hours, uncertainty_min=given["uncertainty"],
        )  # fmt: skip
        found, said = checked.windows, checked.said
    ahead = [window for window in found if window.ends > start]
    return _listed(ahead, given, said, start=start, hours=hours, curve=lambda at: velocity_mps(station, at))


def _of_table(given: Values) -> Answers:
    turns = [TypedTurn(row["at"], _signed(row)) for row in given["turns"]]
    found = [one for one in table_windows(turns, limit_mps=given["limit"]) if one.ends > given["start"]]
    hours = (turns[-1].at - given["start"]).total_seconds() / 3600
    said = "From a printed table, both ends trimmed: the stream between its lines is only known roughly."
    return _listed(found, given, said, start=given["start"], hours=max(0.0, hours), curve=lambda at: _typed(turns, at))


def _signed(row: Values) -> float:
    if row["stream"] == "slack":
        return 0.0
    if row["speed"] is None:
        raise OutOfRange("turns", row["stream"], "a speed with every flood and ebb")
    return float(row["speed"] if row["stream"] == "flood" else -row["speed"])


def _typed(turns: Sequence[TypedTurn], at: datetime) -> float:
    """The typed stream at `at`: zero before the first line and after the last, where nothing is known."""
    for one, other in pairwise(turns):
        if one.at <= at <= other.at:
            slack, maximum = (one, other) if one.velocity_mps == 0 else (other, one)
            return velocity_between(slack, maximum, at)
    return 0.0


def _of_river(given: Values) -> Answers:
    start, until = given["measured_at"], given["until"]
    releases = [Release(row["at"], row["speed"], row["travel"]) for row in given["releases"] or []]
    found = river_windows(
        measured_mps=given["measured"][2], measured_at=start, releases=releases, limit_mps=given["limit"], until=until
    )
    said = "A rise counts from its earliest arrival, a fall from its latest. Releases nobody announced are not in it."

    def curve(at: datetime) -> float:
        waters = [given["measured"][2], *(one.speed_mps for one in releases if _arrived(one, at))]
        return float(waters[-1])

    return _listed(found, given, said, start=start, hours=(until - start).total_seconds() / 3600, curve=curve)


def _arrived(release: Release, at: datetime) -> bool:
    return release.at + timedelta(minutes=release.travel_min) <= at


LIMIT = amount("limit", SPEED, 0.02, 5.0, "Greatest current to work in")
START = moment("start", "From when")
PLANNED: tuple[Asked, ...] = (
    amount("dive_time", MINUTES, 1.0, 600.0, "One dive, surface to surface", optional=True),
    amount("between", MINUTES, 0.0, 600.0, "From one diver out to the next one in", setting="10", why=AGENCY),
    number("divers", "1", "20", "Divers who take turns", optional=True),
    amount("rest", MINUTES, 0.0, 1440.0, "At the surface before the same diver goes again", setting="60", why=AGENCY),
    amount("way_up", MINUTES, 0.0, 120.0, "From the recall to everybody out", setting="5", why=AGENCY),
    amount("recheck_every", MINUTES, 5.0, 240.0, "Measure the current again every", setting="30", why=AGENCY),
)
WINDOWS = rows(
    "windows", "Windows",
    time("starts", "Under the limit from"),
    time("ends", "until"),
    time("usable_starts", "Usable from"),
    time("usable_ends", "until"),
    quantity("usable", "Usable", "min", 0, toward="down"),
    time("recall", "Recall at"),
    word("rechecks", "Measure again at"),
    quantity("dives", "Dives that fit", "", 0, toward="down"),
    quantity("peak", "Strongest current after it", "kn", 1, toward="up"),
    yes_no("open_ended", "End not found"),
)  # fmt: skip
SAID = word("said", "What it rests on")
CURVE = rows("curve", "Current", time("at", "Time"), quantity("speed", "Speed, ebb negative", "kn", 2))
ARGUMENTS = {
    "limit_mps": "limit", "hours": "hours", "uncertainty_min": "uncertainty", "measured_low_mps": "measured",
    "measured_high_mps": "measured", "measured_mps": "measured", "dive_min": "dive_time", "between_min": "between",
    "way_up_min": "way_up", "every_min": "recheck_every", "rest_min": "rest", "constituents": "station",
    "id": "station", "name": "station", "lat": "station", "lon": "station", "flood_direction": "station",
    "ebb_direction": "station", "mean_flow_kn": "station", "at": "start",
}  # fmt: skip

ENTRIES = (
    Computation(
        name="station_windows",
        title="Current window, predicted",
        question="When is the water slack enough, for how long, how many dives fit, when to recall?",
        method="The station's constituents; a window ends early by its uncertainty, a reading on scene wins.",
        limits="1970 to 2100, up to 72 hours ahead; no weather, no river flow, no place but the station's.",
        page="current",
        sources=(sources.STATION_CONSTANTS, sources.HARMONIC_MANUAL),
        asks=(
            Asked("station", Packed("a current station with its constituents"), "Current station"),
            LIMIT, START,
            number("hours", "1", LONGEST_HOURS, "Hours to look ahead", setting="14",
                   why="longer than half a day's tide"),
            amount("uncertainty", MINUTES, 0.0, 180.0, "Uncertainty of the forecast in time", setting="10",
                   why="programs fed with the same constants put slacks up to 10.7 min apart"),
            amount("measured", SPEED, 0.0, 8.0, "Current measured at the start", optional=True, whole=True),
            *PLANNED,
        ),
        answers=(SAID, WINDOWS, CURVE),
        call=_of_station,
        arguments=ARGUMENTS,
    ),
    Computation(
        name="table_windows",
        title="Current window, from a printed table",
        question="When is the water slack enough, by the slack and maximum times of a printed table?",
        method="A quarter of a sine between slack and maximum; both ends trimmed by a quarter or ten minutes.",
        limits="Slack and maximum in turn; one trimmed window in twenty still reaches outside the true one.",
        page="current",
        sources=(sources.NAVIGATION_TRAINING, sources.CURRENT_TABLES),
        asks=(
            Asked("turns", Rows(Group(
                {"at": Time(), "stream": Choice(("slack", "flood", "ebb"), may_be_unknown=False),
                 "speed": known(SPEED, 0.0, 15.0)}, required=("at", "stream")), least=2), "Lines of the table"),
            LIMIT, START, *PLANNED,
        ),
        answers=(SAID, WINDOWS, CURVE),
        call=_of_table,
        arguments=ARGUMENTS,
    ),
    Computation(
        name="river_windows",
        title="Current window below a dam",
        question="Until when does the river stay slow enough, given the dam's schedule?",
        method="The measured speed until an announced change can arrive; how fast it then gets is the schedule's.",
        limits="Steady flow between announced releases; a fall is believed when it has been measured.",
        page="current",
        sources=(sources.STREAMFLOW_MEASUREMENT, sources.OPEN_CHANNEL_STANDARD),
        asks=(
            amount("measured", SPEED, 0.0, 8.0, "Current as measured", whole=True),
            moment("measured_at", "When it was measured"),
            Asked("releases", Rows(Group(
                {"at": Time(), "speed": known(SPEED, 0.0, 8.0), "travel": known(MINUTES, 0.0, 2880.0)},
                required=("at", "speed", "travel")), least=0), "Changes at the dam", optional=True),
            LIMIT, moment("until", "Until when to look"), *PLANNED,
        ),
        answers=(SAID, WINDOWS, CURVE),
        call=_of_river,
        arguments=ARGUMENTS,
    ),
)  # fmt: skip
