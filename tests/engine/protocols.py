"""The baseline's document as a thing to change, for tests of what a protocol may say."""

import json
import re
from copy import deepcopy
from functools import cache
from typing import Any

from opsrisk.engine.parts import Protocol
from opsrisk.engine.protocol import read_protocol
from opsrisk.protocols.shipped import BASELINE

GONE = object()


@cache
def _baseline() -> dict[str, Any]:
    return json.loads(BASELINE.read_text())


def document() -> dict[str, Any]:
    return deepcopy(_baseline())


def changed(path: str, value: Any) -> str:
    """The baseline as JSON with `value` at `path` (as in 'rules[0].when'), or without it where it is GONE."""
    made = document()
    *above, last = [int(step) if step.isdigit() else step for step in re.findall(r"`[^`]+`|[^.\[\]]+", path)]
    found: Any = made
    for step in above:
        found = found[_name(step)]
    if value is GONE:
        del found[_name(last)]
    else:
        found[_name(last)] = value
    return json.dumps(made)


def _name(step: Any) -> Any:
    """A key with dots in it is written between backquotes."""
    return step.strip("`") if isinstance(step, str) else step


def with_change(path: str, value: Any) -> Protocol:
    return read_protocol(changed(path, value))
