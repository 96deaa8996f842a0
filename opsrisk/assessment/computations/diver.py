"""What the current does to a diver: load to plan line and tender by, and how hard swimming is."""

from typing import Any

from opsrisk.assessment.computations.answering import quantity, word
from opsrisk.assessment.computations.asking import WATER, amount, pick
from opsrisk.assessment.computations.entry import DENSITY_KGPM3, LENGTH, SMALL, SPEED, Computation, Values
from opsrisk.physics.drag import diver_load, swim_effort, tended_diver_load
from opsrisk.reference import sources

Answers = dict[str, Any]
POSTURES = ("swimming", "working", "standing")


def _load(given: Values) -> Answers:
    density = DENSITY_KGPM3[given["water"]]
    found = diver_load(posture=given["posture"], current_mps=given["current"], density_kgpm3=density)
    answers = {"low": found.low_n, "high": found.high_n, "effort": swim_effort(given["current"])}
    if None not in (given["line_diameter"], given["line_out"], given["depth"]):
        tended = tended_diver_load(
            posture=given["posture"], current_mps=given["current"], density_kgpm3=density,
            line_diameter_m=given["line_diameter"], line_out_m=given["line_out"], depth_m=given["depth"],
        )  # fmt: skip
        answers |= {"tended_low": tended.low_n, "tended_high": tended.high_n}
    return answers


ENTRIES = (
    Computation(
        name="diver_load",
        title="Load on a diver",
        question="What do the diver's grip, the line and the tender have to hold in this current?",
        method="Half density times drag area times speed squared, from the least to the greatest published drag area.",
        limits="A range only: published drag areas differ by a factor of four. It decides nothing; swim trials do.",
        page="drag",
        sources=(sources.DIVER_WIND_TUNNEL, sources.DIVER_PULL_TABLE, sources.SWIM_TRIALS),
        asks=(
            pick("posture", POSTURES, "What the diver does"),
            amount("current", SPEED, 0.0, 10.0, "Current at the diver"),
            WATER,
            amount("line_diameter", SMALL, 0.001, 0.1, "Diameter of the diver's line", optional=True),
            amount("line_out", LENGTH, 1.0, 300.0, "Line out", optional=True),
            amount("depth", LENGTH, 0.0, 100.0, "Depth of the diver", optional=True),
        ),
        answers=(
            quantity("low", "Load, at least", "N", 0, ("lbf", 0), toward="down"),
            quantity("high", "Load, at most", "N", 0, ("lbf", 0), toward="up",
                     error="the published drag areas span a factor of four"),
            word("effort", "Swimming against it with fins is"),
            quantity("tended_low", "With the line, at least", "N", 0, ("lbf", 0), toward="down"),
            quantity("tended_high", "With the line, at most", "N", 0, ("lbf", 0), toward="up"),
        ),
        call=_load,
        arguments={
            "current_mps": "current", "posture": "posture", "line_diameter_m": "line_diameter",
            "tether_diameter_m": "line_diameter", "line_out_m": "line_out", "tether_out_m": "line_out",
            "depth_m": "depth",
        },
    ),
)  # fmt: skip
