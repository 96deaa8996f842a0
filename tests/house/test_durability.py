"""What was acknowledged is on disk: pragmas of each connection, and a server killed in the middle.

Killing a process proves nothing about a power cut; only the pragmas and the disk's own honesty do.
"""

import os
import signal
import sqlite3
import subprocess
import sys
import threading

import pytest
from django.db import connection

from tests.house.reading import ROOT

ROUNDS = 5


@pytest.mark.django_db
def test_each_connection_writes_ahead_and_waits_for_the_disk(backend):
    """WAL with FULL: NORMAL may roll back a committed record after a power cut."""
    if backend != "embedded":
        pytest.skip("the pragmas are SQLite's")
    seen = []

    def look():
        with connection.cursor() as cursor:
            seen.append([cursor.execute(f"PRAGMA {name}").fetchone()[0] for name in ("journal_mode", "synchronous")])
        connection.close()

    look_elsewhere = threading.Thread(target=look)
    look_elsewhere.start()
    look_elsewhere.join()
    with connection.cursor() as cursor:
        seen.append([cursor.execute(f"PRAGMA {name}").fetchone()[0] for name in ("journal_mode", "synchronous")])
    assert seen == [["wal", 2]] * 2


WRITER = """
import django, sys; django.setup()
from django.db import transaction
from django.utils import timezone
from opsrisk.ledger.actions import append
number = 0
while True:
    with transaction.atomic():
        entry = append(by="w", by_name="w", at=timezone.now(), agency_id=None, verb="write",
                       subject_type="t", subject_id=str(number), detail={})
    print(entry.index, flush=True)
    number += 1
"""


def test_entries_acknowledged_before_a_kill_are_there_afterwards(tmp_path, backend):
    """Killed at any moment, five times over: nothing acknowledged is lost, and the chain holds."""
    if backend != "embedded":
        pytest.skip("kills a process on its own SQLite file; PostgreSQL's own recovery is not ours to test")
    environment = os.environ | {"OPSRISK_DATA": str(tmp_path), "DJANGO_SETTINGS_MODULE": "opsrisk.settings"}
    environment.pop("DATABASE_URL", None)
    run = [sys.executable, "manage.py"]
    subprocess.run([*run, "migrate", "--verbosity", "0"], cwd=ROOT, env=environment, check=True)
    acknowledged = -1
    for _ in range(ROUNDS):
        writer = subprocess.Popen([sys.executable, "-c", WRITER], cwd=ROOT, env=environment, stdout=subprocess.PIPE)
        for _ in range(20):
            acknowledged = int(writer.stdout.readline())
        writer.send_signal(signal.SIGKILL)
        rest, _ = writer.communicate()
        acknowledged = max([acknowledged, *map(int, rest.split(b"\n")[:-1])])
    with sqlite3.connect(tmp_path / "opsrisk.sqlite3") as database:
        assert database.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert database.execute("SELECT max([index]) FROM ledger_entry").fetchone()[0] >= acknowledged
    done = subprocess.run([*run, "check_audit"], cwd=ROOT, env=environment, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
