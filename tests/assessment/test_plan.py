"""The plan: the few numbers that matter, where each comes from, and what is missing by name."""

import json
from datetime import datetime

import pytest
from jsonschema import Draft202012Validator

from opsrisk.assessment.cautions import CAUTIONS
from opsrisk.assessment.plan import LONGEST_LINE, MOST_LINES, as_text, plan, plan_lines
from opsrisk.assessment.planning.inputs import NAMES, PlanRefused, plan_inputs_schema
from opsrisk.assessment.record import canonical
from opsrisk.assessment.situation import SituationRefused
from opsrisk.engine.protocol import ProtocolRefused
from tests.assessment.computing import ADOPTED, q
from tests.assessment.planned import INPUTS, PROTOCOL, SITUATION, by_name, changed, inputs, planned, without_inputs
from tests.house.reading import ROOT


def test_every_number_carries_what_it_rests_on():
    """Inputs with their origin, method, limits, page and cautions; no float anywhere."""
    document = planned()
    canonical(document)
    assert len(document["numbers"]) > 8
    for one in document["numbers"]:
        assert one["headline"] and one["method"] and one["limits"] and one["answers"]
        assert {given["from"] for given in one["inputs"]} <= {
            "situation", "situation, by depth", "protocol", "plan", "usual value", "not known",
        }  # fmt: skip
        assert (ROOT / one["page"]).is_file()
    assert document["cautions"] == list(CAUTIONS)


def test_same_texts_same_digest():
    """And another reading, another digest."""
    assert planned()["digest"] == planned()["digest"]
    assert planned(readings__depth=q(30, "ft", how="measured") | {"how": "measured"})["digest"] != planned()["digest"]


def test_where_an_input_comes_from_is_said():
    """What the plan's own inputs say wins over the situation, and each origin stands beside its value."""
    origins = {one["words"]: one["from"] for one in by_name(planned())["station_windows"]["inputs"]}
    assert origins["Greatest current to work in"] == "plan"
    assert origins["Measure the current again every"] == "protocol"
    assert origins["Uncertainty of the forecast in time"] == "usual value"
    own = planned(inputs(station_windows__limit=None))
    origins = {one["words"]: one["from"] for one in by_name(own)["station_windows"]["inputs"]}
    assert origins["Greatest current to work in"] == "protocol"


@pytest.mark.parametrize(
    ("line", "breathing", "limit"),
    [("tended", "scuba", "1.5"), ("untended", "scuba", "1.5"), ("tended", "surface_supplied", "1.5")],
)
def test_the_window_is_that_of_the_protocols_limit(line, breathing, limit):
    """Without a limit of the plan's own, the stop that applies to these divers."""
    document = planned(inputs(station_windows__limit=None), dive__line=line, dive__breathing=breathing)
    assert by_name(document)["station_windows"]["given"]["limit"]["value"] == limit


def test_a_stricter_rule_moves_the_window():
    """The least of all limits that apply to these divers."""
    document = json.loads(PROTOCOL)
    for rule in document["rules"]:
        if rule["id"] == "current_tended":
            rule["when"]["all"][1]["worse_than"] = "0.7"
    found = planned(inputs(station_windows__limit=None), protocol=json.dumps(document))
    assert by_name(found)["station_windows"]["given"]["limit"] == {"value": "0.7", "unit": "kn"}
    found = planned(
        inputs(station_windows__limit=None), protocol=json.dumps(document), dive__breathing="surface_supplied"
    )
    assert by_name(found)["station_windows"]["given"]["limit"]["value"] == "1.5"


def test_a_dive_counts_from_surface_to_surface():
    """15 minutes on the bottom and the way up from 36 ft: the window counts with 17 or more."""
    given = by_name(planned())["station_windows"]["given"]
    assert int(given["dive_time"]["value"]) >= 17
    window = by_name(planned())["station_windows"]["answers"][1]["rows"][0]
    ends, recall = (datetime.fromisoformat(window[name]) for name in ("usable_ends", "recall"))
    assert (ends - recall).total_seconds() / 60 == float(given["way_up"]["value"])


def test_readings_enter_with_their_bounds():
    """The protocol's spread of a measured depth: the turn pressure is planned on its deep end."""
    turn = by_name(planned())["turn_pressure"]
    assert {"low", "high"} <= set(turn["given"]["depth"])
    answer = turn["answers"][0]
    assert answer["plan_on"] == answer["high"] > answer["value"]
    assert answer["plan_on"] in turn["headline"]


def test_what_is_missing_is_named_by_its_answer():
    """Nothing but the situation: each subject that applies says which answer it lacks."""
    missing = by_name(without_inputs(), "missing")
    assert {need["field"] for need in missing["station_windows"]["needs"]} == {"station"}
    assert {need["field"] for need in missing["tether_shape"]["needs"]} == {"distance"}
    assert "vehicle_sweep" in {need["field"] for need in missing["search_effort"]["needs"]}


def test_a_reading_too_old_counts_as_missing_and_says_so():
    """Yesterday's current neither pulls on a diver nor contradicts today's forecast."""
    old = q(1, "kn") | {"how": "measured", "at": "2026-11-24T08:00:00-05:00"}
    document = planned(readings__current=old)
    assert "too old" in by_name(document, "missing")["diver_load"]["needs"][0]["words"]
    window = by_name(document)["station_windows"]["given"]
    assert "measured" not in window
    assert window["start"] == SITUATION["assessed_at"]


def test_no_stop_is_refused_in_words_while_not_adopted():
    """Listed, with the reason, and no number anywhere."""
    reasons = by_name(planned(), "refused")["no_stop"]["reasons"]
    assert "named person" in reasons[0]["accepted"]


def test_no_stop_with_an_adoption_gives_its_number_and_caveat():
    """With the tables adopted, the least of the depth's bounds, and the caveat as a warning."""
    found = by_name(planned(inputs(no_stop={"adoption": ADOPTED})))["no_stop"]
    assert found["headline"].startswith("No-stop ")
    assert any("transcribed" in warning for warning in found["warnings"])


@pytest.mark.parametrize(
    ("changes", "gone"),
    [
        ({"vehicle": "null"}, {"tether_shape", "sonar_look", "holding_limit"}),
        ({"task__kind": "training"}, {"rescue_window"}),
        ({"hazards__ice_cover": "none"}, {"ice"}),
    ],
)
def test_what_does_not_apply_is_not_asked(changes, gone):
    """No vehicle, no tether; nobody under water, no rescue window; no ice, no thickness."""
    situation = changed(SITUATION, changes)
    if changes.get("vehicle"):
        situation["vehicle"] = None
    document = plan(json.dumps(situation), None, PROTOCOL)
    listed = {one["computation"] for place in ("numbers", "missing", "refused") for one in document[place]}
    assert not gone & listed


def test_a_rescue_has_its_window_first():
    """Minutes under water against the water's temperature."""
    document = planned(task__kind="rescue", task__submerged_at="2026-11-25T07:45:00-05:00")
    assert document["numbers"][0]["computation"] == "rescue_window"
    assert document["numbers"][0]["headline"] == "Still a rescue: closes in 15 min"
    later = planned(task__kind="rescue", task__submerged_at="2026-11-25T07:00:00-05:00")
    assert later["numbers"][0]["headline"] == "The submersion window has closed"


def test_still_water_needs_no_window():
    """A quarry: nobody is asked for a station."""
    still = {"value": "0", "unit": "kn", "how": "measured"}
    document = without_inputs(readings__current=still | {"low": "0", "high": "0.1"})
    assert "station_windows" not in by_name(document, "missing")


def test_a_table_or_a_schedule_stands_in_for_a_station():
    """One window, by what is known of the current."""
    examples = json.loads((ROOT / "fixtures" / "computations" / "examples.json").read_text())
    for name in ("table_windows", "river_windows"):
        section = {field: given for field, given in examples[name].items() if field in ("turns", "releases", "until")}
        given = {"format": INPUTS["format"], name: section}
        document = planned(given)
        assert name in by_name(document), document["refused"]
        assert "station_windows" not in by_name(document, "missing")


def warned(document):
    return " ".join(one["text"] for one in document["warnings"])


@pytest.mark.parametrize(
    ("given", "changes", "said"),
    [
        ({"tether_shape__profile": [{"depth": q(0, "m"), "speed": q(4, "kn")}]}, {}, "may be carried away"),
        ({"tether_shape__clearance": q(60, "ft")}, {}, "it may snag"),
        ({}, {"dive__gas__pressure": q(55, "bar")}, "nobody goes on this cylinder"),
        ({}, {"dive__bottom_time": q(60, "min")}, "60 min are planned"),
        ({"station_windows__limit": q(0.05, "kn")}, {}, "No usable window"),
        ({"station_windows__dive_time": q(300, "min")}, {}, "does not fit"),
        ({}, {"readings__current": q(6, "kn") | {"how": "measured"}}, "does not hold here"),
        ({"bailout__pressure": q(12, "bar")}, {}, "does not cover the ascent"),
        ({"lift": {"mass": q(900, "kg"), "material": "steel", "mud": "2"}}, {}, "are too much"),
        ({}, {"readings__air_temperature": q(-25, "C") | {"how": "measured"}}, "skin may freeze"),
        ({"daylight__at": "2026-11-25T15:50:00-05:00"}, {}, "Daylight lasts"),
        ({"ice": {"load": q(4000, "lb")}},
         {"hazards__ice_cover": "solid", "readings__ice_thickness": q(5, "in") | {"how": "measured"}},
         "does not carry"),
        ({"pressure_difference": {"flow": q(0.4, "m3/s")}}, {"hazards__pressure_difference": "possible"}, "lock it out"),
        ({"no_stop": {"adoption": ADOPTED, "depth": q(120, "ft")}}, {"dive__bottom_time": q(30, "min")}, "no stops"),
    ],
)  # fmt: skip
def test_warns_in_words(given, changes, said):
    """What somebody must be told stands among the warnings, not only in a number."""
    document = planned(inputs(**given), **changes)
    assert said in warned(document), (warned(document), document["refused"], document["missing"])


def test_a_quiet_plan_has_few_warnings():
    """The inlet as planned: the current's reading and nothing else."""
    assert "carried away" not in warned(planned())
    assert "nobody goes" not in warned(planned())


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({}, "format"),
        ({"format": "opsrisk.plan_inputs/1", "tethers": {}}, "tethers"),
        ({"format": "opsrisk.plan_inputs/1", "units": "yards"}, "units"),
        ({"format": "opsrisk.plan_inputs/1", "lift": {"mass": q(-3, "kg")}}, "lift.mass.value"),
        ({"format": "opsrisk.plan_inputs/1", "lift": {"weight": q(3, "kg")}}, "lift.weight"),
        ({"format": "opsrisk.plan_inputs/1", "lift": {"units": "us"}}, "lift.units"),
        ({"format": "opsrisk.plan_inputs/1", "lift": []}, "lift.document"),
    ],
)
def test_bad_inputs_are_refused_by_their_field(given, field):
    """Subject and field, what was given, what is accepted."""
    with pytest.raises(PlanRefused) as caught:
        plan(json.dumps(SITUATION), json.dumps(given), PROTOCOL)
    assert field in [error[0] for error in caught.value.errors]


def test_bad_texts_are_refused_by_who_reads_them():
    """Situation, inputs and protocol each say themselves what is wrong."""
    with pytest.raises(PlanRefused):
        plan(json.dumps(SITUATION), "{", PROTOCOL)
    with pytest.raises(PlanRefused):
        plan(json.dumps(SITUATION), "[]", PROTOCOL)
    with pytest.raises(SituationRefused):
        plan("{}", None, PROTOCOL)
    with pytest.raises(ProtocolRefused):
        plan(json.dumps(SITUATION), None, "{}")


def test_what_a_computation_refuses_is_listed_with_its_reason():
    """A tether too short for the distance: the plan goes on without that number."""
    document = planned(inputs(tether_shape__tether_out=q(20, "ft")))
    assert by_name(document, "refused")["tether_shape"]["reasons"][0]["field"] == "tether_out"
    assert "turn_pressure" in by_name(document)


def test_lines_for_a_sheet_are_few_and_short():
    """At most nine, each fits a line."""
    for document in (planned(), without_inputs()):
        lines = plan_lines(document)
        assert 0 < len(lines) <= MOST_LINES
        assert all(0 < len(line) <= LONGEST_LINE for line in lines)
    assert plan_lines(planned())[0].startswith("Under 0.8 kn ")


def test_constituents_stay_out_of_the_plan():
    """A station by its name: its constants are published, and long."""
    assert '"constituents"' not in as_text(planned())


def test_schema_of_the_inputs_takes_the_example():
    """Made from the same entries that read it."""
    schema = plan_inputs_schema()
    Draft202012Validator.check_schema(schema)
    validator = Draft202012Validator(schema)
    assert not list(validator.iter_errors(INPUTS))
    assert list(validator.iter_errors(INPUTS | {"tethers": {}}))
    assert set(NAMES) < set(schema["properties"])


def test_units_of_the_agency():
    """Feet and pounds, or metres: the same plan."""
    metric = planned(inputs(units="metric"))
    assert "bar" in by_name(metric)["turn_pressure"]["headline"]
    assert "psi" in by_name(planned())["turn_pressure"]["headline"]
