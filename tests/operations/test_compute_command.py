"""manage.py compute: lists, says, answers, refuses with one reason a line."""

import io
import json
import sys
from io import StringIO

import pytest
from django.core.management import call_command

from opsrisk.agencies import actions
from opsrisk.assessment.computations.registry import COMPUTATIONS, compute
from tests.assessment.computing import example
from tests.cast import NOON


def run(*arguments):
    out, err = StringIO(), StringIO()
    code = 0
    try:
        call_command("compute", *arguments, stdout=out, stderr=err)
    except SystemExit as exit_:
        code = exit_.code
    return code, out.getvalue(), err.getvalue()


@pytest.fixture
def typed(monkeypatch):
    def give(document):
        text = document if isinstance(document, str) else json.dumps(document)
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(text.encode())))

    return give


def test_without_a_name_it_lists_them_all():
    """One line each, with the question that it answers."""
    code, out, _ = run()
    assert code == 0
    assert [line.split()[0] for line in out.splitlines()] == list(COMPUTATIONS)


def test_without_a_file_it_says_what_it_asks():
    """Inputs, what is accepted, what happens if nobody knows, and the schema."""
    code, out, _ = run("turn_pressure")
    said = json.loads(out)
    assert code == 0
    assert said["inputs"][0]["accepted"] == "0.1 to 10000 L (ft3 too)"
    assert said["schema"]["$id"] == "opsrisk.computation/1/turn_pressure"


def test_answers_from_a_file_and_from_standard_input(tmp_path, typed):
    """The same document either way, and that of the function."""
    given = json.dumps(example("lift"))
    path = tmp_path / "lift.json"
    path.write_text(given)
    typed(given)
    from_file, from_input = run("lift", str(path)), run("lift", "-")
    assert from_file == from_input
    assert json.loads(from_file[1]) == compute("lift", given)


def test_refuses_with_one_reason_a_line_and_exit_2(typed):
    """Every fault on its own line on standard error, nothing on standard output."""
    typed({"range": {"value": "-3", "unit": "m"}, "guess": 1})
    code, out, err = run("sonar_detail", "-")
    assert (code, out) == (2, "")
    assert [line.split(":")[0] for line in err.splitlines()] == ["range.value", "guess"]


@pytest.mark.parametrize(("name", "document"), [("depth_of_ocean", None), ("lift", "/no/such/file.json")])
def test_refuses_an_unknown_name_and_a_file_that_is_not_there(name, document):
    """What was given, and what would have been accepted."""
    code, out, err = run(*filter(None, (name, document)))
    assert (code, out) == (2, "")
    assert (document or name) in err
    assert "accepted" in err


def test_a_station_may_be_named_by_its_id(cast, typed):
    """As the server knows it; one that it does not know is refused by its field."""
    station = example("station_current")["station"]
    actions.load_stations(stations=[station], by=None, at=NOON)
    typed(example("station_current", station=station["id"]))
    code, out, _ = run("station_current", "-")
    assert code == 0
    assert json.loads(out)["answers"] == compute("station_current", json.dumps(example("station_current")))["answers"]
    typed(example("station_current", station="nobody's"))
    code, _, err = run("station_current", "-")
    assert code == 2
    assert err.startswith("station: given")
