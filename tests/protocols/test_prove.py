"""`manage.py prove`: one line a property, and an exit code that a script can trust."""

import json

import pytest
from django.core.management import call_command

from opsrisk.engine.properties import PROPERTIES
from opsrisk.protocols.edits import EditRefused, edited
from opsrisk.protocols.shipped import BASELINE

BROKEN = BASELINE.parent / "broken"


def prove(capsys, *arguments):
    with pytest.raises(SystemExit) as ended:
        call_command("prove", *map(str, arguments))
    printed = capsys.readouterr()
    return ended.value.code, printed.out.splitlines(), printed.err.splitlines()


def test_the_baseline_is_proven_in_a_line_a_property(capsys):
    """Nine lines, a last one that says it in a word, and exit code 0."""
    code, lines, errors = prove(capsys)

    assert code == 0
    assert [line.partition(":")[0] for line in lines[:-1]] == [f"({letter}) proven" for letter in PROPERTIES]
    assert lines[-1] == "baseline 1.0.0: proven"
    assert errors == []


def test_a_broken_protocol_is_shown_with_both_situations(capsys):
    """Exit code 1; the failed property, and under it what differs, in feet, with the decision of each."""
    code, lines, _ = prove(capsys, "--edits", BROKEN / "rescue_opens_when_waves_grow.json")

    assert code == 1
    failed = [line for line in lines if " refuted: " in line]
    assert [line[:3] for line in failed] == ["(b)"]
    shown = lines[lines.index(failed[0]) + 1 :]
    assert shown[0] == "  Wave height made worse makes the decision less cautious."
    assert [cell.strip() for cell in shown[1].split("|")] == ["Wave height", "3 ft", "4 ft"]
    assert [cell.strip() for cell in shown[2].split("|")] == ["Decision", "hold", "divers with controls"]
    assert lines[-1] == "baseline 1.0.0: NOT PROVEN: it may not be adopted"


def test_a_file_of_its_own_is_proven(capsys, tmp_path):
    """The protocol may be any file; what is proven is what is in it."""
    document = edited(json.loads(BASELINE.read_text()), [{"at": ["version"], "to": "1.1.0"}])
    (tmp_path / "ours.json").write_text(json.dumps(document))

    code, lines, _ = prove(capsys, tmp_path / "ours.json")

    assert (code, lines[-1]) == (0, "baseline 1.1.0: proven")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("{", "protocol: document: given"),
        ("{}", "protocol: document.format: given null; accepted: a value; it is missing"),
    ],
)
def test_what_is_no_protocol_is_refused_by_place(capsys, tmp_path, text, said):
    """Exit code 2, reasons on standard error, one a line, nothing on standard output."""
    (tmp_path / "bad.json").write_text(text)

    code, lines, errors = prove(capsys, tmp_path / "bad.json")

    assert (code, lines) == (2, [])
    assert any(error.startswith(said) for error in errors)


def test_a_file_that_is_not_there_is_said(capsys, tmp_path):
    code, _, errors = prove(capsys, tmp_path / "nowhere.json")

    assert code == 2
    assert "nowhere.json" in errors[0]


@pytest.mark.parametrize(
    ("edits", "said"),
    [
        ([], "protocol: edits: given TypeError"),
        ({"edits": {}}, "protocol: edits: given {}; accepted: a list"),
        ({"edits": [{"in": "rules", "id": "nobody", "remove": True}]}, 'protocol: edits[0].id: given "nobody"'),
        ({"edits": [{"at": ["lines", "other"], "to": "1"}]}, "protocol: edits[0].at: given"),
        ({"edits": [{"in": "waivers", "remove": True}]}, "protocol: edits[0]: given"),
    ],
)
def test_edits_that_do_not_fit_are_refused(capsys, tmp_path, edits, said):
    """An edit that changes nothing by mistake would prove the wrong document."""
    (tmp_path / "edits.json").write_text(json.dumps(edits))

    code, lines, errors = prove(capsys, "--edits", tmp_path / "edits.json")

    assert (code, lines) == (2, [])
    assert errors[0].startswith(said)
    assert len(errors) == 1


def test_edits_change_a_copy():
    """The document that is edited stays as it was."""
    document = json.loads(BASELINE.read_text())
    changed = edited(
        document, [{"in": "rules", "id": "deep", "remove": True}, {"at": ["recheck", "value"], "to": "20"}]
    )

    assert document == json.loads(BASELINE.read_text())
    assert len(changed["rules"]) == len(document["rules"]) - 1
    assert changed["recheck"]["value"] == "20"


@pytest.mark.parametrize(
    "edit",
    ["deep", {"in": "rules"}, {"in": "rules", "id": "deep", "set": {}, "remove": True}, {"at": "lines", "to": 1}],
)
def test_an_edit_that_says_nothing_clear_is_refused(edit):
    with pytest.raises(EditRefused):
        edited(json.loads(BASELINE.read_text()), [edit])
