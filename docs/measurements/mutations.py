"""Random changes of the baseline: do the proof and a search by brute force on floats ever disagree?

Each seed is one change of one entry. Prints every disagreement as it is found, and at the end what was broken
and by how much the search alone would have noticed. Numbers of docs/protocol.md.
    python docs/measurements/mutations.py [first seed] [how many]
"""

import sys
from collections import Counter
from pathlib import Path
from time import process_time

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from opsrisk.assessment.record import digest  # noqa: E402 - the path comes first
from opsrisk.protocols.shipped import baseline  # noqa: E402 - the path comes first
from tests.engine.disagreements import SEARCHED, told  # noqa: E402 - the path comes first


def main(first: int, count: int) -> int:
    disagreements, whole = 0, 0
    broken: Counter[str] = Counter()
    searched: Counter[str] = Counter()
    began = process_time()
    for seed in range(first, first + count):
        found = told(seed)
        for each in found.wrong:
            print(f"mutation {seed} ({found.words}): {each}", flush=True)
        disagreements += len(found.wrong)
        whole += not found.broken
        broken.update(found.broken)
        searched.update(found.searched)
    rules = baseline()
    print(f"{rules.id} {rules.version}, digest {digest(rules.document)[:12]}; seeds {first} to {first + count - 1}")
    print(f"{disagreements} disagreements in {count} changes; {whole} of them break nothing")
    for letter in sorted(broken | searched):
        alone = f", of which the search alone finds {searched[letter]}" if letter in SEARCHED else ""
        print(f"({letter}) broken by {broken[letter]}{alone}")
    print(f"{(process_time() - began) / count:.2f} s of processor time each")
    return 1 if disagreements else 0


if __name__ == "__main__":
    given = [int(word) for word in sys.argv[1:3]]
    sys.exit(main(*given, *(0, 1000)[len(given) :]))
