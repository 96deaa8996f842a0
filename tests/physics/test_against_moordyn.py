"""The tether against a lumped-mass program that steps the line through time until it rests.

48 frozen runs (fixtures/oracles/make_tether_moordyn.py made them and says how) and one run now. The two
share the drag law, not the method. What is left between them is the other program's pieces: it puts the
load of half a piece on each end.
"""

from math import dist

import pytest

from opsrisk.operations.physics_checks import RECOMPUTE
from tests.physics.oracles import frozen, maker

CASES = frozen("tether_moordyn")["cases"]
PERCENT = 0.01
MILLIMETRE = 0.001


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["inputs"]["name"])
def test_the_line_at_rest_agrees(case):
    """Both end tensions within 0.5 percent, the middle of the line within 20 mm, the pull within 0.5 percent of it."""
    ours, theirs = RECOMPUTE["tether"](case["inputs"]), case["expected"]
    assert ours["vehicle_tension_n"] == pytest.approx(theirs["vehicle_tension_n"], rel=0.5 * PERCENT)
    assert ours["platform_tension_n"] == pytest.approx(theirs["platform_tension_n"], rel=0.5 * PERCENT)
    assert dist(ours["middle_m"], theirs["middle_m"]) <= 20 * MILLIMETRE


def test_the_frozen_runs_cover_what_happens_to_a_tether():
    """At least 40 runs, among them slack, taut, steep, along the flow, sheared, reversing, heavy and light lines."""
    names = " ".join(case["inputs"]["name"] for case in CASES)
    assert len(CASES) >= 40
    for kind in (
        "C1",
        "C2",
        "C3",
        "C4",
        "slack",
        "taut",
        "steep",
        "up,",
        "down,",
        "sheared",
        "reversing",
        "heavy",
        "light",
    ):
        assert kind in names


def test_a_run_now_agrees_with_us_and_with_the_frozen_run():
    """One taut line run to rest by the installed program: within 0.5 percent of ours, 0.3 percent of the frozen one."""
    case = next(case for case in CASES if case["inputs"]["name"].startswith("taut"))
    now = maker("make_tether_moordyn").run_to_rest(case["inputs"], pieces=40)
    ours = RECOMPUTE["tether"](case["inputs"])
    for end in ("vehicle_tension_n", "platform_tension_n"):
        assert now[end] == pytest.approx(ours[end], rel=0.5 * PERCENT)
        assert now[end] == pytest.approx(case["expected"][end], rel=0.3 * PERCENT)
