"""A small fixed sample of `manage.py field_faults`: the tablet's own modules, the real server, and everything going wrong."""

import json
import shutil
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
    assert sum(one["done"]["photos"] for one in results) > 0


def test_the_harness_sees_what_a_former_release_lost():
    """On trial in place of the present client, the first release is caught: a signature given after sending never arrived."""
    (result,) = run(4, 1, "1")
    assert any("2 signed, 1 at the server" in one for one in result["lost"])


def test_the_harness_sees_a_revision_that_takes_a_signed_photo_along(tmp_path):
    """A client whose revision marks the photo of the revision before as out is caught: the record that names it never gets it."""
    shutil.copytree(ROOT / "opsrisk" / "tablet" / "static" / "tablet", tmp_path / "client")
    altered = tmp_path / "client" / "photos.js"
    before = altered.read_text()
    altered.write_text(before.replace("if (photo?.row.draft === draft.id) return", "if (photo) return"))
    assert altered.read_text() != before
    (result,) = run(32, 1, str(tmp_path / "client"))
    assert any("photo" in one and "not at the server" in one for one in result["lost"])


def test_the_harness_sees_a_photo_that_is_thrown_away_too_early(tmp_path):
    """A client that drops each part when it has been sent, and not on the receipt, is caught: a refused photo is gone."""
    shutil.copytree(ROOT / "opsrisk" / "tablet" / "static" / "tablet", tmp_path / "client")
    altered = tmp_path / "client" / "photo_sending.js"
    before = altered.read_text()
    sent = 'type: "application/octet-stream", body });'
    altered.write_text(
        before.replace(sent, f"{sent} await store.write({{ remove: {{ chunks: [photos.chunksOf(photo)[n]] }} }});")
    )
    assert altered.read_text() != before
    results = run(19, 2, str(tmp_path / "client"))
    assert any("0 of its parts on the tablet" in one for result in results for one in result["lost"])
