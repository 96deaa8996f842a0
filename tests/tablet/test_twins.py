"""Words and numbers that the tablet holds a second time are the server's, to the letter."""

import json
import re

import pytest

from opsrisk.agencies.refusals import LEAST_REASON
from opsrisk.assessment import told
from opsrisk.briefing.sheet import standing
from opsrisk.operations import photo_manifest
from tests.house.reading import ROOT

CLIENT = ROOT / "opsrisk" / "tablet" / "static" / "tablet"


def written(file: str, name: str) -> str:
    """What the page's own module gives `name`, as it stands there."""
    (found,) = re.findall(rf"^(?:export )?const {name} = (.*?);", (CLIENT / file).read_text(), re.DOTALL | re.MULTILINE)
    return found


@pytest.mark.parametrize(
    ("file", "name", "texts"),
    [("brief.js", "GAINS", told.GAINS), ("photo_taking.js", "CAPTIONS", standing.CAPTIONS)],
)
def test_texts_offered_by_a_tap_are_those_that_the_sheet_knows(file, name, texts):
    """Others would be taken for somebody's own words, and not said in the sheet's language."""
    assert tuple(json.loads(re.sub(r",\s*\]", "]", written(file, name)))) == texts


def test_the_sizes_of_photos_are_those_that_the_server_takes():
    """The same largest file, in parts that it takes, and no more of them."""
    largest, part = (
        written("photo_bytes.js", "LARGEST_BYTES"),
        int(re.findall(r"\d+", written("photo_bytes.js", "split"))[0]),
    )
    factors = [int(one) for one in largest.split(" * ")]
    assert factors[0] * factors[1] * factors[2] == photo_manifest.LARGEST_BYTES
    assert photo_manifest.LEAST_PART <= part <= photo_manifest.LARGEST_PART
    assert -(-photo_manifest.LARGEST_BYTES // part) <= photo_manifest.MOST_PARTS


def test_a_reason_is_as_long_here_as_there():
    """In the rule and in the words that ask for it."""
    assert int(written("draft.js", "LEAST_REASON")) == LEAST_REASON
    assert f"at least {LEAST_REASON} characters" in (CLIENT / "draft.js").read_text()
