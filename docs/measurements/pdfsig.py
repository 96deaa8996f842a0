"""What poppler's pdfsig says of a sealed sheet, as it is and with one letter changed: nothing of ours takes part in it.

    python docs/measurements/pdfsig.py              # makes the usual sheet, seals it with a development authority
    python docs/measurements/pdfsig.py SHEET.pdf    # a sheet that was downloaded

tests/briefing/test_seal.py asks the same of sheets from the whole way of making them.
"""

import os
import shutil
import subprocess
import sys
import tempfile
from datetime import UTC, datetime
from pathlib import Path
from uuid import UUID

ROOT = Path(__file__).parents[2]
WORK = tempfile.TemporaryDirectory()
sys.path.insert(0, str(ROOT))
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "opsrisk.settings")
os.environ["OPSRISK_DATA"] = WORK.name  # a development authority of its own, gone afterwards

import django  # noqa: E402 - the path comes first

django.setup()

from opsrisk.briefing import seal  # noqa: E402 - settings come first
from tests.briefing import printed  # noqa: E402 - settings come first

AGENCY = UUID(int=1)
PDFSIG = shutil.which("pdfsig") or ""


def made() -> bytes:
    """The usual sheet on US Letter, sealed now for the invented county."""
    empty = printed.pdf("usual", "letter")
    return seal.sealed(empty, agency_id=AGENCY, agency="Tarrow County Dive Rescue", at=datetime.now(UTC))[0]


def asked(data: bytes, words: str) -> None:
    path = Path(WORK.name) / "sheet.pdf"
    path.write_bytes(data)
    print(f"{words}\n\n{said('-nocert', str(path)).replace(str(path), 'sheet.pdf').strip()}\n")


def said(*args: str) -> str:
    done = subprocess.run([PDFSIG, *args], check=False, capture_output=True, text=True)  # noqa: S603 - our own arguments
    return done.stdout + done.stderr


def main() -> int:
    if not PDFSIG:
        print("pdfsig is not on this machine; it comes with poppler", file=sys.stderr)
        return 1
    print(said("-v").splitlines()[0] + "\n")
    data = Path(sys.argv[1]).read_bytes() if len(sys.argv) > 1 else made()
    asked(data, "The sheet:")
    place = len(data) // 3
    asked(data[:place] + bytes([data[place] ^ 1]) + data[place + 1 :], "The same with one bit changed:")
    WORK.cleanup()
    return 0


if __name__ == "__main__":
    sys.exit(main())
