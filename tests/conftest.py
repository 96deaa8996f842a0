"""What every test may use: the engines (backend.py), a browser (browser.py) and the people (cast.py)."""

import os
from collections.abc import Iterator
from urllib.parse import urlsplit

import pytest
from hypothesis import HealthCheck, settings

from tests.backend import FOLDER
from tests.services import Worker

pytest_plugins = ["tests.browser", "tests.cast", "tests.operations.sending"]

# The same examples at every run, so that a failure is the change's and not the day's; `HYPOTHESIS_PROFILE=search`
# looks for new ones. No deadline: the time of one example says nothing on a busy machine.
settings.register_profile("same", derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("search", deadline=None, max_examples=2_000)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "same"))


@pytest.fixture(scope="session")
def backend(pytestconfig: pytest.Config) -> str:
    return str(pytestconfig.option.backend)


@pytest.fixture(autouse=True)
def _jobs_where_they_are_asked_for(request: pytest.FixtureRequest) -> None:
    """Without a worker of its own a test runs each job in its own thread, so that none outlives it."""
    if "celery_worker" not in request.fixturenames:
        request.getfixturevalue("settings").JOBS_AT_ONCE = True


@pytest.fixture
def celery_worker(transactional_db, pytestconfig: pytest.Config) -> Iterator[Worker]:
    """A real worker on this test's database. Only for tests marked `deployed`."""
    from django.db import connection

    name = connection.settings_dict["NAME"]
    url = urlsplit(os.environ["DATABASE_URL"])._replace(path=f"/{name}").geturl()
    worker = Worker(pytestconfig.stash[FOLDER] / "worker", database_url=url)
    yield worker
    worker.stop()
