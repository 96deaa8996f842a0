"""The desk shows a record in the questions' words, and nothing of it is lost on the way."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from opsrisk.operations.in_words import in_words
from tests.operations.sending import situation

ANSWER = {"best": "divers_with_controls", "worst": "hold", "settle_by": "readings.current", "margins": []}
NAMES = {"p-1": "Mara Quill"}


def told(**given: Any) -> dict[str, Any]:
    return in_words({"situation": situation(**given), "decision": ANSWER}, NAMES)


def texts(given: Any) -> Iterator[str]:
    if isinstance(given, dict):
        for inner in given.values():
            yield from texts(inner)
    elif isinstance(given, list | tuple):
        for inner in given:
            yield from texts(inner)
    else:
        yield str(given)


def test_numbers_stand_as_they_were_given():
    """A coordinate keeps its degrees."""
    shown = list(texts(told(site={"water": "fresh", "latitude": "41.02", "longitude": "-60.11"})["groups"]))
    assert "41.02" in shown
    assert "-60.11" in shown


def test_a_person_known_by_number_alone_is_named():
    """From the signatures or the roster; a name in the record comes first."""
    diver = {"filled": "yes", "person": "p-1", "qualified": "yes", "ready": "yes", "sole_duty": "unknown"}
    (row,) = told(positions={"diver": diver})["positions"]
    assert (row["label"], row["person"], row["states"]) == ("Diver", "Mara Quill", ["Yes", "Yes", "Yes", "not known"])
    people = [{"id": "p-1", "name": "M. Quill", "fit": "yes", "hours_awake": "6.0", "dives_24h": "0"}]
    (row,) = told(positions={"diver": diver}, people=people)["positions"]
    assert row["person"] == "M. Quill"


def test_a_reading_has_its_bounds_its_source_and_its_time():
    """On the clock of the assessment."""
    current = {
        "value": "0.80", "unit": "kn", "low": "0.6", "high": "1.0", "how": "measured", "by": "float over 50 m",
        "at": "2026-06-01T13:50:00+00:00",
    }  # fmt: skip
    (row,) = told(readings={"current": current})["readings"]
    assert row == {
        "label": "Current at the work depth",
        "value": "0.8 kn",
        "span": "0.6 to 1 kn",
        "how": "measured by float over 50 m",
        "at": "13:50",
    }


@pytest.mark.parametrize("name", ["aliens", "task"])
def test_a_group_of_a_later_version_is_shown_all_the_same(name):
    """Under its own name, answer by answer."""
    groups = told(**{name: {"some_answer": "some_value"}})["groups"]
    assert ("Some answer", "Some value") in [row for group in groups for row in group["rows"]]


def test_best_and_worst_are_words():
    """And so is the reading that would settle it."""
    shown = told()
    assert (shown["best"], shown["worst"], shown["settle_by"]) == (
        "Divers with controls", "Hold", "Current at the work depth"
    )  # fmt: skip
