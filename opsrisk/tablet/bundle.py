"""Packs the Python that decides into one file for the browser: the same files that run here.

The four pure folders, the pure part of the sheet, and the calls that the page may make. Two readers
of the engine stay out: they import what a browser does not have, and nothing on the tablet uses them.
"""

import hashlib
import io
import zipfile
from dataclasses import dataclass
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
FOLDERS = ("reference", "physics", "engine", "assessment", "briefing/sheet")
SINGLE_FILES = ("__init__.py", "briefing/__init__.py", "tablet/__init__.py", "tablet/calls.py")
LEFT_OUT = ("engine/replay.py", "engine/proof.py")  # numpy and z3
KINDS = {".py", ".json"}
STAMP = (1980, 1, 1, 0, 0, 0)  # the zip format's first moment: equal files make equal bundles


@dataclass(frozen=True)
class Bundle:
    content: bytes
    digest: str


def packed_files() -> list[Path]:
    """Every file that goes into the bundle, in a fixed order."""
    package = ROOT / "opsrisk"
    folders = [path for folder in FOLDERS for path in (package / folder).rglob("*") if path.suffix in KINDS]
    singles = [package / name for name in SINGLE_FILES]
    left_out = {package / name for name in LEFT_OUT}
    return sorted({*folders, *singles} - left_out)


@cache
def bundle() -> Bundle:
    """The bundle of this server process; its files do not change while it runs."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for path in packed_files():
            entry = zipfile.ZipInfo(path.relative_to(ROOT).as_posix(), STAMP)
            entry.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(entry, path.read_bytes())
    content = out.getvalue()
    return Bundle(content, hashlib.sha256(content).hexdigest())
