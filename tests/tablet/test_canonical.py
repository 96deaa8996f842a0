"""One record, one digest: JavaScript and Python agree on every byte."""

import random

import pytest
import rfc8785

from opsrisk.assessment.record import canonical, digest

pytestmark = [pytest.mark.browser, pytest.mark.in_the_page]

MANY = """async (records) => {
  const { canonical, digest } = await import("/tablet/canonical.js");
  return Promise.all(records.map(async (record) => [canonical(record), await digest(record)]));
}"""
ALPHABET = [*"abcXYZ 0189", '"', "\\", "/", "\n", "\r", "\t", "\b", "\f", "\x00", "\x1f", "\x7f", "é", "ß", "€", "\u2028", "דּ", "\ufb33", "😂", "𐐷", "\uffff"]  # fmt: skip


def text(rng):
    return "".join(rng.choice(ALPHABET) for _ in range(rng.randrange(8)))


def value(rng, depth):
    kind = rng.randrange(8 if depth else 5)
    if kind == 0:
        return text(rng)
    if kind == 1:
        return rng.choice([None, True, False])
    if kind == 2:
        return rng.choice([0, 1, -1, rng.randrange(-(2**53) + 1, 2**53), 2**53 - 1])
    if kind in (3, 4):
        return f"{rng.randrange(10**6)}.{rng.randrange(100):02d}"
    if kind == 5:
        return [value(rng, depth - 1) for _ in range(rng.randrange(4))]
    return {text(rng): value(rng, depth - 1) for _ in range(rng.randrange(5))}


def test_ten_thousand_random_records_have_one_digest(bare_page):
    """Text of every awkward kind, whole numbers to the edge, nested: the same bytes and the same SHA-256."""
    rng = random.Random(8785)
    records = [{"record": value(rng, 3)} for _ in range(10_000)]
    for start in range(0, len(records), 2_000):
        part = records[start : start + 2_000]
        for record, (said, summed) in zip(part, bare_page.evaluate(MANY, part), strict=True):
            assert said.encode() == canonical(record) == rfc8785.dumps(record)
            assert summed == digest(record)


def test_names_are_ordered_by_utf16_units(module):
    """The standard's own example: not by code point, not by any language."""
    record = {
        "\u20ac": "Euro",
        "\r": "Return",
        "\ufb33": "Dagesh",
        "1": "One",
        "\U0001f600": "Smile",
        "\x80": "Control",
        "\xf6": "o",
    }
    assert list(rfc8785.dumps(record).decode()) == list(module("canonical.js", "canonical", record))


@pytest.mark.parametrize("given", [0.5, 1e21, -1.5, 2**53, float("nan"), float("inf")])
def test_a_number_with_a_fraction_is_refused(module, given):
    """A quantity is a decimal string; a binary fraction could be written in two ways."""
    with pytest.raises(Exception, match="a record takes text"):
        module("canonical.js", "canonical", {"depth": given})


def test_half_a_character_is_refused(bare_page):
    """A lone surrogate has no bytes."""
    script = """async () => { const { canonical } = await import("/tablet/canonical.js");
      try { return canonical({ a: "\\ud800" }); } catch (error) { return error.message; } }"""
    assert "half a character" in bare_page.evaluate(script)
