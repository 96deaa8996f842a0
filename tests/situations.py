"""Reads the situations that a safety officer can read (fixtures/situations) into situation documents.

A file of situations says only what differs from a named base; see fixtures/situations/bases.toml.
"""

import json
import re
import tomllib
from datetime import UTC, datetime, timedelta
from functools import cache
from typing import Any

from opsrisk.assessment.fields import SHAPE, Group, Measure
from opsrisk.assessment.situation import Situation, read_situation
from opsrisk.engine.inputs import STATES
from opsrisk.protocols.shipped import FIXTURES

FOLDER = FIXTURES / "situations"
SHARED = ("bases", "vehicles")
NOW = datetime(2026, 6, 12, 10, 0, tzinfo=UTC)
SAID = re.compile(r"(?P<value>-?[0-9.]+) (?P<unit>\S+?)(, (?P<ago>[0-9.]+) (?P<scale>min|h) ago)?")


@cache
def _shared(kind: str) -> dict[str, dict[str, Any]]:
    return tomllib.loads((FOLDER / f"{kind}.toml").read_text())


def cases() -> list[dict[str, Any]]:
    """Every situation of every file, with the name of its file."""
    files = sorted(path for path in FOLDER.glob("*.toml") if path.stem not in SHARED)
    return [case | {"file": path.stem} for path in files for case in tomllib.loads(path.read_text())["situation"]]


def situation(base: str = "still quarry", vehicle: str = "none in the kit", **given: Any) -> Situation:
    """The situation of `base` and `vehicle` with what is `given` by dotted path, assessed at NOW."""
    return read_situation(json.dumps(document(base, vehicle, **given)))


def document(base: str = "still quarry", vehicle: str = "none in the kit", **given: Any) -> dict[str, Any]:
    """The document of that situation."""
    said = _inherited("bases", base) | _inherited("vehicles", vehicle) | given
    made: dict[str, Any] = {"format": "opsrisk.situation/1", "assessed_at": NOW.isoformat(), "vehicle": None}
    for path, value in said.items():
        _put(made, path, value)
    return made


def _inherited(kind: str, name: str) -> dict[str, Any]:
    own = dict(_shared(kind)[name])
    return (_inherited(kind, own.pop("like")) if "like" in own else {}) | own


def _put(made: dict[str, Any], path: str, value: Any) -> None:
    if path == "under_water":
        path, value = "task.submerged_at", value if value in (None, "unknown") else _before(*value.split())
    elif re.fullmatch(r"positions\.\w+", path):
        value = dict.fromkeys(STATES, value)
    elif isinstance(value, str) and value != "unknown" and _is_measured(path):
        value = _measured(value)
    *above, last = path.split(".")
    for name in above:
        if made.get(name) is None:
            made[name] = {}
        made = made[name]
    made[last] = value


def _is_measured(path: str) -> bool:
    shape: Any = SHAPE
    for name in path.split("."):
        shape = shape.fields.get(name) if isinstance(shape, Group) else None
    return isinstance(shape, Measure)


def _measured(said: str) -> dict[str, str]:
    """'0.8 kn' or '0.8 kn, 40 min ago' as a quantity that was measured."""
    found = SAID.fullmatch(said)
    assert found, f"{said!r} is no quantity as it is said"
    taken = {"at": _before(found["ago"], found["scale"])} if found["ago"] else {}
    return {"value": found["value"], "unit": found["unit"], "how": "measured"} | taken


def _before(amount: str, scale: str) -> str:
    return (NOW - timedelta(**{"min": {"minutes": float(amount)}, "h": {"hours": float(amount)}}[scale])).isoformat()
