"""What decides on the server is packed, byte for byte, for the tablet, and runs there without the server's parts."""

import hashlib
import io
import subprocess
import sys
import zipfile

from opsrisk.tablet.bundle import ROOT, bundle, packed_files


def names():
    return set(zipfile.ZipFile(io.BytesIO(bundle().content)).namelist())


def test_the_four_folders_are_packed_whole():
    """Every file of the pure folders is in the bundle, but for the two readers that a browser cannot run."""
    here = {
        path.relative_to(ROOT).as_posix()
        for folder in ("reference", "physics", "engine", "assessment")
        for path in (ROOT / "opsrisk" / folder).rglob("*.py")
    }
    assert here - names() <= {"opsrisk/engine/replay.py", "opsrisk/engine/proof.py"}


def test_bytes_are_the_servers_own():
    """No second implementation: the files are the same."""
    archive = zipfile.ZipFile(io.BytesIO(bundle().content))
    assert all(archive.read(path.relative_to(ROOT).as_posix()) == path.read_bytes() for path in packed_files())


def test_equal_files_make_equal_bundles():
    """The digest names the content, not the hour of packing."""
    first = bundle()
    bundle.cache_clear()
    assert bundle() == first
    assert first.digest == hashlib.sha256(first.content).hexdigest()


def test_nothing_of_the_server_is_packed():
    """No settings, no models, no migrations, no keys."""
    assert not [
        name
        for name in names()
        if any(part in name for part in ("models", "settings", "views", "migrations", "ledger", "apps.py"))
    ]


def test_it_runs_alone(tmp_path):
    """An interpreter that has nothing but the bundle answers a call."""
    (tmp_path / "bundle.zip").write_bytes(bundle().content)
    program = (
        "import sys; sys.path = [sys.argv[1], *[p for p in sys.path if 'site-packages' not in p]]\n"
        "from opsrisk.tablet.calls import call\n"
        'print(call(\'offer\', \'{"name": "current", "site": {}, "station": null, "now": "2026-11-25T12:00:00+00:00"}\'))\n'
        "assert not {'django', 'numpy', 'z3'} & set(sys.modules)"
    )
    run = subprocess.run(
        [sys.executable, "-I", "-S", "-c", program, str(tmp_path / "bundle.zip")],
        capture_output=True,
        text=True,
        check=True,
    )
    assert run.stdout.strip() == '{"offer": null}'
