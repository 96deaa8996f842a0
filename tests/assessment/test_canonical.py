"""Canonical JSON (RFC 8785) and its digest: the same bytes as another program makes, and nothing lost on the way."""

import json
import math
from random import Random

import pytest
import rfc8785

from opsrisk.assessment.assess import assess
from opsrisk.assessment.record import LARGEST_INTEGER, NotCanonical, canonical, digest
from opsrisk.assessment.situation import read_situation
from opsrisk.protocols.shipped import baseline
from tests.random_situations import random_document
from tests.situations import document, situation

# Letters that sort differently by code point and by UTF-16 unit, look like others, or have to be escaped.
LETTERS = 'aZ0_ é\u0301ß\u20ac\ue000\uffff\U0001f600\U00010000\u2028\u00a0"\\/\b\f\n\r\t\x00\x1f\x7f\u0080דּö'


def text(chance):
    return "".join(chance.choice(LETTERS) for _ in range(chance.randrange(0, 8)))


def anything(chance, depth=3):
    """A random document of everything that canonical JSON here may hold."""
    kind = chance.randrange(7 if depth else 5)
    if kind == 0:
        return chance.choice([None, True, False])
    if kind == 1:
        return chance.randrange(-LARGEST_INTEGER, LARGEST_INTEGER + 1)
    if kind in (2, 3):
        return text(chance)
    if kind == 4:
        return chance.choice([0, 1, -1, LARGEST_INTEGER, -LARGEST_INTEGER])
    if kind == 5:
        return [anything(chance, depth - 1) for _ in range(chance.randrange(0, 4))]
    return {text(chance): anything(chance, depth - 1) for _ in range(chance.randrange(0, 6))}


def test_ten_thousand_random_documents_have_the_bytes_of_another_program():
    """Against the PyPI package rfc8785, keys of all planes of Unicode included."""
    chance = Random(71)
    for _ in range(10_000):
        made = anything(chance)
        assert canonical(made) == rfc8785.dumps(made)


def test_keys_are_ordered_by_utf_16_units():
    """An emoji's first unit is lower than U+FB33: by code points it would come last."""
    assert canonical({"\ufb33": 1, "\U0001f600": 2}) == '{"\U0001f600":2,"\ufb33":1}'.encode()


def test_decisions_and_situations_are_canonical_and_survive():
    """What is signed can be written, read and written again without a change."""
    chance = Random(72)
    for _ in range(40):
        made = read_situation(json.dumps(random_document(chance)))
        for each in (made.document, assess(made, baseline())):
            assert canonical(json.loads(canonical(each))) == canonical(each) == rfc8785.dumps(each)


@pytest.mark.parametrize(
    "wrong", [0.5, math.nan, math.inf, LARGEST_INTEGER + 1, -LARGEST_INTEGER - 1, b"x", {1}, {1: "a"}]
)
def test_what_has_no_certain_form_is_refused_with_its_place(wrong):
    """A float, a larger whole number, bytes, a set, a key that is no text."""
    with pytest.raises(NotCanonical, match=r"document\.a"):
        canonical({"a": [wrong]})


@pytest.mark.parametrize("wrong", ["\ud800", "a\udfff", {"\ud83d": 1}, {"a": {"b": ["\udc00\ud800"]}}])
def test_half_a_letter_is_refused(wrong):
    """An unpaired surrogate is no text, neither as a value nor as a name."""
    with pytest.raises(NotCanonical, match="surrogate"):
        canonical(wrong)


def test_truth_is_no_number():
    """true stays true: a reader that takes 1 for it would sign something else."""
    assert canonical([True, 1, False, 0]) == b"[true,1,false,0]"


def numbers(value):
    """Every number in a document that is no whole number, truth apart."""
    if isinstance(value, dict):
        return [found for item in value.values() for found in numbers(item)]
    if isinstance(value, list):
        return [found for item in value for found in numbers(item)]
    return [value] if isinstance(value, float) else []


def test_quantities_stay_decimal_strings():
    """No float is in a situation that was read, nor in a decision."""
    chance = Random(73)
    for _ in range(40):
        made = read_situation(json.dumps(random_document(chance)))
        assert not numbers(made.document)
        assert not numbers(assess(made, baseline()))


def with_current(literal):
    made = json.dumps(document()).replace('"value": "0.1", "unit": "kn"', f'"value": {literal}, "unit": "kn"')
    assert f": {literal}, " in made
    return read_situation(made)


@pytest.mark.parametrize("typed", ["0.8", "0.80", "1", "1.0", "-0", "0.300000000000"])
def test_a_number_and_the_same_decimal_string_are_the_same_document(typed):
    """0.8 and "0.8" have one digest, and so has the decision on them."""
    bare, quoted = with_current(typed), with_current(f'"{typed}"')

    assert digest(bare.document) == digest(quoted.document)
    assert assess(bare, baseline()) == assess(quoted, baseline())


def test_what_was_typed_is_kept():
    """0.80 keeps its zero: it says how closely somebody read the meter. The decision is that of 0.8."""
    short, long = with_current("0.8"), with_current("0.80")

    assert long.at("readings.current.value") == "0.80"
    assert digest(short.document) != digest(long.document)
    assert assess(short, baseline())["score"] == assess(long, baseline())["score"]


def test_exponents_are_written_out():
    """1e-1 is read as 0.1."""
    assert with_current("1e-1").at("readings.current.value") == "0.1"
    assert with_current("1E0").at("readings.current.value") == "1"


def test_what_was_read_can_be_read_again():
    """A server reads the document that a tablet read, signed and sent: the same document comes out."""
    chance = Random(74)
    for _ in range(300):
        made = read_situation(json.dumps(random_document(chance, known=0.8)))
        assert read_situation(canonical(made.document)).document == made.document


def test_an_unknown_reading_keeps_its_unit():
    """Otherwise the document that was signed would be refused on receipt."""
    unknown = {"value": "unknown", "unit": "ft", "at": "2026-06-12T09:50:00+00:00"}
    made = document()
    made["readings"]["depth"] = unknown

    assert read_situation(json.dumps(made)).at("readings.depth") == unknown


@pytest.mark.parametrize("path", ["digest", "decision", "score", "margins", "valid_until", "protocol"])
def test_the_decisions_digest_covers_the_whole_answer(path):
    """Situation, protocol and everything in the answer but the digest itself."""
    made = situation()
    answer = assess(made, baseline())
    stated = answer.pop("digest")

    def again(answer):
        return digest({"situation": made.document, "protocol": answer["protocol"], "answer": answer})

    assert again(answer) == stated
    changed = answer | {path: "changed"} if path != "protocol" else answer | {"protocol": {"id": "other"}}
    assert again(changed) != stated
