"""manage.py plan: the plan document or its lines, refusals one a line, exit 2."""

import json
from io import StringIO

import pytest
from django.core.management import call_command

from opsrisk.assessment.plan import plan, plan_lines
from tests.assessment.planned import FOLDER, INPUTS, PROTOCOL, SITUATION

FILES = (str(FOLDER / "plan_situation.json"), str(FOLDER / "plan_inputs.json"))


def run(*arguments, **options):
    out, err, code = StringIO(), StringIO(), 0
    try:
        call_command("plan", *arguments, stdout=out, stderr=err, **options)
    except SystemExit as exit_:
        code = exit_.code
    return code, out.getvalue(), err.getvalue()


def test_prints_the_plan_of_a_situation_with_its_inputs():
    """The same document as the function's."""
    code, out, _ = run(*FILES)
    assert code == 0
    assert json.loads(out) == plan(json.dumps(SITUATION), json.dumps(INPUTS), PROTOCOL)


def test_prints_the_lines_for_a_sheet():
    """One a line."""
    _, out, _ = run(*FILES, "--lines")
    assert out.splitlines() == plan_lines(plan(json.dumps(SITUATION), json.dumps(INPUTS), PROTOCOL))


def test_a_situation_alone_has_a_plan():
    """What is missing is listed in it."""
    code, out, _ = run(FILES[0])
    assert code == 0
    assert json.loads(out)["missing"]


@pytest.mark.parametrize(
    ("text", "field"),
    [("{}", "situation.format"), ("[]", "situation.document"), ("{", "document"), ('{"a": 1, "a": 2}', "document")],
)
def test_refuses_with_one_reason_a_line(tmp_path, text, field):
    """On standard error, nothing on standard output."""
    path = tmp_path / "situation.json"
    path.write_text(text)
    code, out, err = run(str(path))
    assert (code, out) == (2, "")
    assert field in [line.split(": given")[0] for line in err.splitlines()]


def test_refuses_bad_inputs_protocols_and_files(tmp_path):
    """Each by what is wrong with it."""
    bad = tmp_path / "bad.json"
    bad.write_text('{"format": "opsrisk.plan_inputs/1", "lift": {"weight": 1}}')
    assert run(FILES[0], str(bad))[2].startswith("inputs.lift.weight: given")
    assert run(FILES[0], protocol=bad)[0] == 2
    code, _, err = run("/no/such/file.json")
    assert code == 2
    assert "/no/such/file.json" in err
