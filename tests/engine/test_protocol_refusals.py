"""A protocol document that is not complete and clear is refused, naming the place, what was given and what is accepted."""

import json

import pytest

from opsrisk.engine.protocol import ProtocolRefused, read_protocol
from tests.engine.protocols import GONE, changed, document

SOURCE = {"kind": "agency"}
CURRENT = "inputs.`readings.current`"
DEEP = {"input": "hazards.lightning", "as_bad_as": "yes"}
for _ in range(12):
    DEEP = {"all": [DEEP]}

# What is changed in the baseline, to what, and the place that the refusal must name.
BROKEN = [
    ("format", "opsrisk.protocol/2", "format"),
    ("format", GONE, "document.format"),
    ("id", "", "id"),
    ("id", 7, "id"),
    ("version", "   ", "version"),
    ("title", None, "title"),
    ("author", ["a"], "author"),
    ("effective_from", "soon", "effective_from"),
    ("effective_from", "20261125", "effective_from"),
    ("effective_from", 20261125, "effective_from"),
    ("note", 1.5, "document.note"),
    ("colour", "red", "document.colour"),
    ("lines", [], "lines"),
    ("lines.divers", GONE, "lines.divers"),
    ("lines.divers.value", "20.5", "lines.divers"),
    ("lines.divers.value", 20, "lines.divers"),
    ("lines.divers.value", "46", "lines"),
    ("lines.rescue.value", "44", "lines"),
    ("lines.rescue.source", GONE, "lines.rescue.source"),
    ("lines.rescue.unit", "kn", "lines.rescue.unit"),
    ("recheck.value", "0", "recheck"),
    ("recheck.value", "-30", "recheck"),
    ("recheck.unit", "kn", "recheck.unit"),
    ("settings", {}, "settings.submersion_cold_water"),
    ("settings.gas_rate", GONE, "settings.gas_rate"),
    ("settings.gas_rate.unit", "bar", "settings.gas_rate.unit"),
    ("settings.gas_rate.value", "0", "settings.gas_rate"),
    ("settings.submersion_cold_water.unit", "min", "settings.submersion_cold_water.unit"),
    ("settings.tether_reach_ratio.value", "-1.3", "settings.tether_reach_ratio"),
    ("settings.luck", {"value": "1", "source": SOURCE}, "settings.luck"),
    ("inputs", [], "inputs"),
    (CURRENT, GONE, "inputs.readings.current"),
    ("inputs.`readings.air_temperature`", GONE, "inputs.readings.air_temperature"),
    ("inputs.`readings.speed`", {"source": SOURCE}, "inputs.readings.speed"),
    ("inputs.`hazards.lightning`", {"source": SOURCE}, "inputs.hazards.lightning"),
    (f"{CURRENT}.unit", "ft", "inputs.readings.current.unit"),
    (f"{CURRENT}.unit", GONE, "inputs.readings.current.unit"),
    (f"{CURRENT}.unit", ["kn"], "inputs.readings.current.unit"),
    (f"{CURRENT}.source", GONE, "inputs.readings.current.source"),
    (f"{CURRENT}.domain", ["0"], "inputs.readings.current.domain"),
    (f"{CURRENT}.domain", "0 to 20", "inputs.readings.current.domain"),
    (f"{CURRENT}.domain", ["20", "0"], "inputs.readings.current.domain"),
    (f"{CURRENT}.domain", ["0", "10"], "inputs.readings.current.domain"),
    (f"{CURRENT}.domain", ["0", "1e1"], "inputs.readings.current.domain"),
    (f"{CURRENT}.domain", ["-1", "20"], "inputs.readings.current.domain"),
    (f"{CURRENT}.valid_minutes", "0", "inputs.readings.current.valid_minutes"),
    (f"{CURRENT}.valid_minutes", "half an hour", "inputs.readings.current.valid_minutes"),
    (f"{CURRENT}.spread.guessed", {"plus_minus": "1"}, "inputs.readings.current.spread"),
    (f"{CURRENT}.spread.measured.plus_minus", "-0.1", "inputs.readings.current.spread.measured.plus_minus"),
    (f"{CURRENT}.spread.measured.plus_minus", 0.1, "inputs.readings.current.spread.measured.plus_minus"),
    (f"{CURRENT}.spread.measured.relative", "10 %", "inputs.readings.current.spread.measured.relative"),
    (f"{CURRENT}.spread.measured.about", "1", "inputs.readings.current.spread.measured.about"),
    (f"{CURRENT}.assume", "1", "inputs.readings.current"),
    ("inputs.`readings.ice_thickness`.waiver", "goodwill", "inputs.readings.ice_thickness.waiver"),
    ("inputs.`readings.ice_thickness`.waiver", GONE, "inputs.readings.ice_thickness"),
    ("inputs.`readings.ice_thickness`.assume", "-4", "inputs.readings.ice_thickness.assume"),
    ("factors", {}, "factors"),
    ("factors[0]", "current", "factors[0]"),
    ("factors[0].id", "visibility", "id visibility"),
    ("factors[0].id", GONE, "factors[0].id"),
    ("factors[0].input", "readings.speed", "factors[0].input"),
    ("factors[0].input", ["readings.current"], "factors[0].input"),
    ("factors[0].input", "vehicle.owned", "factors[0].input"),
    ("factors[0].unit", "furlong", "factors[0].points.unit"),
    ("factors[0].points", [], "factors[0].points"),
    ("factors[0].points", [["0", "0", "0"]], "factors[0].points"),
    ("factors[0].points[1]", ["0", "0"], "factors[0].points"),
    ("factors[0].points[2]", ["0.5", "five"], "factors[0].points"),
    ("factors[0].points[2]", ["0.5", "5.5"], "factors[0].points"),
    ("factors[0].points[2]", ["0.2", "5"], "factors[0].points"),
    ("factors[1].points[1]", ["20", "5"], "factors[1].points"),
    ("factors[4].points[1]", ["some", "4"], "factors[4].points"),
    ("factors[4].points[1]", GONE, "factors[4].points"),
    ("factors[4].unit", "kn", "factors[4].points.unit"),
    ("factors[0].source.kind", "hearsay", "factors[0].source.kind"),
    ("combinations[0].points", GONE, "combinations[0].points"),
    ("combinations[0].points", "8.5", "combinations[0].points"),
    ("combinations[0].effect", "trigger", "combinations[0].effect"),
    ("rules[0].id", "no_diver", "id no_diver"),
    ("rules[0].text", "", "rules[0].text"),
    ("rules[0].effect", "stop", "rules[0].effect"),
    ("rules[0].flag", "no_captain", "rules[0].flag"),
    ("rules[0].absolute", True, "rules[0].absolute"),
    ("rules[0].when", GONE, "rules[0].when"),
    ("rules[0].when", None, "rules[0].note"),
    ("rules[0].when", [], "rules[0].when"),
    ("rules[0].when", {"all": []}, "rules[0].when.all"),
    ("rules[0].when", {"any": "all"}, "rules[0].when.any"),
    ("rules[0].when", {"all": [], "any": []}, "rules[0].when"),
    ("rules[0].when", DEEP, "rules[0].when.all[0].all[0].all[0].all[0].all[0].all[0].all[0].all[0]"),
    ("rules[0].when", {"not": {"input": "moon", "is": "full"}}, "rules[0].when.not"),
    ("rules[0].when", {"input": "hazards.lightning"}, "rules[0].when"),
    ("rules[0].when", {"input": "hazards.lightning", "is": "yes", "as_bad_as": "yes"}, "rules[0].when"),
    ("rules[0].when", {"input": "hazards.lightning", "is": "often"}, "rules[0].when.is"),
    ("rules[0].when", {"input": "hazards.lightning", "is": "yes", "unit": "min"}, "rules[0].when.is.unit"),
    ("rules[0].when", {"input": "hazards.lightning", "than": "yes"}, "rules[0].when.than"),
    ("rules[0].when", {"input": "readings.depth", "worse_than": "130"}, "rules[0].when.worse_than.unit"),
    ("rules[0].when", {"input": "readings.depth", "worse_than": "130", "unit": "kn"}, "rules[0].when.worse_than.unit"),
    ("rules[0].when", {"input": "readings.depth", "worse_than": 130, "unit": "ft"}, "rules[0].when.worse_than"),
    ("rules[0].when", {"input": "readings.depth", "worse_than": "deep", "unit": "ft"}, "rules[0].when.worse_than"),
    ("rules[0].when", {"input": "readings.depth", "worse_than": "9" * 400, "unit": "ft"}, "rules[0].when.worse_than"),
    (
        "rules[0].when",
        {"input": "readings.depth", "worse_than": {"input": "readings.current"}},
        "rules[0].when.worse_than",
    ),
    (
        "rules[0].when",
        {"input": "readings.depth", "worse_than": {"input": "hazards.lightning"}},
        "rules[0].when.worse_than",
    ),
    ("rules[0].when", {"input": "hazards.lightning", "is": {"input": "dive.voice"}}, "rules[0].when.is"),
    ("rules[0].source", GONE, "rules[0].source"),
    ("rules[0].source", "everybody knows", "rules[0].source"),
    ("rules[0].source.document", GONE, "rules[0].source.document"),
    ("rules[0].source.status", "seen", "rules[0].source.status"),
    ("rules[0].source.where", 410, "rules[0].source.where"),
    ("rules[0].source.page", "7", "rules[0].source.page"),
    ("controls[0].owner", "everybody", "controls[0].owner"),
    ("controls[0].owner", GONE, "controls[0].owner"),
    ("controls[0].serves", "both", "controls[0].serves"),
    ("notes[0].flag", GONE, "notes[0].flag"),
    ("notes[0].text", 5, "notes[0].text"),
    ("waivers", [], "waivers"),
    ("waivers.ice_not_yet_measured", "", "waivers.ice_not_yet_measured"),
    ("not_assessed", "nothing", "not_assessed"),
    ("not_assessed", [1], "not_assessed[0]"),
]

# Text that is no JSON document of unique names at all: refused as a whole, saying why.
NO_DOCUMENT = {
    "empty": ("", "Expecting value"),
    "a list": ("[]", "[]"),
    "a number": ("1", "1"),
    "cut off": (changed("id", "x")[:-20], "line 1"),
    "a name twice": ('{"id": "a", "id": "b"}', "id"),
    "NaN": ('{"id": NaN}', "NaN"),
    "nested without end": ("[" * 100_000, "recursion"),
    "half a letter": ('{"id": "\\ud800"}', "surrogates"),
    "no UTF-8": (b'{"id": "\xff"}', "utf-8"),
    "a million digits": (changed("id", "@").replace('"@"', "9" * 1_000_000), "id: given"),
}  # fmt: skip


def refusal(text):
    with pytest.raises(ProtocolRefused) as refused:
        read_protocol(text)
    return refused.value


def test_there_are_enough_broken_documents():
    """At least sixty ways to be wrong are tried."""
    assert len(BROKEN) + len(NO_DOCUMENT) >= 60


@pytest.mark.parametrize(("path", "value", "place"), BROKEN, ids=[f"{p}={str(v)[:40]}" for p, v, _ in BROKEN])
def test_broken_document_is_refused_at_its_place(path, value, place):
    """One fault gives one refusal, naming the place that is wrong and what is accepted there."""
    errors = refusal(changed(path, value)).errors

    assert errors[0][0] == place
    assert len(errors) == 1 or path == "settings"
    assert all(accepted for _, _, accepted in errors)


@pytest.mark.parametrize("text", NO_DOCUMENT)
def test_what_is_no_document_is_refused_as_a_whole(text):
    """Text that cannot be read says why in one line."""
    given, said = NO_DOCUMENT[text]

    message = str(refusal(given))

    assert said in message
    assert "\n" not in message


def test_every_fault_is_named_at_once():
    """Somebody who edits a protocol sees all that is wrong, not the first."""
    broken = document()
    broken["id"] = ""
    broken["rules"][3]["effect"] = "stop"
    broken["controls"][1]["owner"] = "nobody"
    broken["not_assessed"] = "nothing"

    errors = refusal(json.dumps(broken)).errors

    assert {where for where, _, _ in errors} == {"id", "rules[3].effect", "controls[1].owner", "not_assessed"}


def test_a_name_with_a_line_break_makes_no_second_line():
    """A reason is one line whatever the document calls its entries."""
    message = str(refusal(changed("all\nclear?", "x")))

    assert "\n" not in message


def test_an_abolished_limit_is_not_a_forgotten_one():
    """A rule without a condition is accepted when a note says that it was abolished, and then never fires."""
    abolished = document()
    abolished["rules"][0] |= {"when": None, "note": "no limit since 2027, the agency dives in pairs"}

    kept = {rule.id for rule in read_protocol(json.dumps(abolished)).rules}

    assert abolished["rules"][0]["id"] not in kept
    assert len(kept) == len(abolished["rules"]) - 1
