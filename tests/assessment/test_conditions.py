"""Readings since the assessment: the newest of each kind decides, and each has a time at which it is too old."""

from datetime import datetime, timedelta

import pytest

from opsrisk.assessment.conditions import conditions, is_recall
from opsrisk.assessment.situation import SituationRefused
from opsrisk.engine.inputs import DECISIONS
from opsrisk.protocols.shipped import baseline
from tests.operations.sending import ASSESSED, CALM

NOW = (ASSESSED + timedelta(minutes=10)).isoformat()


def line(value, minutes=9, name="current"):
    at = (ASSESSED + timedelta(minutes=minutes)).isoformat()
    return {"field": f"readings.{name}", "reading": {"value": value, "unit": "kn", "how": "measured", "at": at}}


def decided(*lines):
    return conditions(CALM, lines, baseline(), NOW)["decision"]["decision"]


def test_a_worse_reading_changes_the_decision():
    """Two knots more: that is a recall from what people work by; the same water is none."""
    assert is_recall(decided(), decided(line("3")))
    assert not is_recall(decided(), decided(line("0")))


def test_the_later_line_counts_whatever_its_clock_says():
    """A tablet whose clock is behind wrote last: its line is the newest."""
    assert decided(line("3", minutes=9), line("0", minutes=2)) == decided(line("0", minutes=2))


def test_the_signed_situation_is_left_as_it_was():
    """Only a copy is changed."""
    before = CALM["readings"]["current"].copy()
    conditions(CALM, [line("3")], baseline(), NOW)
    assert CALM["readings"]["current"] == before


def test_each_reading_is_due_in_the_order_of_its_end():
    """The protocol's minutes for that reading after it was taken, or its re-check interval."""
    due = conditions(CALM, [line("1")], baseline(), NOW)["due"]
    assert [row["until"] for row in due] == sorted(row["until"] for row in due)
    current = next(row for row in due if row["field"] == "readings.current")
    rules = baseline()
    minutes = rules.inputs["readings.current"].valid_minutes or rules.recheck_minutes
    gone = datetime.fromisoformat(current["until"]) - datetime.fromisoformat(current["taken"])
    assert gone == timedelta(minutes=minutes)
    assert current["shown"] == "1 kn"


def test_a_line_that_is_no_reading_is_refused():
    """By field, as everywhere."""
    with pytest.raises(SituationRefused, match=r"readings\.current"):
        conditions(CALM, [{"field": "readings.current", "reading": {"value": "much", "unit": "kn"}}], baseline(), NOW)


@pytest.mark.parametrize("place", range(1, len(DECISIONS)))
def test_only_more_caution_is_a_recall(place):
    """Never the way back: that takes a new assessment."""
    assert is_recall(DECISIONS[place - 1], DECISIONS[place])
    assert not is_recall(DECISIONS[place], DECISIONS[place - 1])
