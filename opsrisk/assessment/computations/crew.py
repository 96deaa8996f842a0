"""Who fills which position, what is missing, and who dives when."""

from typing import Any

from opsrisk.assessment.computations.answering import rows, word, yes_no
from opsrisk.assessment.computations.asking import amount, moment, number
from opsrisk.assessment.computations.entry import MINUTES, Asked, Computation, Rows, Values
from opsrisk.assessment.crew import Limits, Member, cover
from opsrisk.assessment.fields import SHAPE, Choice, Group, People
from opsrisk.assessment.rotation import rotate
from opsrisk.engine.inputs import POSITIONS
from opsrisk.physics.ranges import OutOfRange
from opsrisk.reference import sources

Answers = dict[str, Any]


def _cover(given: Values) -> Answers:
    ids = [row["id"] for row in given["people"]]
    if len(set(ids)) < len(ids):
        raise OutOfRange("people", sorted({one for one in ids if ids.count(one) > 1}), "every id once")
    people = [Member.from_document(_known(row)) for row in given["people"]]
    found = cover(
        needed=[row["position"] for row in given["needed"]],
        people=people,
        limits=Limits(given["hours_awake"], given["dives_24h"]),
    )
    names = {one.id: one.name for one in people}
    return {
        "covered": not found.missing,
        "missing": ", ".join(_plain(one) for one in found.missing) or "nobody",
        "filled": [{"position": _plain(position), "person": names[who]} for position, who in found.filled],
        "shortfalls": [
            {"positions": ", ".join(map(_plain, one.positions)), "people": _names(one.people, names)}
            for one in found.shortfalls
        ],
    }


def _known(row: Values) -> dict[str, Any]:
    return {name: value for name, value in row.items() if value is not None}


def _plain(position: str) -> str:
    return position.replace("_", " ")


def _names(ids: tuple[str, ...], names: dict[str, str]) -> str:
    return ", ".join(names[one] for one in ids) or "nobody"


def _rotation(given: Values) -> Answers:
    each = given["most_each"]
    turns = rotate(
        opens=given["opens"], closes=given["closes"], dive_min=given["dive_time"], between_min=given["between"],
        divers=int(given["divers"]), rest_min=given["rest"], most_each=None if each is None else int(each),
    )  # fmt: skip
    zone = given["opens"].tzinfo
    return {
        "said": f"{len(turns)} dives by {int(given['divers'])} divers",
        "turns": [
            {
                "diver": f"diver {turn.diver}",
                "enters": turn.enters.astimezone(zone).isoformat(timespec="minutes"),
                "leaves": turn.leaves.astimezone(zone).isoformat(timespec="minutes"),
            }
            for turn in turns
        ],
    }


def _person() -> Group:
    shape = SHAPE.fields["people"]
    assert isinstance(shape, People)  # noqa: S101 - by the table of fields
    return shape.person


AGENCY = "agency's choice"
ENTRIES = (
    Computation(
        name="crew_cover",
        title="Crew cover",
        question="Who fills which position so that nobody holds two, everybody qualified and fit, and who is missing?",
        method="The fullest matching of people to positions (augmenting paths), the smallest missing set named.",
        limits="As good as the list of people; unknown bars nobody.",
        page="crew",
        sources=(sources.COMMON_PRACTICE,),
        asks=(
            Asked("needed", Rows(Group({"position": Choice(POSITIONS, may_be_unknown=False)}, required=("position",)),
                  most=len(POSITIONS)), "Positions to fill, most important first"),
            Asked("people", Rows(_person(), least=0, most=60), "People on scene"),
            number("hours_awake", "1", "48", "Most hours awake", optional=True),
            number("dives_24h", "1", "20", "Most dives in 24 hours", optional=True),
        ),
        answers=(
            yes_no("covered", "Every position can be filled"), word("missing", "Missing"),
            rows("filled", "Positions", word("position", "Position"), word("person", "Person")),
            rows("shortfalls", "Too few people", word("positions", "For"), word("people", "Only")),
        ),
        call=_cover,
        arguments={"people": "people"},
    ),
    Computation(
        name="dive_rotation",
        title="Who dives when",
        question="In which order do the divers go, each rested, and how many dives fit?",
        method="Whoever has rested goes next; with dives of one length nobody fits more.",
        limits="One diver in the water at a time; the rest is the agency's choice, no-stop times another look-up.",
        page="crew",
        sources=(),
        asks=(
            moment("opens", "From when"), moment("closes", "Everybody out by"),
            amount("dive_time", MINUTES, 1.0, 600.0, "One dive, surface to surface"),
            amount("between", MINUTES, 0.0, 600.0, "From one diver out to the next one in", setting="10", why=AGENCY),
            number("divers", "1", "20", "Divers who take turns"),
            amount("rest", MINUTES, 0.0, 1440.0, "At the surface before the same diver goes again", setting="60",
                   why=AGENCY),
            number("most_each", "1", "20", "Most dives for each", optional=True),
        ),
        answers=(
            word("said", "In all"),
            rows("turns", "Dives", word("diver", "Diver"), word("enters", "In"), word("leaves", "Out")),
        ),
        call=_rotation,
        arguments={"dive_min": "dive_time", "between_min": "between", "divers": "divers", "rest_min": "rest"},
    ),
)  # fmt: skip
