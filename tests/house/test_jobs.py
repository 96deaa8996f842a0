"""Jobs: after the transaction, by name, harmless when run twice, found again when lost."""

import threading
import time
from datetime import UTC, datetime, timedelta

import pytest
from django.db import transaction

from opsrisk import jobs

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def noted(monkeypatch):
    """A job that notes its arguments, in a registry of its own."""
    calls: list[tuple[str, ...]] = []
    monkeypatch.setattr(jobs, "_jobs", dict(jobs.registry()))
    jobs.job("test.note")(lambda *args: calls.append(args))
    return calls


def test_a_job_runs_after_the_transaction_and_not_if_it_is_undone(noted):
    """A job never sees rows that are not there."""
    with transaction.atomic():
        jobs.enqueue("test.note", "1")
        assert noted == []
    assert noted == [("1",)]
    with pytest.raises(RuntimeError), transaction.atomic():
        jobs.enqueue("test.note", "2")
        raise RuntimeError
    assert noted == [("1",)]


def test_an_unknown_job_is_refused_where_it_is_asked_for():
    """Not hours later in a worker's log."""
    with pytest.raises(jobs.UnknownJob, match=r"job: given 'no\.such', accepted .*ledger\.verify"):
        jobs.enqueue("no.such")
    with pytest.raises(jobs.UnknownJob):
        jobs.run("no.such")


def test_rows_that_still_wait_are_asked_for_again(noted):
    """Their worker may have been killed."""
    jobs.job("test.note", left_over=lambda: [("7",), ("8",)])(lambda *args: noted.append(args))
    assert jobs.sweep() >= 2
    assert [call for call in noted if call in {("7",), ("8",)}] == [("7",), ("8",)]


def test_a_failing_job_does_not_stop_the_next(noted, caplog):
    """It is logged, and its row stays for the sweep."""
    jobs.job("test.fail")(lambda: 1 / 0)
    worker = jobs.Worker()
    worker.put("test.fail", ())
    worker.put("test.note", ("after",))
    worker.wait()
    assert noted == [("after",)]
    assert "job test.fail() failed" in caplog.text


def test_the_timetable_asks_at_start_and_when_the_time_has_passed(monkeypatch, noted):
    """Once a day means once a day, also for a server that is started every morning."""
    jobs.job("test.daily", every=timedelta(days=1))(lambda: None)
    asked: list[str] = []
    worker = jobs.Worker()
    monkeypatch.setattr(worker, "put", lambda name, args: asked.append(name))
    start, last = datetime(2026, 6, 1, tzinfo=UTC), {}
    for hours in (0, 1, 23, 24, 25, 47, 48):
        worker._tick(last, start + timedelta(hours=hours))
    assert asked.count("test.daily") == 3


def test_one_thread_runs_jobs_in_their_order(noted):
    """Two jobs about one row do not overtake each other."""
    worker = jobs.Worker()
    threads = set()
    jobs.job("test.note")(lambda *args: (threads.add(threading.current_thread().name), noted.append(args)))
    for number in range(20):
        worker.put("test.note", (str(number),))
    worker.wait()
    assert noted == [(str(number),) for number in range(20)]
    assert threads == {"opsrisk-jobs"}


def test_every_job_has_a_schedule_that_the_deployed_timetable_knows():
    """Embedded and deployed run the same timetable."""
    timed = {name for name, each in jobs.registry().items() if each.every}
    assert {"ledger.verify", "ledger.export_head"} <= timed
    assert timed == jobs.celery_app().conf.beat_schedule.keys() - {"sweep"}


@pytest.mark.deployed
def test_a_worker_in_another_process_runs_what_was_asked_for_here(celery_worker, settings, cast):
    """Through the broker, after the commit."""
    settings.JOBS_AT_ONCE = False
    with transaction.atomic():
        jobs.enqueue("ledger.verify")
    for _ in range(100):
        if b"succeeded" in celery_worker.log.read_bytes():
            return
        time.sleep(0.1)
    pytest.fail(celery_worker.log.read_text())
