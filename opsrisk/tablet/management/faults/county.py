"""The people and the rules of the harness's own server, and the assessments that its people sign."""

import base64
import io
import json
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import NAMESPACE_DNS, uuid5

from PIL import Image

from opsrisk.agencies.models import Agency, Person
from opsrisk.agencies.signing_code import key_from_code, public_key
from opsrisk.assessment.assess import assess
from opsrisk.assessment.situation import read_situation
from opsrisk.protocols import actions as protocols
from opsrisk.protocols.shipped import BASELINE, FIXTURES, baseline

FOUNDED = datetime(2026, 1, 1, tzinfo=UTC)
ASSESSED = datetime(2026, 6, 1, 11, 55, tzinfo=UTC)
CODE = "herons on the weir"
# The cost of guessing a code is no part of sending; at its full cost a day of schedules would be spent on it.
ITERATIONS = 1
PEOPLE = (("Ines Varga", "supervisor"), ("Oskar Lund", "supervisor"), ("Teo Brandt", "chief"))
EXAMPLE = FIXTURES / "situations" / "example.json"


def found() -> list[Person]:
    """The agency, three people who may send, and the rules in force; in an empty database."""
    agency = Agency.objects.create(name="Tarrow County Dive Rescue", slug="tarrow", second_factor=False)
    people = [_person(agency, name, role) for name, role in PEOPLE]
    safety = _person(agency, "Lena Okafor", "safety_officer")
    version = protocols.draft(agency=agency, document=BASELINE.read_text(), by=safety, at=FOUNDED)
    protocols.adopt(version=version, by=people[2], at=FOUNDED, reason="The start")
    return people


def _person(agency: Agency, name: str, role: str) -> Person:
    person = Person(
        id=uuid5(NAMESPACE_DNS, name), email=f"{name.split(maxsplit=1)[0]}@tarrow.example".lower(), name=name
    )
    person.role, person.agency = role, agency
    person.set_unusable_password()
    salt = base64.b64encode(person.pk.bytes).decode()
    person.signing_salt, person.signing_iterations = salt, ITERATIONS
    person.signing_public_key = public_key(key_from_code(CODE, salt, ITERATIONS))
    person.signing_set_at = FOUNDED
    person.save()
    return person


def picture() -> str:
    """The smallest photo; each tablet writes bytes of its own behind it, as cameras do."""
    out = io.BytesIO()
    Image.new("RGB", (8, 8), "navy").save(out, "JPEG")
    return base64.b64encode(out.getvalue()).decode()


def templates() -> list[dict[str, Any]]:
    """Situations with the engine's own decision on each: a current that grows."""
    given = json.loads(EXAMPLE.read_text())
    given["assessed_at"] = ASSESSED.isoformat()
    given["task"]["submerged_at"] = (ASSESSED - timedelta(hours=3)).isoformat()
    return [_template(given, current) for current in ("0.2", "0.7", "1.4", "2.6")]


def _template(given: dict[str, Any], current: str) -> dict[str, Any]:
    reading = {"value": current, "unit": "kn", "how": "measured", "at": ASSESSED.isoformat()}
    changed = given | {"readings": given["readings"] | {"current": reading}}
    situation = read_situation(json.dumps(changed))
    return {"situation": situation.document, "decision": assess(situation, baseline())}
