"""The protocol against published investigations: every hit and every miss, with one line why."""

import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from opsrisk.assessment.assess import assess
from opsrisk.assessment.situation import read_situation
from opsrisk.engine.parts import Protocol
from opsrisk.protocols.shipped import FIXTURES

CASES = FIXTURES / "investigations" / "published_cases.json"

# The reader of the reports used words of his own for what should have been noticed; where one of our
# flags says the same thing, it is named here. What has no flag is listed as such, not counted as missed.
FLAG_OF = {
    "current_high": ("current_over_limit",),
    "current_unknown": ("unknown_inputs",),
    "visibility_unknown": ("unknown_inputs",),
    "visibility_nil": ("low_visibility",),
    "differential_pressure": ("pressure_difference",),
    "pump_or_gate_not_isolated": ("pressure_difference",),
    "overhead_penetration": ("overhead",),
    "confined_space": ("overhead",),
    "ice_overhead": ("ice",),
    "cold_water": ("cold",),
    "no_tender_or_line": ("no_tender", "untended"),
    "no_comms": ("no_voice",),
    "solo_diver": ("alone", "no_standby", "no_tender", "untended"),
    "team_too_small": ("alone", "no_standby", "no_tender"),
    "training_not_urgent": ("no_gain",),
    "recovery_not_urgent": ("no_gain",),
    "qualification_recent": ("unqualified",),
    "depth_for_mode": ("depth_over_limit",),
    "equipment_checks": ("kit_unchecked",),
    "contaminated_water": ("contamination",),
    "gas_reserve": ("gas_short",),
}
WITHOUT_FLAG = (
    "overweight",
    "fitness_medical",
    "drawings_missing",
    "sediment_collapse",
    "weather",
    "heavy_load_handling",
    "depth_overrun_possible",
)

GREY = ("RTN-04", "RTN-09")  # went well, but a fair reader could call either way: no measure of over-caution


@dataclass(frozen=True)
class CaseResult:
    id: str
    kind: str
    report: str
    expected: str
    given: str
    score: int
    hit: bool
    flags_found: tuple[str, ...]
    flags_missed: tuple[str, ...]
    flags_without_id: tuple[str, ...]
    why: str


def run_cases(protocol: Protocol) -> Iterator[CaseResult]:
    """`protocol` on every published case, in the order of the file."""
    for case in json.loads(CASES.read_text()):
        decision = assess(read_situation(json.dumps(case["situation"])), protocol)
        raised = set(decision["flags"])
        wanted = {label: FLAG_OF.get(label, (label,)) for label in case["must_flag"] if label not in WITHOUT_FLAG}
        found = tuple(label for label, ids in wanted.items() if raised & set(ids))
        yield CaseResult(
            id=case["id"],
            kind=case["kind"],
            report=f"{case['authority']} {case['report']}",
            expected="/".join(case["acceptable"]),
            given=decision["decision"],
            score=decision["score"],
            hit=decision["decision"] in case["acceptable"],
            flags_found=found,
            flags_missed=tuple(label for label in wanted if label not in found),
            flags_without_id=tuple(label for label in case["must_flag"] if label in WITHOUT_FLAG),
            why=_why(decision),
        )


def groups(results: Iterable[CaseResult]) -> Iterator[tuple[str, tuple[CaseResult, ...]]]:
    """The cases that are counted together, each group with its name."""
    results = tuple(results)
    yield "accidents", tuple(r for r in results if r.kind == "accident")
    routine = tuple(r for r in results if r.kind == "routine" and r.id not in GREY)
    yield f"routine dives, the grey {' and '.join(GREY)} left out", routine
    yield "correct refusals", tuple(r for r in results if r.kind == "correct_refusal")


def _why(decision: dict) -> str:
    """What decided, in one line."""
    reasons = {entry["id"]: entry for entry in (*decision["stops"], *decision["triggers"], *decision["vehicle"])}
    because = [reasons[name]["text"] for name in decision["rule"]["because"] if name in reasons]
    return f"{decision['rule']['text']}: {because[0]}" if because else decision["rule"]["text"]
