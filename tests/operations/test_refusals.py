"""Whatever is wrong with a body is named by field, and nothing of it is stored."""

import json

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from opsrisk.agencies.refusals import Refused
from opsrisk.assessment.record import canonical
from opsrisk.operations.models import Assessment, Operation
from opsrisk.operations.records import read_body
from tests.operations.sending import body, record, send, sign, situation

REMOVED = object()


def changed(document, path, value):
    """A copy with one entry replaced, added or removed."""
    made = json.loads(json.dumps(document))
    *parents, last = path.split(".")
    at = made
    for name in parents:
        at = at[int(name)] if isinstance(at, list) else at[name]
    if value is REMOVED:
        del at[last]
    else:
        at[int(last) if isinstance(at, list) else last] = value
    return made


@pytest.mark.parametrize(
    "path, value, field",
    [
        ("format", "opsrisk.record/2", "record.format"),
        ("id", "7", "record.id"),
        ("id", "6F3C0D5E-5D0B-4A53-9A58-0F3F2A1F7C11", "record.id"),
        ("id", REMOVED, "record.id"),
        ("colour", "red", "record.colour"),
        ("operation", [], "record.operation"),
        ("operation.id", "", "record.operation.id"),
        ("operation.title", "", "record.operation.title"),
        ("operation.title", "x" * 201, "record.operation.title"),
        ("operation.title", "nul \x00", "record.operation.title"),
        ("operation.place", 7, "record.operation.place"),
        ("operation.depth", "3", "record.operation.depth"),
        ("revision", 0, "record.revision"),
        ("revision", True, "record.revision"),
        ("revision", "1", "record.revision"),
        ("previous", "xyz", "record.previous"),
        ("situation", None, "record.situation"),
        ("situation.format", "x", "record.situation.format"),
        ("situation.readings.depth.value", "-3", "record.situation.readings.depth.value"),
        ("situation.readings.depth.unit", "cubits", "record.situation.readings.depth.unit"),
        ("situation.hazards.contamination", "some", "record.situation.hazards.contamination"),
        ("situation.assessed_at", "0001-01-01T00:00:00+14:00", "record.situation.assessed_at"),
        ("own_judgement", {}, "record.own_judgement.decision"),
        ("own_judgement.decision", "maybe", "record.own_judgement.decision"),
        ("own_judgement.at", "noon", "record.own_judgement.at"),
        ("own_judgement.at", "2026-06-01T12:00:00", "record.own_judgement.at"),
        ("decision.format", "opsrisk.decision/9", "record.decision.format"),
        ("decision.decision", "go", "record.decision.decision"),
        ("decision.score", 101, "record.decision.score"),
        ("decision.score", "12", "record.decision.score"),
        ("decision.stops", {}, "record.decision.stops"),
        ("decision.stops", [1], "record.decision.stops"),
        ("decision.protocol", "baseline", "record.decision.protocol.digest"),
        ("decision.valid_until", None, "record.decision.valid_until"),
        ("controls_ticked", {}, "record.controls_ticked"),
        ("controls_ticked", [{"id": "x"}], "record.controls_ticked[0].ticked"),
        ("chosen.decision", "go", "record.chosen.decision"),
        ("chosen.second_person", "me", "record.chosen.second_person"),
        ("chosen.reason", "x" * 4001, "record.chosen.reason"),
        ("made_at", "2026-13-01T00:00:00Z", "record.made_at"),
        ("device.id", REMOVED, "record.device.id"),
        ("device.offset_s", None, "record.device.offset_s"),
        ("brief", "text", "record.brief"),
    ],
)
def test_a_wrong_field_is_named(crew, path, value, field):
    """With what was given and what is accepted."""
    made = changed(record(crew), path, value)
    with pytest.raises(Refused) as refused:
        send(crew, body(made, sign(made, crew.supervisor)))
    assert field in [error[0] for error in refused.value.errors]
    assert all(accepted for _, _, accepted in refused.value.errors)
    assert not Assessment.objects.exists()
    assert not Operation.objects.exists()


@pytest.mark.parametrize(
    "path, value, field",
    [
        ("person", "7", "signatures[0].person"),
        ("name", "", "signatures[0].name"),
        ("meaning", "liked", "signatures[0].meaning"),
        ("at", "yesterday", "signatures[0].at"),
        ("record", "ff", "signatures[0].record"),
        ("algorithm", "RSA", "signatures[0].algorithm"),
        ("public_key", REMOVED, "signatures[0].public_key"),
        ("public_key", "AAAA", "signatures[0].public_key"),
        ("extra", "1", "signatures[0].extra"),
    ],
)
def test_a_wrong_field_of_a_signature_is_named(crew, path, value, field):
    """By its place in the list."""
    made = record(crew)
    with pytest.raises(Refused) as refused:
        send(crew, body(made, changed(sign(made, crew.supervisor), path, value)))
    assert field in [error[0] for error in refused.value.errors]


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"null",
        b"[]",
        b"{}",
        b'{"record": {}, "signatures": []}',
        b'{"record": {}, "record": {}, "signatures": []}',
        b'{"record": {"depth": 1.5}, "signatures": []}',
        b'{"record": {"depth": NaN}, "signatures": []}',
        b'{"record": {"depth": 1e400}, "signatures": []}',
        b'{"record": {"n": 9007199254740993}, "signatures": []}',
        b'{"record": {"a": "\\ud800"}, "signatures": []}',
        b"\xff\xfe",
        b"[" * 5_000,
        b'{"a":' * 19_000,
        b"{" * 1_000_000,
        b" " * (1024 * 1024 + 1),
    ],
)
def test_what_is_no_record_at_all_is_refused(content):
    """Broken, bottomless, oversized or ambiguous JSON included."""
    with pytest.raises(Refused):
        read_body(content)


def test_more_signatures_than_a_crew_can_give_are_refused(crew):
    """Sixty is the limit."""
    made = record(crew)
    with pytest.raises(Refused, match="signatures: given '61'"):
        read_body(body(made, *[sign(made, crew.supervisor)] * 61))


JUNK = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=8,
)
PATHS = sorted(
    f"{name}.{inner}" if inner else name
    for name, value in {"record": ["id", "operation", "situation", "decision", "chosen", "device", "brief", ""]}.items()
    for inner in value
)


@settings(max_examples=300, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(path=st.sampled_from([*PATHS, "signatures", "signatures.0"]), junk=JUNK)
def test_junk_anywhere_is_refused_and_never_an_error(crew, path, junk):
    """The reader raises Refused or reads what is as good as before; nothing else."""
    made = record(crew)
    document = changed({"record": made, "signatures": [sign(made, crew.supervisor)]}, path, junk)
    try:
        content = canonical(document)
    except ValueError:
        content = json.dumps(document).encode()
    try:
        read, _ = read_body(content)
    except Refused as refused:
        assert refused.errors
    else:
        assert read.document == document["record"]


def test_a_refusal_repeats_at_most_a_little_of_what_was_given(crew):
    """A message is for reading."""
    made = changed(record(crew), "operation.title", "x" * 10_000)
    with pytest.raises(Refused) as refused:
        send(crew, body(made, sign(made, crew.supervisor)))
    assert all(len(given) <= 200 for _, given, _ in refused.value.errors)


def test_the_unknown_is_welcome(crew):
    """A record in which nothing is known is stored, as a hold."""
    bare = {"format": "opsrisk.situation/1", "assessed_at": situation()["assessed_at"]}
    made = record(crew, bare)
    assert send(crew, body(made, sign(made, crew.supervisor))).status == 201
    stored = Assessment.objects.get()
    assert (stored.decision, stored.operation.kind) == ("hold", "unknown")
