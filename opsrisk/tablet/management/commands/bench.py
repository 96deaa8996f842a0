"""`manage.py bench`: how fast it decides on this machine, in Python and in the browser."""

import json
import os
import platform
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from opsrisk.assessment.computed import facts_of
from opsrisk.assessment.situation import read_situation
from opsrisk.engine.inputs import INPUTS, Quantity
from opsrisk.engine.parts import Protocol
from opsrisk.engine.readings import values
from opsrisk.engine.replay import columns, replay
from opsrisk.operations import timed_computations
from opsrisk.operations.management.commands.check_physics import timed_documents
from opsrisk.protocols.shipped import BASELINE, baseline
from opsrisk.reference.units import from_si
from opsrisk.review.investigations import CASES
from opsrisk.tablet.management import beside_peers
from opsrisk.tablet.management.by_hand import decide_by_hand
from opsrisk.tablet.management.in_browser import NotMeasured, timings_in_browser
from opsrisk.tablet.management.peers import NoPeers
from opsrisk.tablet.management.timed import DECISIONS_EACH, RUNS, median_ms, timings

DECISION_PYTHON_MS, DECISION_BROWSER_MS = 1.0, 10.0
ROWS = 100_000

Facts = dict[str, float | int]


class Command(BaseCommand):
    help = "Time one decision and one assessment, in Python and in the browser, over the published investigations."
    requires_system_checks = ()

    def add_arguments(self, parser: CommandParser) -> None:
        what = parser.add_mutually_exclusive_group()
        what.add_argument("--computations", action="store_true", help="time each computation by name instead")
        what.add_argument(
            "--peers", action="store_true", help="time general rule engines on the same table beside ours"
        )

    def handle(self, *, computations: bool, peers: bool, **_: Any) -> None:
        situations = [json.dumps(case["situation"]) for case in json.loads(CASES.read_text())]
        if computations:
            self._computations()
        elif peers:
            self._beside_peers(situations)
        else:
            self._decisions(situations)

    def _decisions(self, situations: list[str]) -> None:
        facts = [dict(values(facts_of(read_situation(text), baseline()), "value")) for text in situations]
        machine = f"{os.cpu_count()} cores, Python {platform.python_version()}"
        self.stdout.write(f"{machine}; median of {RUNS} runs over {len(situations)} published cases")
        here = timings(BASELINE.read_text(), situations)
        self._within("decision, Python", here["decision"], DECISION_PYTHON_MS)
        by_hand = median_ms(decide_by_hand, [in_words(each, baseline()) for each in facts], DECISIONS_EACH)
        ratio = here["decision"] / by_hand
        self.stdout.write(f"the same by hand, Python: {by_hand:.4f} ms; the engine takes {ratio:.1f} times as long")
        self.stdout.write(f"whole assessment, Python: {here['assessment']:.2f} ms")
        rows = columns(baseline(), (facts[place % len(facts)] for place in range(ROWS)))
        together = median_ms(lambda _: replay(baseline(), rows), [None], 1)
        a_second = ROWS / together * 1000
        self.stdout.write(f"decision over arrays: {together:.0f} ms for {ROWS:,}, {a_second:,.0f} a second")
        self._in_browser(situations)

    def _computations(self) -> None:
        """Each computation by name, the plan and its pictures: here, and where the tablet runs them."""
        given = timed_documents()
        here = timed_computations.timings(*given)
        try:
            name, there = timings_in_browser(*given, source=timed_computations)
        except NotMeasured as reason:
            name, there = f"browser: not measured, {reason}", {}
        self.stdout.write(f"{'median, ms of':<22}{'first':>10}{'Python':>10}{'first':>10}{'browser':>10}  {name}")
        for computation, taken in here.items():
            cells = [taken["first"], taken["median"], *(there[computation].values() if there else ())]
            self.stdout.write(f"{computation:<22}" + "".join(f"{cell:>10.2f}" for cell in cells))

    def _beside_peers(self, cases: list[str]) -> None:
        """Other engines on the same rules, and ours: decisions a second, and whether the goals are met."""
        situated = beside_peers.situations(cases, baseline())
        found: list[beside_peers.Speed] = []
        try:
            for speed in beside_peers.speeds(baseline(), situated, ROWS):
                if not found:
                    self.stdout.write(
                        f"all the same score and decision on all of {len(situated)} situations; a second:"
                    )
                found.append(speed)
                self.stdout.write(f"{speed.name:<32}{speed.a_second:>12,.0f}  {speed.kind}")
        except NoPeers as reason:
            raise CommandError(f"not measured: {reason}") from reason
        except beside_peers.NotTheSame as reason:
            raise CommandError(f"not timed: {reason}") from reason
        for line in beside_peers.verdicts(found):
            self.stdout.write(line)

    def _in_browser(self, situations: list[str]) -> None:
        try:
            name, there = timings_in_browser(BASELINE.read_text(), situations)
        except NotMeasured as reason:
            self.stdout.write(f"browser: not measured, {reason}")
            return
        self._within(f"decision, {name}", there["decision"], DECISION_BROWSER_MS)
        self.stdout.write(f"whole assessment, {name}: {there['assessment']:.2f} ms")

    def _within(self, what: str, found_ms: float, target_ms: float) -> None:
        met = "within" if found_ms < target_ms else "MISSES"
        self.stdout.write(f"{what}: {found_ms:.4f} ms ({met} {target_ms:g} ms)")


def in_words(facts: Facts, protocol: Protocol) -> dict[str, float | str]:
    """Facts as `decide_by_hand` takes them: the units that the protocol is printed in, and words."""
    found: dict[str, float | str] = {}
    for name, value in facts.items():
        item = INPUTS[name]
        if isinstance(item, Quantity):
            unit = protocol.document["inputs"].get(name, {}).get("unit", item.units[0])
            found[name] = float(from_si(value, unit, 9))
        else:
            found[name] = item.values[int(value)]
    return found
