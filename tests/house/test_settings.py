"""An installation set up by the book has nothing that Django's own checks complain about."""

import os
import subprocess
import sys

import pytest

from tests.house.reading import ROOT


def manage(*arguments, **environment):
    command = [sys.executable, "manage.py", *arguments]
    return subprocess.run(command, cwd=ROOT, env=os.environ | environment, capture_output=True, text=True, check=False)


def test_deployed_settings_pass_djangos_checks(backend, tmp_path):
    """With hosts named, as in running.md, `check --deploy` has nothing to say."""
    served = {"OPSRISK_HOSTS": "dive.example", "OPSRISK_DATA": str(tmp_path)}
    if backend == "embedded":
        served["OPSRISK_SECRET_KEY"] = ""  # made on first run: it must pass the check for strength as well
    done = manage("check", "--deploy", "--fail-level", "WARNING", **served)
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.parametrize(
    ("name", "given"),
    [("OPSRISK_DEBUG", "perhaps"), ("DATABASE_URL", "mysql://localhost/opsrisk")],
)
def test_a_bad_setting_is_refused_by_name(name, given, tmp_path):
    """A setting that is not understood stops the program and says which, what was given and what is accepted."""
    done = manage("check", **{"OPSRISK_DATA": str(tmp_path), name: given})
    assert done.returncode != 0
    assert name in done.stderr
    assert "accepted" in done.stderr


def test_migrations_are_complete(tmp_path):
    """No model has a field that no migration makes."""
    done = manage("makemigrations", "--check", "--dry-run", OPSRISK_DATA=str(tmp_path))
    assert done.returncode == 0, done.stdout
