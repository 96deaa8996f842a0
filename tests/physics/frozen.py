"""Frozen outputs of other programs and publications, and the stations that they speak of."""

import json
from datetime import datetime
from pathlib import Path

from opsrisk.physics.station import Station

ROOT = Path(__file__).parents[2]
KNOT_MPS = 1852 / 3600


def oracle(name):
    """The frozen file fixtures/oracles/NAME.json."""
    return json.loads((ROOT / "fixtures" / "oracles" / f"{name}.json").read_text())


def selection():
    """The stations that come with the tool, by id."""
    document = json.loads((ROOT / "fixtures" / "stations" / "selection.json").read_text())
    return {one["id"]: Station.from_document(one) for one in document["stations"]}


def instant(text):
    """An instant out of an oracle's text."""
    return datetime.fromisoformat(text.replace(" ", "T"))
