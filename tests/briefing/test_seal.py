"""The seal on the file: poppler, which is not ours, says whether it holds."""

import subprocess

from opsrisk.briefing.models import Sheet

GOOD = "Signature is Valid"


def pdfsig(path, data=None):
    if data is not None:
        path.write_bytes(data)
    done = subprocess.run(["pdfsig", "-nocert", str(path)], check=False, capture_output=True, text=True)
    return done.stdout + done.stderr


def test_the_seal_holds(issue, sheet_file):
    """A finished sheet carries one PAdES signature that another program finds valid."""
    sheet = issue()
    assert sheet.state == Sheet.State.READY
    said = pdfsig(sheet_file(sheet))
    assert said.count(GOOD) == 1
    assert "ETSI.CAdES.detached" in said
    assert "Total document signed" in said
