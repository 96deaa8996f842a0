"""Score and decision of random assessments, worked out from the printed words alone: pencil.md.

    python docs/measurements/pencil.py [count] > docs/measurements/pencil.md

tests/briefing/test_pencil.py does the same with fewer, and reads some off the PDF as well.
"""

import os
import sys
from pathlib import Path
from time import perf_counter

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "opsrisk.settings")

import django  # noqa: E402 - the path comes first

django.setup()

from tests.briefing.test_pencil import worked_out  # noqa: E402 - settings come first


def main(count: int) -> int:
    began = perf_counter()
    seen, different = worked_out(count)
    print("# Score and decision from the printed words alone\n")
    print(f"`python docs/measurements/pencil.py {count}`, {perf_counter() - began:.0f} s on a shared machine, 2 cores.")
    print(f"Of {count} random assessments, each printed and worked out by a program that imports nothing of ours and")
    same = count - len(different)
    print(f"reads nothing but the words on the paper, {same} came out as signed; {len(different)} differ.\n")
    print("| decision | assessments |\n| --- | --- |")
    for name, number in sorted(seen.items()):
        print(f"| {name.replace('_', ' ')} | {number} |")
    for one in different:
        print(f"\n- {one}")
    return 1 if different else 0


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000))
