"""Work that need not keep a person waiting.

A job is a function registered by name in an app's `jobs.py`; `enqueue` asks for it once the transaction has
committed. With REDIS_URL a Celery worker runs it, otherwise a thread of this process. Either may die in the middle,
so every job must do no harm when run twice, and rows that still wait are found again by the sweep.
"""

import logging
import queue
import threading
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import cache
from typing import Any

from django.conf import settings
from django.db import close_old_connections, transaction
from django.utils.module_loading import autodiscover_modules

log = logging.getLogger(__name__)
SWEEP = timedelta(minutes=5)


class UnknownJob(LookupError):
    """A name under which no app registered a job."""


@dataclass(frozen=True)
class Job:
    name: str
    run: Callable[..., object]
    every: timedelta | None  # run by the timetable as well, this often
    left_over: Callable[[], Iterable[tuple[str, ...]]] | None  # arguments of rows that still wait


_jobs: dict[str, Job] = {}


def job(
    name: str,
    *,
    every: timedelta | None = None,
    left_over: Callable[[], Iterable[tuple[str, ...]]] | None = None,
) -> Callable[[Callable[..., object]], Callable[..., object]]:
    """Registers the function below it under `name` ('ledger.verify'). Arguments are strings: ids, never objects."""

    def register(run: Callable[..., object]) -> Callable[..., object]:
        _jobs[name] = Job(name, run, every, left_over)
        return run

    return register


def registry() -> dict[str, Job]:
    """All jobs of all apps."""
    autodiscover_modules("jobs")
    return _jobs


def enqueue(name: str, *args: str) -> None:
    """Asks for job `name` when the present transaction has committed; at once when there is none."""
    if name not in registry():
        raise UnknownJob(f"job: given {name!r}, accepted {', '.join(sorted(_jobs))}")
    transaction.on_commit(lambda: _send(name, args))


def run(name: str, *args: str) -> object:
    """Runs job `name` here and now."""
    if name not in registry():
        raise UnknownJob(f"job: given {name!r}, accepted {', '.join(sorted(_jobs))}")
    return _jobs[name].run(*args)


def sweep() -> int:
    """Asks again for every row that still waits (its worker may have been killed); returns how many."""
    found = 0
    for each in registry().values():
        for args in each.left_over() if each.left_over else ():
            _send(each.name, args)
            found += 1
    return found


def start() -> None:
    """Called once by a serving process: starts the thread when there is no broker."""
    if not settings.REDIS_URL:
        _worker().begin()


def _send(name: str, args: tuple[str, ...]) -> None:
    if settings.JOBS_AT_ONCE:
        run(name, *args)
    elif settings.REDIS_URL:
        celery_app().send_task("opsrisk.run", args=[name, *args])
    else:
        _worker().put(name, args)


# --- deployed ---


@cache
def celery_app() -> Any:
    """The Celery application: one task that runs any job, and the timetable."""
    from celery import Celery  # noqa: PLC0415  (a tenth of a second at each start, only when deployed)

    app = Celery("opsrisk")
    app.config_from_object("django.conf:settings", namespace="CELERY")
    app.task(name="opsrisk.run")(run)
    app.task(name="opsrisk.sweep")(sweep)
    timed = {each.name: each.every for each in registry().values() if each.every}
    app.conf.beat_schedule = {
        name: {"task": "opsrisk.run", "schedule": every, "args": [name]} for name, every in timed.items()
    } | {"sweep": {"task": "opsrisk.sweep", "schedule": SWEEP}}
    return app


# --- embedded ---


class Worker:
    """One thread that runs jobs in order, and the timetable when it is idle."""

    def __init__(self) -> None:
        self._waiting: queue.Queue[tuple[str, tuple[str, ...]]] = queue.Queue()
        self._lock = threading.Lock()
        self._thread: threading.Thread | None = None

    def put(self, name: str, args: tuple[str, ...]) -> None:
        self._waiting.put((name, args))
        self._ensure_thread(timed=False)

    def begin(self) -> None:
        self._ensure_thread(timed=True)

    def wait(self) -> None:
        """Until everything asked for so far has run."""
        self._waiting.join()

    def _ensure_thread(self, *, timed: bool) -> None:
        with self._lock:
            if self._thread is None or not self._thread.is_alive():
                self._thread = threading.Thread(target=self._work, name="opsrisk-jobs", daemon=True)
                self._thread.start()
            if timed:
                threading.Thread(target=self._keep_time, name="opsrisk-timetable", daemon=True).start()

    def _work(self) -> None:
        while True:
            name, args = self._waiting.get()
            try:
                close_old_connections()
                run(name, *args)
            except Exception:
                # One bad job must not stop the others; its row stays queued and the sweep brings it back.
                log.exception("job %s%r failed", name, args)
            finally:
                close_old_connections()
                self._waiting.task_done()

    def _keep_time(self) -> None:
        """Sweeps, and asks for each timed job at start and whenever its time has passed since."""
        pause = threading.Event()
        last: dict[str, datetime] = {}
        while True:
            try:
                self._tick(last, datetime.now(UTC))
            except Exception:
                log.exception("the timetable failed")
            finally:
                close_old_connections()
            pause.wait(SWEEP.total_seconds())

    def _tick(self, last: dict[str, datetime], now: datetime) -> None:
        sweep()
        for each in registry().values():
            if each.every and (each.name not in last or now - last[each.name] >= each.every):
                last[each.name] = now
                self.put(each.name, ())


@cache
def _worker() -> Worker:
    return Worker()


def wait() -> None:
    """Until the thread has run everything asked for so far; for commands that must not end before their jobs."""
    if not settings.REDIS_URL:
        _worker().wait()
