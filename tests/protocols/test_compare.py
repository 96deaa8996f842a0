"""Two versions side by side: every edit shows as itself, with both values, and nothing else does."""

import copy
import json

import pytest

from opsrisk.protocols.compare import ADDED, CHANGED, REMOVED, changes, compare
from opsrisk.protocols.places import LISTS, Place, entry_at, places, with_entry
from opsrisk.protocols.shipped import BASELINE

TEXT = BASELINE.read_text()
GIVEN = json.loads(TEXT)
CHOICE = {"kind": "agency", "note": "ours"}
RULE = {
    "effect": "trigger",
    "text": "Windy",
    "when": {"input": "readings.wind_speed", "worse_than": "30", "unit": "kn"},
}


def other(place, entry):
    """`entry` with one thing in it changed."""
    if isinstance(entry, str):
        return f"{entry} and more"
    if isinstance(entry, list):
        return [*entry, "The mood of the team."]
    return entry | {"source": CHOICE}


def edited(place, value, source=None):
    return with_entry(GIVEN, place, value, source)


def test_a_version_does_not_differ_from_itself():
    """Nor from the same document laid out otherwise."""
    assert compare(TEXT, TEXT) == ()
    assert compare(TEXT, json.dumps(GIVEN, sort_keys=True)) == ()


@pytest.mark.parametrize("place", list(places(GIVEN)), ids=str)
def test_every_entry_that_is_changed_shows_as_changed_and_back(place):
    """Once, at its place, with what it was and what it is; the other way round the two columns change places."""
    entry = entry_at(GIVEN, place)
    changed = copy.deepcopy(GIVEN)
    if place.section in LISTS:
        changed[place.section] = [other(place, one) if one["id"] == place.id else one for one in GIVEN[place.section]]
    elif place.section == "heading":
        changed[place.id] = other(place, entry)
    elif place.section in ("recheck", "not_assessed"):
        changed[place.section] = other(place, entry)
    else:
        changed[place.section][place.id] = other(place, entry)
    (there,), (back,) = list(changes(GIVEN, changed)), list(changes(changed, GIVEN))
    assert (there.place, there.kind, back.kind) == (place, CHANGED, CHANGED)
    assert {row[0]: row[1:] for row in there.rows} == {row[0]: row[:0:-1] for row in back.rows}
    assert all(was != now for _, was, now in there.rows)


def test_a_number_shows_with_both_values_in_words():
    """Unit and all, and nothing of the entry that stayed."""
    found = edited(Place("lines", "rescue"), {"value": "60"}, GIVEN["lines"]["rescue"]["source"])
    (change,) = changes(GIVEN, found)
    assert (change.title, change.rows) == ("Rescue, up to", (("Value", "65 points", "60 points"),))


def test_a_point_shows_at_its_breakpoint():
    """The other breakpoints are not repeated."""
    depth = {k: v for k, v in GIVEN["factors"][2].items() if k not in ("id", "source")}
    points = [*depth["points"][:1], ["33", "4"], *depth["points"][2:]]
    (change,) = changes(GIVEN, edited(Place("factors", "depth"), depth | {"points": points}, CHOICE | {"note": ""}))
    assert change.rows[0] == ("At 33 ft", "3 points", "4 points")
    assert [row[0] for row in change.rows if row[0].startswith("At")] == ["At 33 ft"]


def test_a_condition_shows_as_two_sentences():
    """Both whole, so that nobody has to put them together."""
    place = Place("combinations", "deep_and_cold")
    entry = {k: v for k, v in GIVEN["combinations"][2].items() if k not in ("id", "source")}
    when = {"all": [{"input": "readings.depth", "worse_than": "50", "unit": "ft"}, entry["when"]["all"][1]]}
    (change,) = changes(GIVEN, edited(place, entry | {"when": when}, GIVEN["combinations"][2]["source"]))
    assert change.rows == (
        (
            "When",
            "Depth at the target is over 60 ft, and Water temperature is under 10 C",
            "Depth at the target is over 50 ft, and Water temperature is under 10 C",
        ),
    )


def test_an_abolished_limit_says_so():
    """It is not the same as one that was removed."""
    lightning = next(rule for rule in GIVEN["rules"] if rule["id"] == "lightning")
    entry = {k: v for k, v in lightning.items() if k not in ("id", "source")}
    found = edited(Place("rules", "lightning"), entry | {"when": None, "note": "why"}, lightning["source"])
    (change,) = changes(GIVEN, found)
    assert ("When", "Lightning is yes", "never: this limit is abolished") in change.rows


def test_what_was_added_and_removed_shows_whole():
    """Every aspect of it, on one side."""
    found = edited(Place("rules", "windy"), RULE, CHOICE)
    (added,), (removed,) = list(changes(GIVEN, found)), list(changes(found, GIVEN))
    assert (added.kind, removed.kind, added.title) == (ADDED, REMOVED, "Windy")
    assert ("When", "", "Wind speed is over 30 kn") in added.rows
    assert [row[2] for row in added.rows] == [row[1] for row in removed.rows]


def test_another_order_is_a_difference():
    """Reasons are read in it."""
    turned = GIVEN | {"rules": GIVEN["rules"][::-1]}
    (change,) = changes(GIVEN, turned)
    assert change.title == "Order of the entries"


def test_several_changes_come_in_the_order_of_the_document():
    """As they are read; what is gone stands last."""
    found = with_entry(
        edited(Place("waivers", "ice_not_yet_measured"), "Other reasons"), Place("rules", "windy"), RULE, CHOICE
    )
    found = with_entry(found, Place("rules", "lightning"), None, None)
    assert [(str(one.place), one.kind) for one in changes(GIVEN, found)] == [
        ("rules/windy", ADDED),
        ("waivers/ice_not_yet_measured", CHANGED),
        ("rules/lightning", REMOVED),
    ]
