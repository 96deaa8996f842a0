"""A small fixed sample of `manage.py field_faults`: the tablet's own modules, the real server, and everything going wrong."""

import json
import subprocess
import sys

from opsrisk.tablet.bundle import ROOT

SHARD = [sys.executable, "-m", "opsrisk.tablet.management.faults.shard"]
WRONGS = ("lost", "doubled", "foreign", "faults")


def run(first, count, *client):
    ended = subprocess.run(
        [*SHARD, str(first), str(count), *client], cwd=ROOT, capture_output=True, text=True, check=True
    )
    return json.loads(ended.stdout.splitlines()[-1])


def test_nothing_is_lost_doubled_or_sent_as_somebody_else():
    """Eight schedules; thousands are for the command."""
    results = run(3000, 8)
    assert [one[wrong] for one in results for wrong in WRONGS if one[wrong]] == []
    assert sum(one["done"]["records"] for one in results) > 0


def test_the_harness_sees_what_a_former_release_lost():
    """On trial in place of the present client, the first release is caught: a signature given after sending never arrived."""
    (result,) = run(21, 1, "1")
    assert any("2 signed, 1 at the server" in one for one in result["lost"])
