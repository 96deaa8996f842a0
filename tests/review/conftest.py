"""A dozen operations of two agencies under two protocol versions, with an override, a difference and gaps."""

import copy
from datetime import datetime, timedelta

import pytest

from opsrisk.operations.models import Operation
from tests.briefing import records
from tests.filed import filed, protocol_of

FIRST = datetime.fromisoformat("2026-03-01T15:00:00+00:00")


@pytest.fixture
def past(cast):
    """Builds one past operation; the record is the usual one with another score, decision and title."""
    base = records.record()

    def add(day, title, **told):
        told = {
            "score": 40,
            "decision": "vehicle_first",
            "version": "1.0.0",
            "agency": cast.agency,
            "kind": "recovery",
        } | told
        agency, decision, chosen = told["agency"], told["decision"], told.get("chosen")
        ours = agency == cast.agency
        safety, chief = (cast.safety, cast.chief) if ours else (cast.neighbour_supervisor, cast.neighbour_chief)
        record = copy.deepcopy(base)
        record["situation"]["assessed_at"] = (FIRST + timedelta(days=day)).isoformat()
        record["situation"]["task"]["kind"] = told["kind"]
        record["operation"] |= {"title": title, "place": f"Mile {day}, River Lorne"}
        record["decision"] |= {"decision": decision, "score": told["score"]}
        record["own_judgement"]["decision"] = told.get("own", decision)
        reason = "Target confirmed by the harbour's own diver" if chosen else ""
        record["chosen"] = {"decision": chosen or decision, "reason": reason, "second_person": None}
        return filed(
            record,
            agency=agency,
            by=cast.supervisor if ours else cast.neighbour_supervisor,
            protocol=protocol_of(agency, safety, chief, told["version"]),
            site=told.get("site"),
            differs=told.get("differs", False),
            second=cast.deputy if chosen else None,
        )

    return add


@pytest.fixture
def county(past, cast):
    """Twelve of the county's own, one of the neighbour's, and one operation that nobody assessed."""
    past(0, "Van at the ferry", score=45, site=cast.site)
    past(3, "Knife under the quay", kind="evidence", score=20, decision="divers_with_controls")
    past(9, "Quarry day", kind="training", score=0, decision="divers", site=cast.site)
    past(20, "Boy at the weir", kind="rescue", score=60, decision="divers_with_controls", own="vehicle_first")
    past(33, "=Skiff+1", kind="object", score=52, decision="vehicle_only", chosen="divers_with_controls")
    past(40, "Culvert", kind="inspection", score=100, decision="hold", own="divers")
    past(41, "Second culvert", kind="inspection", score=88, decision="hold", differs=True)
    past(60, "Bridge pier", version="2.0.0", kind="inspection", score=30, decision="divers_with_controls")
    past(61, "Safe in the lake", version="2.0.0", kind="object", score=10, decision="divers")
    past(62, "Lost ring", version="2.0.0", kind="object", score=70, decision="vehicle_only")
    past(75, "Ice training", version="2.0.0", kind="training", score=None, decision="hold")
    past(80, "Van again", version="2.0.0", score=44, site=cast.site)
    past(5, "Neighbour's barge", agency=cast.neighbour, score=99, decision="hold")
    Operation.objects.create(
        agency=cast.agency, title="Called off", kind="object", called_at=FIRST + timedelta(days=10)
    )
    return cast
