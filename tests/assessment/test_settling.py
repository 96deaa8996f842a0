"""The reading that would settle an answer comes with how good a measurement would do."""

import re

import pytest

from opsrisk.assessment.assess import assess
from opsrisk.assessment.settling import good_enough
from opsrisk.protocols.shipped import baseline
from tests.situations import NOW, situation

BOTH = {"worse": {"value": "1.5"}, "better": {"value": "0.5"}}


def decision(settle_by="readings.current", now="0.8 kn", unit="kn", **margin):
    entry = {"input": settle_by, "now": now, "unit": unit, **margin}
    return {"settle_by": settle_by, "margins": [entry]}


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (decision(**BOTH), "surely between 0.5 and 1.5 kn"),
        (decision(worse={"value": "1.5"}), "surely under 1.5 kn"),
        (decision(better={"value": "0.5"}), "surely over 0.5 kn"),
        (decision("readings.visibility", "4 ft", "ft", worse={"value": "3"}), "surely over 3 ft"),
        (decision("readings.visibility", "4 ft", "ft", worse={"value": "3"}, better={"value": "5"}), "surely between 3 and 5 ft"),
    ],
)  # fmt: skip
def test_between_where_the_answer_changes(given, said):
    """The range holds the value as it was taken, whichever way the reading gets worse."""
    assert good_enough(given) == said


@pytest.mark.parametrize(
    "given",
    [
        {"settle_by": None, "margins": []},
        {},
        decision(),
        decision(now="not known", **BOTH),
        decision("hazards.entanglement", "none", "", worse={"value": "moderate"}),
        decision(worse={"value": "moderate"}),
    ],
)
def test_nothing_is_said_where_nothing_can_be(given):
    """Settled, never taken, a category, or no margin."""
    assert good_enough(given) == ""


def current(low, value, high):
    """An easy quarry with a current of `value` kn that may be `low` to `high`."""
    taken = {"value": value, "low": low, "high": high, "unit": "kn", "how": "measured", "at": NOW.isoformat()}
    return assess(situation(**{"readings.current": taken}), baseline())


def test_a_measurement_that_good_settles_the_answer():
    """Bounds within what is said settle the same situation; wider ones do not."""
    wide = current("0.2", "1.2", "2.2")
    assert (wide["settled"], wide["settle_by"]) == (False, "readings.current")
    said = good_enough(wide)
    low, high = re.fullmatch(r"surely between (\S+) and (\S+) kn", said).groups()
    assert 0.2 < float(low) < 1.2 < float(high) < 2.2

    inside = (f"{float(low) + 0.01:.2f}", "1.2", f"{float(high) - 0.01:.2f}")
    assert current(*inside)["settled"] is True
    assert current(low=f"{float(low) - 0.1:.2f}", value="1.2", high=inside[2])["settled"] is False
    assert current(low=inside[0], value="1.2", high=f"{float(high) + 0.1:.2f}")["settled"] is False
