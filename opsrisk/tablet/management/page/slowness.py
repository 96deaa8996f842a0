"""A slower machine: the whole browser gets a share of the processor, its workers included.

The browser's own throttling slows the page's thread only, and the engine runs in a worker. A quota needs root and
Linux's cgroups; elsewhere nothing is measured slowly, and the command says so.
"""

import os
from pathlib import Path

QUOTAS = Path("/sys/fs/cgroup/cpu")
PERIOD_US = 10_000


class NotSlow(RuntimeError):
    """This machine offers no quota."""


def slow_down(marker: str, times: int) -> Path:
    """Every process whose command line holds `marker`, and what it starts, runs as on cores `times` slower."""
    group = QUOTAS / f"slow-{os.getpid()}"
    try:
        group.mkdir(exist_ok=True)  # left by a process of the same number that was killed
        (group / "cpu.cfs_period_us").write_text(str(PERIOD_US))
        (group / "cpu.cfs_quota_us").write_text(str(PERIOD_US * (os.cpu_count() or 1) // times))
    except OSError as fault:
        raise NotSlow(f"no processor quota here: {fault}") from fault
    for process in Path("/proc").glob("[0-9]*"):
        if marker in _command(process):
            (group / "cgroup.procs").write_text(process.name)
    return group


def _command(process: Path) -> str:
    try:
        return (process / "cmdline").read_bytes().decode(errors="replace")
    except OSError:
        return ""  # it has ended meanwhile
