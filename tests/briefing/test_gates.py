"""Every gate of every sheet holds; the report is made of the same functions."""

import re

import pytest

from tests.briefing import gates, printed

SKELETON = "parts of the briefing's skeleton missing"
EVERY = [(kind, paper) for kind in (*printed.KINDS, printed.BRIEFED) for paper in printed.PAPERS]


@pytest.mark.parametrize("made", EVERY, ids="-".join)
def test_every_gate_holds(made):
    """Size, leading, contrast, gaps, pages, page one and content, each with the number found."""
    found = gates.gates(*made)
    # A record in which almost nothing was entered names no task and nobody who could brief back.
    excused = {SKELETON} if made[0] == "bare" else set()
    assert not [gate for gate in found if not gate.holds and gate.what not in excused]
    assert {gate.number for gate in found} >= {f"B{n}" for n in (1, 2, 3, 4, 5, 6, 7, 8, 10, 11, 12, 13, 17)}


@pytest.mark.parametrize("paper", printed.PAPERS)
@pytest.mark.parametrize("kind", ["usual", "usual, Spanish", printed.BRIEFED])
def test_page_one_has_a_line_for_the_incident_commander(kind, paper):
    """Open at the press, page one alone has where to write name and time, whole and not cut."""
    text = printed.flat(printed.pages(kind, paper)[0]["text"])
    say = printed.tongue(kind).say
    line = re.compile(rf"\d {say('Incident commander')}\. {say('OPEN. Name, time')}: _{{20}}")
    assert line.search(text), text


def test_a_gate_can_fail(monkeypatch):
    """A sheet with text of 8 pt, or with a block of ten, is told."""
    small = [char | {"size": 8.0} for char in gates.chars("usual", "a4")]
    monkeypatch.setattr(gates, "chars", lambda *_: small)
    failed = {gate.what for gate in gates.gates("usual", "a4") if not gate.holds}
    assert {"smallest character", "share of characters of 11 pt or more"} <= failed
