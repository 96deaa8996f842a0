"""Where the shipped baseline protocol lies, and the baseline read."""

from functools import cache
from pathlib import Path

from opsrisk.engine.parts import Protocol
from opsrisk.engine.protocol import read_protocol

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
BASELINE = FIXTURES / "protocols" / "baseline.json"


@cache
def baseline() -> Protocol:
    """The shipped baseline; it never changes while the program runs."""
    return read_protocol(BASELINE.read_bytes())
