"""Who turned out: positions filled from the invented county's people, mostly well, sometimes not."""

from collections.abc import Mapping, Sequence
from random import Random
from typing import Any

from opsrisk.assessment.crew import Limits, Member, cover

DIVING = ("supervisor", "diver", "standby_diver", "diver_tender", "standby_tender")
DRIVING = ("vehicle_pilot", "tether_handler")
STATES = ("filled", "qualified", "ready", "sole_duty")


def crew(
    people: Sequence[Mapping[str, Any]], with_vehicle: bool, own: Random
) -> tuple[dict[str, Any], list[dict[str, Any]]]:
    """Positions as the supervisor stated them, and the list of people on scene."""
    here = [person for person in people if own.random() < 0.985]
    listed = [
        {
            "id": person["id"],
            "name": person["name"],
            "qualifications": list(person["qualifications"]),
            "fit": "yes" if own.random() < 0.98 else "no",
            "hours_awake": str(own.choice((3, 5, 6, 8, 8, 10, 12, 15))),
            "dives_24h": str(own.choice((0, 0, 0, 0, 1, 2))),
        }
        for person in here
    ]
    wanted = (*DIVING, *DRIVING) if with_vehicle else DIVING
    placed = dict(
        cover(needed=wanted, people=[Member.from_document(person) for person in listed], limits=Limits()).filled
    )
    positions: dict[str, Any] = {}
    for position in wanted:
        if position not in placed:
            positions[position] = {"filled": "no"}
            continue
        states = {state: "yes" if own.random() < 0.997 else "no" for state in STATES[1:]}
        positions[position] = {"filled": "yes", **states, "person": placed[position]}
    return positions, listed
