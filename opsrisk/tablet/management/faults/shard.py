"""Some of the schedules, in a process of their own on a database of their own: `python -m ... FIRST COUNT [CLIENT]`.

The database is made in a temporary folder before any setting is read, so that no run can touch a real one.
"""

import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path

HERE = Path(__file__).parent
ROOT = HERE.parents[3]


def node() -> str:
    """The Node.js that npm came with."""
    return str(Path(sys.executable).parent / "node")


def main() -> None:
    first, count = (int(given) for given in sys.argv[1:3])
    with tempfile.TemporaryDirectory(prefix="faults-") as folder:
        for name in ("DATABASE_URL", "REDIS_URL", "OPSRISK_HOSTS"):
            os.environ.pop(name, None)
        os.environ |= {"OPSRISK_DATA": folder, "DJANGO_SETTINGS_MODULE": "opsrisk.settings", "OPSRISK_LOG": "CRITICAL"}
        print(json.dumps(run(first, count, sys.argv[3:4])))


def run(first: int, count: int, client: list[str]) -> list[dict[str, object]]:
    import django  # noqa: PLC0415 - the folder comes first

    django.setup()
    from django.core.management import call_command  # noqa: PLC0415 - Django is set up first

    from opsrisk.tablet.management.faults.server import serve  # noqa: PLC0415 - Django is set up first

    call_command("migrate", verbosity=0)
    flags = ["--experimental-vm-modules", "--no-warnings"]
    command = [node(), *flags, str(HERE / "main.mjs"), str(first), str(count), *client]
    with subprocess.Popen(command, cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as tablets:  # noqa: S603 - our own script
        results = serve(tablets)
    if tablets.returncode or len(results) != count:
        raise SystemExit(f"the tablets stopped after {len(results)} of {count} schedules (exit {tablets.returncode})")
    return results


if __name__ == "__main__":
    main()
