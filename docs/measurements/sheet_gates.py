"""Every gate of the usual and the fullest sheet, in English and Spanish, with number found and limit: sheet_gates.md.

    python docs/measurements/sheet_gates.py > docs/measurements/sheet_gates.md

tests/briefing/test_gates.py asserts the same numbers, for two more sheets as well.
"""

import os
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "opsrisk.settings")

import django  # noqa: E402 - the path comes first

django.setup()

from tests.briefing import conformance, gates, printed  # noqa: E402 - settings come first

FULLEST = "the fullest sheet: 40 people, every stop, texts of 4,000 characters"
SHOWN = {
    "usual": "the usual sheet",
    "usual, Spanish": "the usual sheet in Spanish, with a decimal comma",
    "crowded": FULLEST,
    "crowded, Spanish": f"{FULLEST}, in Spanish",
    printed.BRIEFED: "the fullest, divers sent in against a hold: nobody has briefed back, nor the incident commander",
}
NOT_HERE = (
    "Not measured here: grey and copied twice (tests/briefing/test_copies.py), the tablet's own print",
    "(tests/briefing/test_tablet_prints_the_same.py), B14, B16, B18 to B20 (journeys on the tablet), B15 (review).",
    "What needs people (reading it in rain, read-backs that are understood) was not tested.",
)


def main() -> int:
    print("# Gates of the printed sheet\n\nMade by `python docs/measurements/sheet_gates.py`; asserted by the tests.")
    failed = 0
    for kind, words in SHOWN.items():
        both = [gates.gates(kind, paper) for paper in printed.PAPERS]
        counts = ", ".join(f"{len(printed.pages(kind, paper))} pages on {paper}" for paper in printed.PAPERS)
        print(f"\n## {words} ({counts})\n\n| gate | what | limit | A4 | Letter | holds |")
        print("| --- | --- | --- | --- | --- | --- |")
        for a4, letter in zip(*both, strict=True):
            holds = a4.holds and letter.holds
            failed += not holds
            numbers = " | ".join(f"{one.found:.2f}".rstrip("0").rstrip(".") for one in (a4, letter))
            print(f"| {a4.number} | {a4.what} | {a4.limit} {a4.unit} | {numbers} | {'yes' if holds else '**no**'} |")
    print("\n" + "\n".join(NOT_HERE))
    print("\n## The file: what a machine can check of PDF/A-3 and PDF/UA-1\n")
    print("Own checks with pikepdf; **no independent validator has seen the files**.\n")
    print("| what | usual, letter | fullest, a4 |\n| --- | --- | --- |")
    for one, other in zip(*(conformance.checks(printed.pdf(*of)) for of in conformance.SHOWN), strict=True):
        failed += bool(one.faults or other.faults)
        print(f"| {one.what} | {one.words} | {other.words} |")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
