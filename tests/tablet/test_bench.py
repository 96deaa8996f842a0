"""`manage.py bench` measures what it says, and says so when it could not."""

import os
import re
import subprocess
import sys

import pytest

from opsrisk.tablet.management.timed import RUNS, median_ms
from tests.house.reading import ROOT


def bench(**environment):
    command = [sys.executable, "manage.py", "bench"]
    return subprocess.run(
        command, cwd=ROOT, env=os.environ | environment, capture_output=True, text=True, check=True
    ).stdout


@pytest.mark.browser
def test_a_decision_is_timed_in_python_and_in_the_browser():
    """Beside its goal, met or missed: 1 ms here, 10 ms in the tablet's Python; the lines name machine, runs and ratio."""
    said = bench()

    assert re.search(r"^\d+ cores, Python 3\.\d+\.\d+; median of 7 runs over 34 published cases$", said, re.MULTILINE)
    assert re.search(r"^decision, Python: \d+\.\d+ ms \((within|MISSES) 1 ms\)$", said, re.MULTILINE)
    assert re.search(r"^the same by hand, Python: .* the engine takes \d+\.\d times as long$", said, re.MULTILINE)
    assert re.search(r"^decision over arrays: .* a second$", said, re.MULTILINE)
    assert re.search(r"^decision, Chromium \S+: \d+\.\d+ ms \((within|MISSES) 10 ms\)$", said, re.MULTILINE)
    assert len(re.findall(r"^whole assessment, .*: \d+\.\d\d ms$", said, re.MULTILINE)) == 2


def test_without_a_browser_it_says_why_not():
    """A figure that was not measured is not printed."""
    said = bench(OPSRISK_CHROMIUM="/nowhere/chromium")

    last = said.splitlines()[-1]
    assert last.startswith("browser: not measured, ")
    assert len(last) > len("browser: not measured, ")
    assert "decision, Chromium" not in said


def test_the_median_is_over_the_runs_after_the_first():
    """One run warms up; each goes through what was given as often as asked."""
    seen = []

    median_ms(seen.append, ["a", "b"], 3)

    assert len(seen) == (RUNS + 1) * 2 * 3
