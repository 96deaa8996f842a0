"""The engine timed where the tablet runs it: Pyodide from our own files, in a real browser. Brought by `make test`."""

import base64
import inspect
import json
import os
import shutil
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from types import ModuleType
from typing import Any

from opsrisk.tablet.bundle import ROOT, bundle
from opsrisk.tablet.management import timed

VENDOR = ROOT / "opsrisk" / "static" / "vendor" / "pyodide"
READY_WITHIN_MS = 180_000

# In a worker, as on the tablet; the page only waits for the answer.
WORKER = """
self.onmessage = async ({ data: [bundle, source, ...given] }) => {
  try {
    const { loadPyodide } = await import(`${self.location.origin}/pyodide.mjs`);
    const python = await loadPyodide({ indexURL: `${self.location.origin}/` });
    python.unpackArchive(Uint8Array.from(atob(bundle), (letter) => letter.charCodeAt(0)).buffer, "zip");
    const names = python.toPy({ __name__: "timed" });
    python.runPython(source, { globals: names });
    names.set("given", python.toPy(given));
    self.postMessage(python.runPython("import json; json.dumps(timings(*given))", { globals: names }));
  } catch (fault) {
    self.postMessage(JSON.stringify({ fault: String(fault) }));
  }
};
"""
ASK = """
([worker, ...given]) => new Promise((answer) => {
  const file = URL.createObjectURL(new Blob([worker], { type: "text/javascript" }));
  const asked = new Worker(file, { type: "module" });
  asked.onmessage = ({ data }) => answer(data);
  asked.onerror = (event) => answer(JSON.stringify({ fault: event.message }));
  asked.postMessage(given);
})
"""


class NotMeasured(RuntimeError):
    """There is no browser here to measure in; the message says what is missing."""


def program() -> str:
    """The browser's path. Raises NotMeasured where there is none."""
    found = os.environ.get("OPSRISK_CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
    if not found:
        raise NotMeasured("chromium: not found; install it, or name its path in OPSRISK_CHROMIUM")
    return found


def as_root() -> list[str]:
    """What Chromium has to be told before it starts for root."""
    return ["--no-sandbox"] if os.geteuid() == 0 else []


def timings_in_browser(*given: Any, source: ModuleType = timed) -> tuple[str, dict[str, Any]]:
    """The browser's name and the figures of `source.timings(*given)`, measured in it. Raises NotMeasured.

    `source` is a module that imports nothing but what the bundle carries.
    """
    try:
        from playwright.sync_api import Error, sync_playwright  # noqa: PLC0415  (comes with the tests, not to run)
    except ImportError as missing:
        raise NotMeasured(f"{missing}; it comes with make test") from missing
    chromium = program()
    if not (VENDOR / "pyodide.mjs").exists():
        raise NotMeasured(f"{VENDOR.relative_to(ROOT)}: no Pyodide; make run brings it")
    try:
        with _served(VENDOR) as address, sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=chromium, args=["--disable-gpu", *as_root()])
            name = f"Chromium {browser.version}"
            page = browser.new_page()
            page.set_default_timeout(READY_WITHIN_MS)
            page.goto(f"{address}/pyodide-lock.json")
            said = page.evaluate(ASK, [WORKER, _packed(), inspect.getsource(source), *given])
            browser.close()
    except Error as fault:
        raise NotMeasured(str(fault).splitlines()[0]) from fault
    found = json.loads(said)
    if "fault" in found:
        raise NotMeasured(found["fault"].strip().splitlines()[-1])
    return name, found


def _packed() -> str:
    """The bundle as text, which a page's script takes as an argument."""
    return base64.b64encode(bundle().content).decode()


class _Files(SimpleHTTPRequestHandler):
    def log_message(self, *_: object) -> None:
        """Nothing: the figures are the output."""


@contextmanager
def _served(folder: Path) -> Iterator[str]:
    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(_Files, directory=str(folder)))
    threading.Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield f"http://127.0.0.1:{server.server_port}"
    finally:
        server.shutdown()
        server.server_close()
