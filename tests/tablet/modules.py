"""The tablet's modules as a browser loads them, called from a test. No Django: just the files and a page."""

import threading
from collections.abc import Callable, Iterator
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import pytest

STATIC = Path(__file__).resolve().parents[2] / "opsrisk" / "tablet" / "static"


class _Files(SimpleHTTPRequestHandler):
    def log_message(self, *args: object) -> None:
        """Nothing: a test's output is its failures."""


@pytest.fixture(scope="session")
def files_address() -> Iterator[str]:
    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(_Files, directory=str(STATIC)))
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://localhost:{server.server_port}"
    server.shutdown()
    server.server_close()


@pytest.fixture(scope="session")
def bare_page(browser, files_address: str):
    """An empty page beside the modules, for every test that asks one of them something."""
    context = browser.new_context()
    page = context.new_page()
    page.route("**/favicon.ico", lambda route: route.fulfill(status=204))
    page.goto(f"{files_address}/tablet/icon.svg")
    yield page
    context.close()


@pytest.fixture
def module(bare_page) -> Callable[..., Any]:
    """`module("numbers.js", "parseNumber", arg, ...)`: what the exported function answers."""

    def call(name: str, function: str, *given: Any) -> Any:
        script = "async ([name, member, given]) => (await import(`/tablet/${name}`))[member](...given)"
        return bare_page.evaluate(script, [name, function, list(given)])

    return call
