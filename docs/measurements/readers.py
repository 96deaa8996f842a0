"""Do the readers of one decision ever differ? Floats and arrays on random situations and every boundary; the browser.

Floats against arrays: every part of the answer, on situations drawn mostly at and beside the protocol's own numbers.
Browser against CPython: the digest of the whole decision document, on random situation documents, in Chromium's
Pyodide as the tablet runs it. Numbers of docs/protocol.md.
    python docs/measurements/readers.py [seed] [rows] [documents in the browser]
"""

import json
import os
import sys
from collections import Counter
from pathlib import Path
from time import perf_counter

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "opsrisk.settings")

from opsrisk.assessment.record import digest  # noqa: E402 - the path comes first
from opsrisk.engine.inputs import DECISIONS  # noqa: E402 - the path comes first
from opsrisk.engine.replay import replay  # noqa: E402 - the path comes first
from opsrisk.protocols.shipped import BASELINE, baseline  # noqa: E402 - the path comes first
from opsrisk.tablet.management.in_browser import NotMeasured, timings_in_browser  # noqa: E402 - the path comes first
from tests.engine import at_random  # noqa: E402 - the path comes first
from tests.engine.same_answer import boundary_columns, differences  # noqa: E402 - the path comes first
from tests.tablet import answers_in_python  # noqa: E402 - the path comes first
from tests.tablet.situations import situation  # noqa: E402 - the path comes first

HARMLESS = (0.0, 0.9, 0.97, 0.985)  # how many of the inputs of a situation are at their most harmless
AT_ONCE = 2_500  # documents handed to one browser


def on_arrays(seed: int, rows: int) -> int:
    differ, seen = 0, Counter[str]()
    began = perf_counter()
    for number, share in enumerate(HARMLESS):
        drawn = at_random.columns(baseline(), rows // len(HARMLESS), seed=seed + number, harmless=share)
        differ += differences(drawn).size
        seen.update(DECISIONS[place] for place in replay(baseline(), drawn).decision.tolist())
    print(f"floats and arrays differ on {differ} of {rows} random situations, {perf_counter() - began:.0f} s")
    print(f"{dict(seen)}")
    edges = boundary_columns()
    at_edges = differences(edges).size
    number = len(next(iter(edges.values())))
    print(f"floats and arrays differ on {at_edges} of {number} situations at and beside every number", flush=True)
    return int(differ + at_edges)


def in_browser(seed: int, count: int) -> int:
    differ, name, seen, began = 0, "", Counter[str](), perf_counter()
    for start in range(seed, seed + count, AT_ONCE):
        texts = [json.dumps(situation(each)) for each in range(start, min(start + AT_ONCE, seed + count))]
        given = (BASELINE.read_text(), texts)
        name, there = timings_in_browser(*given, source=answers_in_python)
        here = answers_in_python.timings(*given)
        for number, (ours, theirs) in enumerate(zip(here["answers"], there["answers"], strict=True)):
            if ours != theirs:
                differ += 1
                print(f"DIFFER: situation {start + number}: here {ours}, in the browser {theirs}", flush=True)
            seen[ours.partition(" ")[0]] += 1
    print(f"{name} and CPython differ on {differ} of {count} whole decision documents, {perf_counter() - began:.0f} s")
    print(f"{dict(seen)}", flush=True)
    return differ


def main(seed: int, rows: int, documents: int) -> int:
    print(f"{baseline().id} {baseline().version}, digest {digest(baseline().document)[:12]}, seed {seed}")
    differ = on_arrays(seed, rows) if rows else 0
    try:
        differ += in_browser(seed, documents) if documents else 0
    except NotMeasured as reason:
        print(f"browser: not measured, {reason}")
        return 2
    return 1 if differ else 0


if __name__ == "__main__":
    given = [int(word) for word in sys.argv[1:4]]
    sys.exit(main(*given, *(1, 100_000, 10_000)[len(given) :]))
