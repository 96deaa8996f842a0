"""Sheets by two workers that are killed in the middle: none is lost, none is made twice.

docs/measurements/killed_workers.md:
    SHEETS=1000 KILLS=20 SHEETS_REPORT=docs/measurements/killed_workers.md nice -n 10 \\
        .venv/bin/python -m pytest --backend=deployed --timeout=7200 tests/briefing/test_killed_workers.py
"""

import hashlib
import os
import time
from collections import Counter
from pathlib import Path
from urllib.parse import urlsplit

import pytest
import redis
from django.conf import settings as django_settings
from django.db import connection

from opsrisk import jobs
from opsrisk.briefing.actions import issue_sheet
from opsrisk.briefing.models import Sheet
from opsrisk.ledger.actions import verify
from opsrisk.ledger.models import Entry
from tests.backend import FOLDER
from tests.briefing import records
from tests.cast import NOON
from tests.filed import filed, protocol_of, signed
from tests.services import Worker

SHEETS, KILLS = (int(os.environ.get(name, usual)) for name, usual in (("SHEETS", "6"), ("KILLS", "2")))
LONGEST_S = 200 if SHEETS < 10 else 2 * 3600


@pytest.fixture
def start(pytestconfig):
    """Starts a worker on this test's database; all that are left are stopped at the end."""
    url = urlsplit(os.environ["DATABASE_URL"])._replace(path=f"/{connection.settings_dict['NAME']}").geturl()
    started = []

    def go():
        started.append(Worker(pytestconfig.stash[FOLDER] / f"worker-{len(started)}", database_url=url))
        return started[-1]

    yield go
    for worker in started:
        worker.stop()


def issued(cast):
    """The sheets, asked for: two papers of each assessment."""
    protocol = protocol_of(cast.agency, cast.safety, cast.chief)
    operation = None
    for _ in range(SHEETS // 2):
        made = filed(
            records.record(),
            agency=cast.agency,
            by=cast.supervisor,
            protocol=protocol,
            site=cast.site,
            operation=operation,
        )
        operation = made.operation
        signed(made, cast.supervisor, "decided", made.assessed_at)
        for paper in Sheet.Paper.values:
            issue_sheet(assessment=made, paper=paper, by=cast.supervisor, at=NOON)


def ready():
    return Sheet.objects.filter(state=Sheet.State.READY).count()


def run(start, began):
    """Until every sheet is ready; a worker is killed, and another started, each time so many more are.

    Where sheets are made faster than a worker starts, fewer are killed than were asked for: the number is returned.
    """
    broker, workers, killed = redis.from_url(os.environ["REDIS_URL"]), [start(), start()], 0
    while (done := ready()) < SHEETS:
        assert time.monotonic() - began < LONGEST_S, f"{done} of {SHEETS} ready"
        if killed < KILLS and done >= (killed + 1) * SHEETS // (KILLS + 2):
            workers[killed % 2].kill()
            workers[killed % 2] = start()
            killed += 1
        if not broker.llen("celery") and Sheet.objects.waiting().exists():
            time.sleep(3)  # what is in hand may end meanwhile
            jobs.sweep()  # as the timetable does every five minutes
        time.sleep(0.2)
    return killed


@pytest.mark.deployed
@pytest.mark.django_db(transaction=True)
def test_no_sheet_is_lost_and_none_is_made_twice(cast, settings, start):
    """Each has one file that is the one in the log, one entry, and the log holds."""
    settings.JOBS_AT_ONCE = False
    issued(cast)
    began = time.monotonic()
    killed = run(start, began)
    took = time.monotonic() - began
    assert killed == KILLS if SHEETS < 10 else killed
    seals = Counter(Entry.objects.filter(verb="seal_sheet").values_list("subject_id", flat=True))
    assert (len(seals), set(seals.values())) == (SHEETS, {1})
    files = Path(django_settings.DATA) / "files"
    for sheet in Sheet.objects.all():
        assert hashlib.sha256((files / sheet.pdf).read_bytes()).hexdigest() == sheet.sha256
    assert verify().problems == ()
    report(took, killed, files)


def report(took, killed, files):
    written = len(list((files / "sheets").rglob("*.pdf")))
    text = (
        f"# Sheets by workers that are killed\n\n"
        f"`SHEETS={SHEETS} KILLS={killed}`, the command stands in `tests/briefing/test_killed_workers.py`; PostgreSQL, Redis\n"
        f"and two Celery workers on 2 cores shared with other work.\n\n"
        f"| what | number |\n| --- | --- |\n| sheets asked for | {SHEETS} |\n| workers killed | {killed} |\n"
        f"| sheets ready | {SHEETS} |\n| lost | 0 |\n| made twice (two entries in the log) | 0 |\n"
        f"| files made that no row names (killed between file and row, or two at once) | {written - SHEETS} |\n"
        f"| time | {took:.0f} s |\n| sheets an hour | {SHEETS / took * 3600:.0f} |\n"
    )
    if os.environ.get("SHEETS_REPORT"):
        Path(os.environ["SHEETS_REPORT"]).write_text(text)
