"""How long does a sheet take to be laid out, rendered and sealed, and an archive or a sheet to be verified?

    python docs/measurements/sheet_times.py [rounds]

Makes its operations in a folder of its own, with keys of its own, and leaves nothing behind. The verifier is started
anew each time, as somebody outside does: python -I verify_operation.py FILE.
"""

import os
import subprocess
import sys
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from time import perf_counter
from uuid import UUID

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))
ROUNDS = int(sys.argv[1]) if len(sys.argv) > 1 else 15
FOLDER = TemporaryDirectory(prefix="opsrisk-times-")  # gone when this program ends
os.environ |= {"OPSRISK_DATA": FOLDER.name, "DJANGO_SETTINGS_MODULE": "opsrisk.settings"}
for _theirs in ("DATABASE_URL", "REDIS_URL"):
    os.environ.pop(_theirs, None)

import django  # noqa: E402 - the folder comes first

django.setup()

from django.core.management import call_command  # noqa: E402 - settings come first

from opsrisk.briefing import seal  # noqa: E402 - settings come first
from opsrisk.briefing.verifier import verify_operation  # noqa: E402 - settings come first
from opsrisk.ledger import exports, signing  # noqa: E402 - settings come first
from tests.briefing import printed  # noqa: E402 - settings come first
from tests.briefing.inquiry import past, tamper_run  # noqa: E402 - settings come first
from tests.cast import people  # noqa: E402 - settings come first
from tests.operations.sending import adopt_baseline  # noqa: E402 - settings come first

AGENCY = UUID(int=1)


def sheet(kind: str) -> None:
    """From the record to the sealed file, as a worker does it."""
    for kept in (printed.sheet, printed.document, printed.pdf):
        kept.cache_clear()
    data = printed.pdf(kind, "letter")
    seal.sealed(data, agency_id=AGENCY, agency="Tarrow County Dive Rescue", at=datetime.now(UTC))


def verify(path: Path, trusted: list[str]) -> None:
    """As somebody outside with the server's key, the authority and heads kept elsewhere: everything holds."""
    program = [sys.executable, "-I", verify_operation.__file__, str(path), *trusted]
    done = subprocess.run(program, capture_output=True, text=True, check=False)  # noqa: S603 - words of our own
    if done.returncode:
        raise SystemExit(f"{path.name}: exit code {done.returncode}\n{done.stdout}{done.stderr}")


def timed(words: str, run: Callable[[], None]) -> None:
    run()
    times = []
    for _ in range(ROUNDS):
        began = perf_counter()
        run()
        times.append(perf_counter() - began)
    print(f"| {words} | {median(times):.2f} | {max(times):.2f} |", flush=True)


def main() -> None:
    call_command("migrate", verbosity=0)
    cast = people()
    adopt_baseline(cast)
    past.elsewhere()
    made = past.past(cast)
    past.elsewhere(1)
    of = tamper_run.exhibits(made.operation, past.another_operation(cast))
    cores, load = len(os.sched_getaffinity(0)), os.getloadavg()[0]
    print(f"{ROUNDS} rounds, {cores} cores, load {load:.1f}\n\n| what | median s | longest s |\n| --- | --- | --- |")
    for kind in ("usual", "crowded"):
        timed(f"sheet, {kind}", lambda kind=kind: sheet(kind))
    folder = Path(FOLDER.name)
    for name, data in (("operation.zip", of.archive), ("sheet.pdf", of.sheet)):
        (folder / name).write_bytes(data)
    (folder / "authorities.pem").write_bytes(seal.authorities())
    keys = [word for key in signing.public_keys().values() for word in ("--key", key)]
    by = [*keys, "--authority", str(folder / "authorities.pem")]
    timed("verifier, an archive", lambda: verify(folder / "operation.zip", [*by, "--heads", str(exports.path())]))
    timed("verifier, a sheet", lambda: verify(folder / "sheet.pdf", by))


if __name__ == "__main__":
    main()
