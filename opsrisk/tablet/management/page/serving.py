"""A server of its own for measuring: the demo on SQLite in a temporary folder, started and stopped at will."""

import os
import re
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path
from urllib.error import URLError

from opsrisk.tablet.bundle import ROOT

WAIT_S = 60


def _free_port() -> int:
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])


class Server:
    """Started by `start`, gone after `stop`; the address stays the same."""

    def __init__(self, folder: Path) -> None:
        self._log = folder / "sent.log"
        self._env = {**os.environ, "OPSRISK_DATA": str(folder)}
        for name in ("DATABASE_URL", "REDIS_URL"):
            self._env.pop(name, None)
        self._port = _free_port()
        self._running: subprocess.Popen[bytes] | None = None
        for command in (["migrate", "--verbosity", "0"], ["load_demo"]):
            subprocess.run(  # noqa: S603 - our own commands
                [sys.executable, "manage.py", *command], cwd=ROOT, env=self._env, check=True, capture_output=True
            )

    @property
    def address(self) -> str:
        return f"http://localhost:{self._port}"

    def start(self) -> None:
        command = [
            sys.executable,
            "-m",
            "gunicorn",
            "opsrisk.wsgi",
            "--bind",
            f"127.0.0.1:{self._port}",
            "--threads",
            "8",
        ]
        log = ["--worker-class", "gthread", "--access-logfile", str(self._log), "--access-logformat", "%(B)s %(U)s"]
        self._running = subprocess.Popen(  # noqa: S603 - our own server
            [*command, *log], cwd=ROOT, env=self._env, stderr=subprocess.DEVNULL
        )
        until = time.monotonic() + WAIT_S
        while time.monotonic() < until:
            try:
                urllib.request.urlopen(f"{self.address}/tablet/", timeout=5).close()  # noqa: S310 - our own address
                return
            except URLError:
                time.sleep(0.1)
        raise TimeoutError(f"the server did not answer at {self.address} within {WAIT_S} s")

    def stop(self) -> None:
        if self._running:
            self._running.terminate()
            self._running.wait()
            self._running = None

    def sent(self) -> int:
        """Bytes of all answers so far, as they went over the wire."""
        return sum(int(found) for found in re.findall(r"^(\d+) ", self._log.read_text(), re.MULTILINE))
