"""Records to print: an ordinary one, one with next to nothing in it, and one with as much as a record can hold."""

import copy
import json
from functools import cache
from pathlib import Path

from opsrisk.assessment.assess import assess
from opsrisk.assessment.situation import read_situation
from opsrisk.engine.protocol import read_protocol

AT = "2026-11-25T14:05:00-05:00"
POSITIONS = (
    "supervisor", "diver", "standby_diver", "diver_tender", "standby_tender", "vehicle_pilot", "tether_handler", "medic",
)  # fmt: skip
PEOPLE = ("R. Alder", "J. Birch", "M. Cedar", "T. Elder", "S. Hazel", "K. Juniper", "L. Linden", "P. Rowan")


def reading(value, unit, low=None, high=None, how="measured"):
    found = {"value": value, "unit": unit, "how": how, "at": "2026-11-25T13:58:00-05:00"}
    return found | ({"low": low, "high": high} if low else {})


READINGS = {
    "current": reading("0.8", "kn", "0.6", "1.1"),
    "visibility": reading("2", "ft", "1", "3", "estimated"),
    "depth": reading("24", "ft", "22", "27"),
    "water_temperature": reading("7", "C"),
    "air_temperature": reading("4", "C"),
    "wind_speed": reading("8", "kn", how="forecast"),
    "wave_height": reading("0.1", "m", how="estimated"),
    "daylight_left": reading("150", "min", how="forecast"),
}
HAZARDS = {
    "entanglement": "moderate", "overhead": "open", "pressure_difference": "none", "contamination": "low",
    "vessel_traffic": "controlled", "lightning": "no", "ice_cover": "none",
}  # fmt: skip
DIVE = {
    "breathing": "surface_supplied", "line": "tended", "voice": "yes", "kit_checked": "yes", "recall_signal": "yes",
    "plan_unchanged": "yes", "bottom_time": {"value": "20", "unit": "min"},
}  # fmt: skip
READY = {"filled": "yes", "qualified": "yes", "ready": "yes", "sole_duty": "yes"}
VEHICLE = {
    "available": "yes", "depth_rating": {"value": "100", "unit": "m"}, "tether_length": {"value": "150", "unit": "m"},
    "imaging_sonar": "yes", "current_limit": {"value": "1.5", "unit": "kn"},
}  # fmt: skip


def person(i):
    fit = {"fit": "yes", "hours_awake": "6", "dives_24h": "0"}
    return {"id": f"p{i}", "name": PEOPLE[i], "qualifications": [POSITIONS[i]]} | fit


def situation():
    return copy.deepcopy(
        {
            "format": "opsrisk.situation/1",
            "assessed_at": AT,
            "task": {"kind": "recovery", "submerged_at": "2026-11-25T10:20:00-05:00", "target": "contact"},
            "site": {"water": "fresh", "latitude": "41.2", "longitude": "-74.9"},
            "readings": READINGS,
            "hazards": HAZARDS,
            "dive": DIVE,
            "positions": {name: READY | {"person": f"p{i}"} for i, name in enumerate(POSITIONS)},
            "people": [person(i) for i in range(len(PEOPLE))],
            "support": {
                "emergency_plan": "yes",
                "care_minutes": {"value": "25", "unit": "min"},
                "chamber_minutes": {"value": "90", "unit": "min"},
            },
            "vehicle": VEHICLE,
        }
    )


@cache
def baseline():
    return read_protocol((Path(__file__).parents[2] / "fixtures/protocols/baseline.json").read_bytes())


def decision(of):
    return assess(read_situation(json.dumps(of)), baseline())


def record(of=None, **changes):
    of = of or situation()
    answer = decision(of)
    found = {
        "format": "opsrisk.record/1",
        "id": "3f0c2c5e-63f1-4f0e-9d7e-6f4e0a1d2b3c",
        "operation": {
            "id": "6b1d",
            "title": "Vehicle off Nether Bridge",
            "site": None,
            "place": "Nether Bridge, River Lorne",
        },
        "revision": 1,
        "previous": None,
        "situation": of,
        "own_judgement": {"decision": "divers_with_controls", "at": "2026-11-25T14:02:00-05:00", "note": ""},
        "decision": answer,
        "controls_ticked": [
            {"id": item["id"], "ticked": True, "at": "2026-11-25T14:06:00-05:00"} for item in answer["controls"][:2]
        ],
        "chosen": {"decision": answer["decision"], "reason": "", "second_person": None},
        "brief": {
            "task": "Find and confirm the vehicle reported by the witness, 30 m below the bridge.",
            "recall": "Four pulls on the line; three blasts on the horn",
            "radio": "Channel 6, call sign Tarrow Dive",
            "emergency": "Ambulance to the slipway, gate code with control\nHelicopter field: cricket ground, 300 m east",
        },
        "made_at": "2026-11-25T14:07:00-05:00",
        "device": {"id": "d1", "client_version": "1.0", "offset_s": "0"},
    }
    return found | changes


def signature(i, meaning, at="2026-11-25T14:09:00-05:00", role="supervisor"):
    return {"person": f"p{i}", "name": PEOPLE[i], "role": role, "meaning": meaning, "at": at}


def signatures():
    return [
        signature(0, "decided"),
        *(signature(i, "briefed", "2026-11-25T14:12:00-05:00", "member") for i in range(1, 6)),
    ]


LONG_NAME = "Maximiliane Bartholomew-Featherstonehaugh"
REMARKS = ("The witness stood on the downstream parapet and saw the roof go under beside the second pier. " * 43)[:4000]


def crowded_situation():
    """Everything at its worst, half of it not known, forty people with long names."""
    of = situation()
    of["readings"]["current"] = reading("2.25", "kn", "1.0", "3.5", "estimated")
    of["readings"]["visibility"] = reading("0", "ft", "0", "1", "estimated")
    of["readings"]["depth"] = reading("180", "ft", "150", "200")
    for name in ("water_temperature", "wind_speed", "wave_height", "daylight_left"):
        of["readings"][name] = {"value": "unknown", "unit": of["readings"][name]["unit"]}
    of["hazards"] = {
        "entanglement": "severe", "overhead": "overhead", "pressure_difference": "uncontrolled", "contamination": "extreme",
        "vessel_traffic": "uncontrolled", "lightning": "yes", "ice_cover": "solid",
    }  # fmt: skip
    of["dive"] |= {
        "breathing": "scuba",
        "line": "none",
        "voice": "no",
        "kit_checked": "no",
        "recall_signal": "no",
        "plan_unchanged": "no",
    }
    of["support"] = {"emergency_plan": "no"}
    of["people"] = [
        {
            "id": f"p{i}",
            "name": f"{LONG_NAME} {i}",
            "qualifications": [],
            "fit": "no",
            "hours_awake": "30",
            "dives_24h": "9",
        }
        for i in range(40)
    ]
    for entry in of["positions"].values():
        entry |= {"qualified": "no", "ready": "no", "sole_duty": "unknown"}
    return of


def crowded():
    """A record as full as it can be: every stop at once, remarks of four thousand characters, an override."""
    found = record(crowded_situation())
    found["operation"] |= {
        "title": "Vehicle and two persons under the bridge at Nether Lorne " * 3,
        "place": "Nether Lorne, " * 20,
    }
    found["chosen"] = {"decision": "vehicle_only", "reason": REMARKS, "second_person": "p9"}
    found["own_judgement"]["note"] = REMARKS
    found["brief"] = dict.fromkeys(
        ("task", "recall", "signals", "radio", "emergency", "contingency", "remarks"), REMARKS
    )
    captions = ["The water", "The entry point", "The gauge under the second pier, " * 6]
    found["photos"] = [
        {"id": f"photo {i}", "sha256": "0123456789abcdef" * 4, "caption": captions[i % 3].strip(), "taken_at": AT}
        for i in range(40)
    ]
    return found


def crowded_and_in():
    """The same with divers sent in against a hold: the incident commander is asked, and nobody has briefed back."""
    made = crowded()
    made["chosen"] |= {"decision": "divers_with_controls"}
    made["brief"] |= {"gain": REMARKS, "recall": "Four pulls"}  # each of forty rows repeats the recall
    return made


def crowd_signatures():
    return [
        {"person": f"p{i}", "name": f"{LONG_NAME} {i}", "role": "member", "meaning": "briefed", "at": AT}
        for i in range(40)
    ]


def calm_situation():
    """A clear quarry, a training, nothing to find."""
    of = situation()
    of["task"] = {"kind": "training", "submerged_at": None, "target": "not_needed"}
    of["readings"] |= {
        "current": reading("0", "kn"), "visibility": reading("30", "ft"), "depth": reading("18", "ft"),
        "water_temperature": reading("19", "C"), "air_temperature": reading("20", "C"),
    }  # fmt: skip
    of["hazards"] |= {"entanglement": "none", "contamination": "none", "vessel_traffic": "none"}
    of["support"]["care_minutes"] = {"value": "12", "unit": "min"}
    return of


def bare():
    """A record in which almost nothing is known."""
    of = {"format": "opsrisk.situation/1", "assessed_at": AT}
    return record(of, own_judgement={}, controls_ticked=[], chosen={}, brief={})
