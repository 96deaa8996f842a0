"""What the service worker keeps: every file of the page, and the version that follows from their bytes."""

import hashlib
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from django.contrib.staticfiles import finders

from opsrisk.tablet.bundle import ROOT, bundle

OURS = ROOT / "opsrisk" / "tablet" / "static" / "tablet"
PAGES = ("/tablet/", "/tablet/bundle.json", "/tablet/bundle.zip", "/tablet/worker.js", "/tablet/manifest.webmanifest")
# Served under /tablet/ instead, where they belong to the page's scope.
ELSEWHERE = ("sw.js", "worker.js")
PYODIDE = ("pyodide.mjs", "pyodide.asm.mjs", "pyodide.asm.wasm", "pyodide-lock.json", "python_stdlib.zip")
SHARED = (
    "fonts/atkinson-hyperlegible-latin-400-normal.woff2",
    "fonts/atkinson-hyperlegible-latin-700-normal.woff2",
    "fonts/atkinson-hyperlegible-latin-ext-400-normal.woff2",
    "fonts/atkinson-hyperlegible-latin-ext-700-normal.woff2",
    "fonts/DejaVuSans.ttf",
    "briefing/sheet.css",
    "briefing/sheet-a4.css",
    "briefing/sheet-letter.css",
    "briefing/sheet-es.css",
)


@dataclass(frozen=True)
class Shell:
    version: str
    files: tuple[str, ...]


def static_names() -> list[str]:
    """Names under /static/ that the page asks for, those that exist."""
    ours = sorted(f"tablet/{path.name}" for path in OURS.iterdir() if path.is_file() and path.name not in ELSEWHERE)
    vendor = [f"vendor/pyodide/{name}" for name in PYODIDE]
    return [name for name in (*ours, *SHARED, *vendor) if finders.find(name)]


@cache
def shell() -> Shell:
    """Files and version; both stay as they are while the server process runs."""
    names = static_names()
    seen = hashlib.sha256(bundle().digest.encode())
    for path in (*(Path(str(finders.find(name))) for name in names), *(OURS / name for name in ELSEWHERE), _page()):
        seen.update(path.name.encode())
        seen.update(path.read_bytes())
    return Shell(seen.hexdigest()[:16], (*PAGES, *(f"/static/{name}" for name in names)))


def _page() -> Path:
    return ROOT / "templates" / "tablet" / "shell.html"
