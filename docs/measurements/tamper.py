"""Alterations of an archive, a sheet, a record's file and the log, and whether the verifier notices each: tamper.md.

    python docs/measurements/tamper.py 10000 1 > docs/measurements/tamper.md

Makes its operations in a folder of its own, with keys of its own, and leaves nothing behind. The first number is how
many alterations, the second where chance begins. Exit 1 if anything was missed.
"""

import os
import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory
from time import monotonic

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))
FOLDER = TemporaryDirectory(prefix="opsrisk-tamper-")  # gone when this program ends
os.environ |= {"OPSRISK_DATA": FOLDER.name, "DJANGO_SETTINGS_MODULE": "opsrisk.settings"}
for _theirs in ("DATABASE_URL", "REDIS_URL"):
    os.environ.pop(_theirs, None)

import django  # noqa: E402 - the folder comes first

django.setup()

from django.core.management import call_command  # noqa: E402 - settings come first

from tests.briefing.inquiry import campaign, past, tamper_run  # noqa: E402 - settings come first
from tests.cast import people  # noqa: E402 - settings come first
from tests.operations.sending import adopt_baseline  # noqa: E402 - settings come first


def exhibits() -> campaign.Exhibits:
    call_command("migrate", verbosity=0)
    cast = people()
    adopt_baseline(cast)
    past.elsewhere()
    made = past.past(cast)
    past.elsewhere(1)
    other = past.another_operation(cast)
    past.elsewhere(2)
    return tamper_run.exhibits(made.operation, other)


def commit() -> str:
    asked = ["git", "-C", str(ROOT), "rev-parse", "--short", "HEAD"]
    return subprocess.run(asked, capture_output=True, text=True, check=False).stdout.strip() or "not known"  # noqa: S603 - words of our own


def main(count: int, seed: int) -> int:
    if count < 1:
        print(f"count: given {count}, accepted at least 1", file=sys.stderr)
        return 2
    of, began = exhibits(), monotonic()
    found = campaign.campaign(of, count, seed)
    how = [
        f"`python docs/measurements/tamper.py {count} {seed}`, {monotonic() - began:.0f} s on a shared machine",
        f"with 2 cores, at commit {commit()}.",
    ]
    print(tamper_run.report(found, how, tamper_run.by_pdfsig(of.sheet, seed)), end="")
    missed = tamper_run.missed(found)
    if missed:
        print("missed: " + "; ".join(missed[:20]), file=sys.stderr)
    return bool(missed)


if __name__ == "__main__":
    given = [int(one) for one in sys.argv[1:3]]
    sys.exit(main(*given, *(1000, 1)[len(given) :]))
