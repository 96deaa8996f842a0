"""The picture of each number of a plan that has one."""

from collections.abc import Mapping
from typing import Any

from opsrisk.assessment.pictures.search_pattern import search_pattern
from opsrisk.assessment.pictures.sonar_section import sonar_section
from opsrisk.assessment.pictures.tether_view import tether_view
from opsrisk.assessment.pictures.window_chart import window_chart


def pictures(plan: Mapping[str, Any]) -> dict[str, str]:
    """SVG text by computation, for every number of a plan document that names a picture."""
    numbers = {one["computation"]: one for one in plan["numbers"]}
    holding = numbers.get("holding_limit", {"answers": [{}]})["answers"][0].get("plan_on")
    found = {}
    for name, number in numbers.items():
        if number["picture"] == "tether":
            found[name] = tether_view(number)
        elif number["picture"] == "window":
            found[name] = window_chart(number, None if holding is None else float(holding))
        elif number["picture"] == "sonar":
            found[name] = sonar_section(number)
        elif number["picture"] == "search":
            found[name] = search_pattern(number)
    return found
