"""What stands on a sheet, before it is paper: judgement and override, people, controls, unknowns, names and times."""

import copy
import json
import re

import pytest
from django.template.loader import render_to_string

from opsrisk.assessment.language import as_written
from opsrisk.assessment.words import Clock, number, short_code
from opsrisk.briefing.sheet.blocks import as_json
from opsrisk.briefing.sheet.given import Given
from tests.briefing import records
from tests.briefing.test_pencil import composed, text_of


def block(sheet, key):
    return next(block for block in (*sheet.front, *sheet.back) if block.key == key)


def said(sheet, key):
    return " | ".join(f"{row.label}: {row.value} {row.note}".strip() for row in block(sheet, key).rows)


def test_the_band_says_what_until_when_and_why():
    """Decision, time, reason for the time, score and certainty."""
    verdict = composed(records.record()).verdict
    assert (verdict.decision, verdict.word) == ("vehicle_first", "Vehicle first")
    assert verdict.until == "25 Nov 2026 14:28"
    assert verdict.because == "Current at the work depth: take the reading again"
    assert verdict.score == "Score 65 of 100, diver exposure"
    assert verdict.certainty.startswith("Settled")


def test_own_judgement_stands_beside_the_computed_one():
    """Both are printed, with the time of the own one, and whether they differ."""
    text = said(composed(records.record()), "judgement")
    assert "Own, before the answer was shown: Divers with controls 14:02" in text
    assert "Computed: Vehicle first they differ" in text


def test_less_caution_is_printed_with_reason_and_second_person():
    """The band shows what was chosen; the override says that it is less careful, why, and who agreed."""
    record = records.record()
    record["chosen"] = {"decision": "divers", "reason": "The vehicle's light failed", "second_person": "p4"}
    sheet = composed(record)
    assert sheet.verdict.decision == "divers"
    assert sheet.verdict.overridden
    assert said(sheet, "override") == (
        "Chosen, less careful than computed: Divers may enter: no configured limit exceeded | "
        "Second person: S. Hazel | Reason: The vehicle's light failed"
    )
    assert "Computed: Vehicle first" in said(sheet, "judgement")


def test_more_caution_needs_no_second_person():
    """Choosing to hold is printed as more careful."""
    record = records.record()
    record["chosen"] = {"decision": "hold", "reason": "", "second_person": None}
    text = said(composed(record), "override")
    assert "Chosen, more careful than computed: Hold" in text
    assert "Second person" not in text


def test_nothing_chosen_otherwise_prints_no_override():
    """The block is only there when it says something."""
    assert "override" not in {b.key for b in composed(records.record()).front}


def test_every_stop_and_trigger_carries_reading_limit_and_source():
    """Observed value, limit and source of each rule that fired."""
    record = records.record()
    sheet = composed(record)
    text = said(sheet, "why")
    for item in record["decision"]["triggers"]:
        assert item["text"] in text
        assert item["reading"] in text
        assert f"limit {item['limit']}" in text
        assert item["source"] in text


def test_a_position_that_is_not_ready_says_so():
    """A name with a fault beside it; an empty position is 'not filled'."""
    record = records.record()
    of = copy.deepcopy(record["situation"])
    of["positions"]["standby_diver"] |= {"ready": "no", "sole_duty": "unknown"}
    of["positions"]["medic"] = {"filled": "no"}
    text = said(composed(records.record(of)), "people")
    assert "Standby diver: M. Cedar not ready, has another duty" in text
    assert "Medic: not filled" in text


def test_a_hold_puts_nobody_in_the_water():
    """Where no diver enters the sheet says so, and calls nobody 'in the water'."""
    sheet = composed(records.bare())
    assert block(sheet, "people").title == "Positions: nobody enters"
    assert "in the water" not in said(sheet, "people")


def test_controls_have_owner_box_and_time():
    """Ticked with the time, or open; each with its owner."""
    sheet = composed(records.record())
    rows = block(sheet, "controls").rows
    assert rows[0].mark == "ticked"
    assert rows[0].note == "Diver's tender, done 14:06"
    behind = block(sheet, "controls-more").rows
    assert behind[-1].mark == "open"
    assert behind[-1].note.endswith("not ticked when signed")


def test_signatures_print_name_role_meaning_and_time():
    """Whoever decided comes first; date and time are whole."""
    signatures = [records.signature(1, "briefed", role="member"), records.signature(0, "decided")]
    text = said(composed(records.record(), signatures), "signatures")
    assert text.startswith("Decided: R. Alder dive supervisor, 25 Nov 2026 14:09 | Briefed: J. Birch team member")


def test_an_unsigned_sheet_says_that_it_is_not_signed():
    """In large letters, on page one."""
    rows = block(composed(records.record()), "signatures").rows
    assert [(row.value, row.critical) for row in rows] == [("Not signed.", True)]


def test_the_emergency_plan_begins_with_the_teams_own_words():
    """Own lines first, then minutes to care and chamber, then what stands on every sheet."""
    values = [row.value for row in block(composed(records.record()), "emergency").rows]
    assert values[:3] == [
        "Ambulance to the slipway, gate code with control",
        "Helicopter field: cricket ground, 300 m east",
        "Care 25 min; chamber 90 min.",
    ]
    assert "Recall every diver. Count heads." in values


def test_what_nobody_wrote_down_is_asked_for():
    """A missing recall signal is not left blank."""
    assert "Recall: not written down: say it aloud now" in said(composed(records.bare()), "signals")


def test_unknowns_are_printed_as_assumed():
    """Each unknown with the worst value that was taken for it."""
    of = records.situation()
    of["hazards"]["contamination"] = "unknown"
    sheet = composed(records.record(of))
    assert "Contamination: Extreme not known" in said(sheet, "assumed")
    assert "Contamination: not known" in said(sheet, "answers-hazards")


def test_what_was_not_assessed_is_named():
    """The list is on every sheet and is not empty."""
    record = records.record()
    rows = block(composed(record), "not_assessed").rows
    assert len(rows) == len(record["decision"]["not_assessed"]) > 3


def test_the_protocol_is_named_by_version_and_digest():
    """Enough to find the exact limits years later."""
    record = records.record()
    text = said(composed(record), "made-with")
    for value in record["decision"]["protocol"].values():
        assert value in text
    assert "Digest of the record" in text


def test_names_are_found_in_record_roster_and_signatures():
    """The record's own name comes first, then the roster's, then the signature's, then the bare id."""
    record = records.record()
    people = record["situation"]["people"]
    del people[1]["name"], people[2]["name"], people[3]["name"]
    given = Given(record, "0" * 64, [{"person": "p2", "name": "By signature"}], {"p1": "By roster", "p0": "Not this"})
    assert [given.person(who) for who in ("p0", "p1", "p2", "p3", None)] == [
        as_written(name) for name in ("R. Alder", "By roster", "By signature", "p3", "")
    ]


def test_one_clock_for_the_whole_sheet():
    """Times given in any offset are printed in that of the assessment, which the head names."""
    clock = Clock.of("2026-11-25T14:05:00-05:00")
    assert clock.stamp("2026-11-25T19:09:00+00:00") == "25 Nov 2026 14:09"
    assert clock.short("2026-11-25T19:09:00Z") == "14:09"
    assert clock.short("2026-11-26T05:30:00+00:00") == "26 Nov 2026 00:30"
    assert clock.words == "All times 24-hour, UTC-05:00"
    assert clock.stamp("soon") == "soon"
    assert clock.stamp(None) == clock.stamp("") == "not known"


@pytest.mark.parametrize(
    ("given", "printed"), [("0.80", "0.8"), ("10", "10"), ("-0.0", "-0"), ("1e3", "1000"), ("x", "x"), ("NaN", "NaN")]
)
def test_numbers_lose_only_idle_zeros(given, printed):
    """No digit that says something is dropped, and nothing is rounded."""
    assert number(given) == printed


def test_the_code_is_the_beginning_of_the_digest():
    """Ten characters, 50 bits, none of them easily misread; another digest has another code."""
    assert short_code("0" * 64) == "0000000000"
    assert short_code("f" * 64) == "ZZZZZZZZZZ"
    assert short_code("8" + "0" * 63) == "G000000000"
    assert short_code("0" * 12 + "4" + "0" * 51) == "0000000001"
    assert not set("ILOU") & set(short_code("0123456789abcdef" * 4))


def test_the_same_record_makes_the_same_sheet():
    """No clock and no chance: the content is a function of what was signed."""
    assert composed(records.record(), records.signatures()) == composed(records.record(), records.signatures())


def test_the_content_is_plain_data():
    """Another program can print it: JSON and back."""
    data = as_json(composed(records.record()))
    assert json.loads(json.dumps(data))["verdict"]["word"] == "Vehicle first"


def test_no_sheet_promises_safety():
    """Nowhere a word that clears anything."""
    for record in (records.record(), records.record(records.calm_situation()), records.bare()):
        text = text_of(composed(record)).lower()
        assert not re.search(r"safe to dive|all clear|is safe|guarantee", text.replace("makes a dive safe", ""))


def test_markup_in_what_people_typed_is_printed_not_obeyed():
    """A title with tags in it is text."""
    record = records.record()
    record["operation"]["title"] = "<img src=x onerror=alert(1)> & co"
    record["brief"]["task"] = "<script>alert(1)</script>"
    html = render_to_string("briefing/parts/paper.html", {"sheet": composed(record)})
    assert "<script>" not in html
    assert "<img src=x" not in html


def test_photos_that_the_record_names_are_listed_with_their_digests():
    """Caption, time and SHA-256, so that another photo cannot be taken for it; no block where none is named."""
    record = records.record()
    assert not [one for one in composed(record).back if one.key == "photos"]
    record["photos"] = [{"id": "x", "sha256": "0123456789abcdef" * 4, "caption": "The gauge", "taken_at": records.AT}]
    (row,) = block(composed(record), "photos").rows
    assert row.cells == ("The gauge", "25 Nov 2026 14:05", " ".join(["01234567", "89abcdef"] * 4))
