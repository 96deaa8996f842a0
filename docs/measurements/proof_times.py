"""How long a proof takes: the baseline in full, and rechecks after an edit; and does a recheck ever say proven wrongly?

Edits of one number: each as the sliders of the what-if make it, one step up or down. Then random changes of an entry,
most of which break something. Each is proven in full and rechecked against the proven baseline: both must name the
same failures. Numbers of docs/protocol.md.
    python docs/measurements/proof_times.py [seed] [one-number edits] [random changes]
"""

import json
import sys
from collections.abc import Callable, Iterator
from fractions import Fraction
from pathlib import Path
from random import Random
from time import perf_counter, process_time

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from opsrisk.engine.findings import Result  # noqa: E402 - the path comes first
from opsrisk.engine.parts import Protocol  # noqa: E402 - the path comes first
from opsrisk.engine.proof import prove  # noqa: E402 - the path comes first
from opsrisk.engine.protocol import ProtocolRefused, read_protocol  # noqa: E402 - the path comes first
from opsrisk.protocols.knobs import Knob, knobs, turned  # noqa: E402 - the path comes first
from opsrisk.protocols.shipped import baseline  # noqa: E402 - the path comes first
from tests.engine.mutations import mutated  # noqa: E402 - the path comes first

Results = tuple[Result, ...]
Timed = tuple[float, float, Results]  # seconds on the clock, of the processor


def timed(work: Callable[[], Results]) -> Timed:
    wall, busy = perf_counter(), process_time()
    results = work()
    return perf_counter() - wall, process_time() - busy, results


def one_number(seed: int, count: int) -> Iterator[tuple[str, Protocol]]:
    """So many different numbers of the baseline, each a step of its slider away."""
    chance = Random(seed)  # noqa: S311 - draws examples, keeps no secret
    every = list(knobs(baseline().document))
    for knob in chance.sample(every, min(count, len(every))):
        value = _a_step_on(knob, chance)
        try:
            yield (
                f"{knob.key} {knob.value} to {value}",
                read_protocol(json.dumps(turned(baseline().document, knob.key, value))),
            )
        except ProtocolRefused:
            print(f"{knob.key} {value}: no protocol")


def _a_step_on(knob: Knob, chance: Random) -> str:
    at, step = Fraction(knob.value), Fraction(knob.step)
    inside = [each for each in (at - step, at + step) if Fraction(knob.lowest) <= each <= Fraction(knob.highest)]
    places = len(knob.step.partition(".")[2])
    return f"{float(chance.choice(inside)):.{places}f}"


def told(results: Results) -> dict[str, list[str]]:
    return {each.letter: [failure.subject for failure in each.failures] for each in results if not each.proven}


def compared(named: str, edits: Iterator[tuple[str, Protocol]]) -> int:
    """Full proof and recheck of each edit: the times of the rechecks, and how often the two differ."""
    full, again, broken, differ = [], [], 0, 0
    for words, edit in edits:
        whole, part = (timed(lambda like=like, edit=edit: prove(edit, like=like)) for like in (None, baseline()))
        full.append(whole[:2])
        again.append((*part[:2], words))
        broken += bool(told(whole[2]))
        if told(whole[2]) != told(part[2]):
            differ += 1
            print(f"DIFFER: {words}: in full {told(whole[2])}, rechecked {told(part[2])}", flush=True)
    print(f"{named}: {len(again)}, of which {broken} are not proven; recheck and full proof differ on {differ}")
    for what, times in (("in full", full), ("rechecked", again)):
        wall, busy = (sorted(each[at] for each in times) for at in (0, 1))
        clock, processor = (f"{each[len(each) // 2]:.2f} s (longest {each[-1]:.2f})" for each in (wall, busy))
        print(f"  {what}: clock {clock}, processor {processor}")
    print(f"  longest recheck: {max(again, key=lambda each: each[1])[2]}", flush=True)
    return differ


def main(seed: int, numbers: int, changes: int) -> int:
    wall, busy, results = timed(lambda: prove(baseline()))
    claims = sum(each.checked for each in results)
    print(f"{baseline().id} {baseline().version} in full: {claims} claims, clock {wall:.2f} s, processor {busy:.2f} s")
    differ = compared("edits of one number", one_number(seed, numbers))
    random = ((words, edit) for edit, words, _ in map(mutated, range(seed, seed + changes)))
    return 1 if differ + compared("random changes of an entry", random) else 0


if __name__ == "__main__":
    given = [int(word) for word in sys.argv[1:4]]
    sys.exit(main(*given, *(1, 60, 60)[len(given) :]))
