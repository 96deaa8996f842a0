"""Which engines the suite runs on: `--backend=embedded` (SQLite, jobs in this process) or `deployed`.

Loaded with `-p` because Django's settings are read before any conftest, and they are chosen by the environment.
"""

import os
import shutil
import tempfile
from collections.abc import Generator
from pathlib import Path

import pytest

from tests.services import Postgres, Redis

FOLDER = pytest.StashKey[Path]()
SERVICES = pytest.StashKey[list[Postgres | Redis]]()
FAILED = pytest.StashKey[bool]()


def pytest_addoption(parser: pytest.Parser) -> None:
    group = parser.getgroup("opsrisk")
    group.addoption("--backend", choices=["embedded", "deployed"], default="embedded", help="engines to run on")
    group.addoption("--rain-visits", type=int, default=30, metavar="N", help="visits of the tablet in the rain")
    group.addoption("--rain-seed", type=int, default=20261128, metavar="N", help="where the touches of the rain begin")
    group.addoption("--slips", type=int, default=200_000, metavar="N", help="gloved taps that may land beside")
    group.addoption("--pictures", metavar="FOLDER", help="keep a picture of where each journey ends")


@pytest.hookimpl(wrapper=True)
def pytest_load_initial_conftests(early_config: pytest.Config) -> Generator[None, object, object]:
    """Chooses the environment before pytest-django reads the settings."""
    chosen = early_config.known_args_namespace
    folder = Path(tempfile.mkdtemp(prefix="opsrisk-tests-"))
    early_config.stash[FOLDER], early_config.stash[SERVICES] = folder, []
    early_config.add_cleanup(lambda: _stop(early_config))
    for name in [name for name in os.environ if name.startswith("OPSRISK_") and name != "OPSRISK_CHROMIUM"]:
        del os.environ[name]  # what a developer has set for running must not decide a test
    os.environ.pop("DATABASE_URL", None)
    os.environ.pop("REDIS_URL", None)
    os.environ |= {"OPSRISK_DATA": str(folder / "data"), "OPSRISK_SECRET_KEY": "known-to-every-reader-of-the-tests" * 2}
    if chosen.backend == "deployed" and not (chosen.help or chosen.version or chosen.collectonly):
        _start(early_config, folder)
    return (yield)


def _start(config: pytest.Config, folder: Path) -> None:
    services = config.stash[SERVICES]
    services.append(Postgres(folder / "postgres"))
    os.environ["DATABASE_URL"] = services[-1].url
    services.append(Redis(folder / "redis"))
    os.environ["REDIS_URL"] = services[-1].url


def _stop(config: pytest.Config) -> None:
    for service in reversed(config.stash[SERVICES]):
        service.stop()
    if not config.stash.get(FAILED, False):
        shutil.rmtree(config.stash[FOLDER])


def pytest_report_header(config: pytest.Config) -> str:
    engines = {"embedded": "SQLite, jobs in this process", "deployed": "PostgreSQL, Redis, Celery"}
    return f"backend: {config.option.backend} ({engines[config.option.backend]})"


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, exitstatus: int, config: pytest.Config) -> None:
    failed = exitstatus not in {pytest.ExitCode.OK, pytest.ExitCode.NO_TESTS_COLLECTED}
    config.stash[FAILED] = failed
    if failed:
        terminalreporter.write_line(f"Logs, data and screenshots of this run are kept in {config.stash[FOLDER]}")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leaves out what this backend cannot run or what it cannot change; pytest's summary counts it as deselected."""
    for item in items:
        if "browser" in getattr(item, "fixturenames", ()):
            item.add_marker("browser")
    runs_here = _meets_the_engines if config.option.backend == "deployed" else _needs_no_worker
    left_out = [item for item in items if not runs_here(item)]
    if left_out:
        config.hook.pytest_deselected(items=left_out)
        items[:] = [item for item in items if runs_here(item)]


def _needs_no_worker(item: pytest.Item) -> bool:
    return not item.get_closest_marker("deployed")


def _meets_the_engines(item: pytest.Item) -> bool:
    """Whether a database or a broker takes part: all else would only do again what the embedded run did."""
    if item.get_closest_marker("in_the_page"):
        return False
    asked = {"db", "transactional_db", "live_server", "backend"} & set(getattr(item, "fixturenames", ()))
    return bool(asked or item.get_closest_marker("django_db") or item.get_closest_marker("deployed"))
