"""The bands of a factor as a picture: to scale, harmless on the left, with the limits on the same reading."""

import json
import re
from xml.etree import ElementTree

import pytest

from opsrisk.protocols.shipped import BASELINE
from opsrisk.protocols.strips import LEFT, RIGHT, leaves, strip

GIVEN = json.loads(BASELINE.read_text())
FACTORS = {factor["id"]: factor for factor in GIVEN["factors"]}
SVG = "{http://www.w3.org/2000/svg}"


def texts(drawn):
    root = ElementTree.fromstring(drawn.svg)  # noqa: S314 - our own picture
    return [(float(one.get("x")), float(one.get("y")), one.text) for one in root.iter() if one.tag.endswith("text")]


@pytest.mark.parametrize("name", FACTORS)
def test_every_breakpoint_and_its_points_stand_on_the_strip(name):
    """As XML that needs no style and no script; nothing lies outside the picture."""
    factor = FACTORS[name]
    drawn = strip(GIVEN, factor)
    shown = [text for _, _, text in texts(drawn)]
    unit = factor.get("unit", "")
    for value, points in factor["points"]:
        assert f"{value} {unit}".strip().replace("_", " ") in shown and points in shown
    assert not re.search(r"style=|<script|onload|href", drawn.svg)
    assert all(0 <= x <= 720 and 0 < y < 168 for x, y, _ in texts(drawn))


@pytest.mark.parametrize("name", FACTORS)
def test_no_label_lies_upon_another(name):
    """A letter is 9.5 wide at this size and a row 20 high."""
    labels = texts(strip(GIVEN, FACTORS[name]))
    for place, (x, y, text) in enumerate(labels):
        for other_x, other_y, other in labels[place + 1 :]:
            if abs(y - other_y) < 12:
                assert abs(x - other_x) >= (len(text) + len(other)) * 9.5 / 2 - 6, (text, other)


def test_worse_lies_to_the_right_whichever_way_it_counts():
    """Deeper to the right, and less visibility to the right."""
    for name, values in (("depth", ("20 ft", "130 ft")), ("visibility", ("10 ft", "0 ft"))):
        at = {text: x for x, _, text in texts(strip(GIVEN, FACTORS[name]))}
        assert LEFT <= at[values[0]] < at[values[1]] <= RIGHT


def test_the_strip_is_to_scale():
    """Half the difference is half the way."""
    at = {text: x for x, _, text in texts(strip(GIVEN, FACTORS["water_temperature"]))}
    assert (at["10 C"] - at["18 C"]) / 8 == pytest.approx((at["2 C"] - at["10 C"]) / 8, abs=0.1)


def test_every_limit_on_the_reading_is_marked():
    """Each with its letter, in the order of the strip, and what it does in words."""
    drawn = strip(GIVEN, FACTORS["depth"])
    expected = [
        limit["worse_than"]
        for rule in (*GIVEN["rules"], *GIVEN["combinations"])
        for limit in leaves(rule["when"])
        if limit["input"] == "readings.depth" and isinstance(limit.get("worse_than"), str)
    ]
    assert sorted(mark.value for mark in drawn.marks) == sorted(f"over {value} ft" for value in expected)
    letters = [mark.letter for mark in drawn.marks]
    assert letters == sorted(letters)
    at = {text: x for x, _, text in texts(drawn) if text in letters}
    assert [at[letter] for letter in sorted(at)] == sorted(at.values())
    assert any(mark.words.startswith("Stop for divers:") for mark in drawn.marks)


def test_words_of_a_document_cannot_become_markup():
    """A value is shown as it is written."""
    factor = {"input": "hazards.entanglement", "points": [["<b>", "1"]]}
    assert "<b>" not in strip({"factors": [factor], "rules": [], "combinations": []}, factor).svg
