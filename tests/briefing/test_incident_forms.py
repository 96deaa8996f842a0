"""What the public incident forms ask for is on the sheet where docs/sheet.md says so."""

import re

from tests.briefing import printed, records
from tests.briefing.test_pencil import composed
from tests.house.reading import ROOT

ROWS = re.findall(r"^\| (\d{3}A?) \| (.+?) \| (.+?) \|$", (ROOT / "docs/sheet.md").read_text(), re.MULTILINE)


def test_every_carried_block_is_filled():
    """A block of a form that the table calls carried names a block of the sheet that is not empty."""
    record = records.record()
    record["chosen"] = {"decision": "divers", "reason": "The vehicle's light failed", "second_person": "p4"}
    sheet = composed(record, records.signatures())
    filled = {block.key for block in sheet.front if block.rows} | {"head"}
    carried = {block for _, _, block in ROWS if not block.startswith("not carried: ")}
    assert len(ROWS) >= 20
    assert carried <= filled


def test_the_briefing_has_its_parts():
    """Situation, task, communications, emergency, and the points at which to evaluate again: none of them empty."""
    for kind in printed.KINDS:
        sheet = printed.sheet(kind, "letter")
        blocks = {block.key: block for block in sheet.front}
        for key in ("task", "why", "people", "signals", "emergency", "abort", "recheck"):
            assert blocks[key].rows, (kind, key)
