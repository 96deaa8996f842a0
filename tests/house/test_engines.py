"""The suite runs on the engines that it was asked to run on."""

import os
import time

import pytest
from django.db import connection

from opsrisk import jobs


@pytest.mark.django_db
def test_database_is_the_one_asked_for(backend):
    """A run on PostgreSQL must not pass on SQLite unnoticed, nor the other way round."""
    assert connection.vendor == {"embedded": "sqlite", "deployed": "postgresql"}[backend]


def test_broker_is_there_only_when_deployed(backend, settings):
    """Embedded needs no broker; deployed has one."""
    assert bool(settings.REDIS_URL) == (backend == "deployed")


def test_data_folder_is_the_runs_own(settings):
    """A test run never touches the data of an installation on the same machine."""
    assert settings.DATA.parent.name.startswith("opsrisk-tests-")
    assert str(settings.DATA) == os.environ["OPSRISK_DATA"]


@pytest.mark.deployed
def test_worker_runs_a_job(celery_worker):
    """A job sent through the broker is run by a process other than this one."""
    jobs.celery_app().send_task("opsrisk.sweep")
    for _ in range(100):
        if b"succeeded" in celery_worker.log.read_bytes():
            return
        time.sleep(0.1)
    pytest.fail(celery_worker.log.read_text())
