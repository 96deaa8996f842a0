"""What `make check` says is part of what `make test` says."""

import subprocess
import sys
from pathlib import Path

import pytest

from tests.house.reading import ROOT

BIN = Path(sys.executable).parent

CHECKS = {
    "lint": ["ruff", "check", "--output-format", "concise", "."],
    "layout": ["ruff", "format", "--check", "--quiet", "--output-format", "concise", "."],
    "types": ["mypy", "opsrisk"],
    "imports": ["lint-imports"],
}


@pytest.mark.parametrize("check", CHECKS)
def test_check_passes(check):
    """Lint, layout, types and the direction of imports hold for the whole house."""
    program, *arguments = CHECKS[check]
    done = subprocess.run([BIN / program, *arguments], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
