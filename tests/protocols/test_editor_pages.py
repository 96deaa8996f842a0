"""The editor: one form for each entry, for people who write no JSON."""

import json

import pytest

from opsrisk.protocols import actions
from opsrisk.protocols.forms import form_for
from opsrisk.protocols.models import ProtocolVersion
from opsrisk.protocols.places import Place, entry_at, places
from opsrisk.protocols.shipped import BASELINE
from tests.cast import NOON

GIVEN = json.loads(BASELINE.read_text())


@pytest.fixture
def version(cast):
    return actions.start_draft(
        agency=cast.agency, base=None, name="tarrow", version="1", title="Tarrow", by=cast.safety, at=NOON
    )


def address(version, place):
    return f"/protocols/{version.pk}/entries/{place}/"


def shown(browser, url):
    """The fields of the form as a browser would send them back."""
    return sent(browser.get(url).context)


def sent(context):
    form = context["form"]
    data = {field.html_name: field.value() for field in form if field.value() is not None}
    return data | {"seen": context["version"].digest}


def at(version, place):
    version.refresh_from_db()
    return entry_at(json.loads(version.document), place)


@pytest.mark.parametrize("place", list(places(GIVEN)), ids=str)
def test_saving_a_form_unchanged_changes_nothing(place):
    """Every entry of the baseline goes through its form and comes back as it was."""
    entry = entry_at(GIVEN, place)
    kind = form_for(place.section)
    form = kind(document=GIVEN, place=place, entry=entry)
    data = {field.html_name: "" if field.value() is None else field.value() for field in form}
    back = kind(data, document=GIVEN, place=place, entry=entry)
    assert not back.errors
    assert back.entry() == ({k: v for k, v in entry.items() if k != "id"} if isinstance(entry, dict) else entry)


def test_a_line_is_changed_with_its_source(cast, as_person, version):
    """From form to document; the page says that it was saved and is being proven."""
    place, browser = Place("lines", "rescue"), as_person(cast.safety)
    url = address(version, place)
    new = {
        "value": "60",
        "source_kind": "published",
        "source_document": "A guide",
        "source_where": "p. 4",
        "source_status": "read",
    }
    answer = browser.post(url, shown(browser, url) | new, follow=True)
    assert b"Saved: Rescue, up to." in answer.content and b"Being proven" in answer.content
    assert at(version, place)["source"] == {
        "kind": "published", "document": "A guide", "where": "p. 4", "status": "read", "note": GIVEN["lines"]["rescue"]["source"]["note"],
    }  # fmt: skip


def test_a_limit_within_a_condition_is_changed(cast, as_person, version):
    """The sentence around it stays."""
    place, browser = Place("combinations", "deep_and_cold"), as_person(cast.safety)
    url = address(version, place)
    fields = shown(browser, url)
    assert (fields["against_0"], fields["unit_0"], fields["against_1"]) == ("60", "ft", "10")
    browser.post(url, fields | {"against_0": "20", "unit_0": "m"})
    when = at(version, place)["when"]["all"]
    assert when[0] == {"input": "readings.depth", "worse_than": "20", "unit": "m"}
    assert when[1] == GIVEN["combinations"][2]["when"]["all"][1]


def test_bands_take_further_breakpoints(cast, as_person, version):
    """The empty rows of the form; left empty they are left out."""
    place, browser = Place("factors", "depth"), as_person(cast.safety)
    url = address(version, place)
    browser.post(url, shown(browser, url) | {"value_5": "190", "points_5": "30"})
    assert at(version, place)["points"] == [*GIVEN["factors"][2]["points"], ["190", "30"]]


@pytest.mark.parametrize(
    "given",
    [
        (Place("lines", "rescue"), {"value": "6O"}, "value", "a whole number as a string"),
        (Place("lines", "rescue"), {"value": "30"}, None, "divers &lt;= nobody_to_save &lt;= rescue"),
        (Place("factors", "depth"), {"value_1": "1"}, "points_0", "values from harmless to worst"),
        (Place("factors", "depth"), {"points_1": "x"}, "points_0", "a whole number"),
        (Place("combinations", "deep_and_cold"), {"against_0": "1.2.3"}, "against_0", "a decimal string"),
        (Place("combinations", "deep_and_cold"), {"points": ""}, "points", "a whole number as a string"),
        (Place("rules", "no_supervisor"), {"text": " "}, "text", "words"),
        (Place("rules", "no_supervisor"), {"source_document": ""}, "source_document", "words"),
        (Place("inputs", "readings.depth"), {"lowest": "50", "highest": "60"}, "lowest", "higher end included"),
        (Place("inputs", "readings.depth"), {"assume": "50"}, "assume", "together with the"),
        (Place("inputs", "readings.depth"), {"valid_minutes": "0"}, "valid_minutes", "more than none"),
        (Place("inputs", "readings.depth"), {"spread_measured_relative": "-1"}, "spread_measured_relative", "not negative"),
        (Place("settings", "gas_rate"), {"value": "-1"}, "value", "more than nothing"),
        (Place("heading", "title"), {"words": ""}, "words", "words"),
        (Place("heading", "effective_from"), {"words": "next spring"}, "words", "a date as in"),
        (Place("not_assessed", "list"), {"source_kind": "x", "words": "One\n\nTwo"}, "", ""),
    ],
)  # fmt: skip
def test_a_refusal_stands_beside_its_field_and_keeps_what_was_typed(cast, as_person, version, given):
    """Nothing is saved, nothing is lost."""
    place, typed, field, message = given
    browser, url = as_person(cast.safety), address(version, place)
    answer = browser.post(url, shown(browser, url) | typed)
    if field == "":
        assert (answer.status_code, at(version, place)) == (302, ["One", "Two"])
        return
    assert answer.status_code == 422
    form, text = answer.context["form"], answer.content.decode()
    where = form.errors.get(field or "__all__", [])
    assert where and message.replace("&lt;", "<") in " ".join(where), form.errors
    assert message in text.replace("&#x27;", "'")
    assert all(form.data[name] == value for name, value in typed.items())
    assert ProtocolVersion.objects.get().digest == version.digest


def test_the_shape_of_a_condition_is_changed_without_losing_what_was_typed(cast, as_person, version):
    """'and' puts a reading beside a line; only 'save' saves."""
    place, browser = Place("rules", "contamination"), as_person(cast.safety)
    place = next(Place("rules", each["id"]) for each in GIVEN["rules"] if each["when"].get("input") == "readings.depth")
    url = address(version, place)
    fields = shown(browser, url) | {
        "text": "Deep and murky",
        "against_": "90",
        "act": "and:",
        "reading": "readings.visibility",
    }
    answer = browser.post(url, fields)
    assert at(version, place)["text"] != "Deep and murky"
    again = sent(answer.context)
    assert (again["text"], again["against_0"], again["against_1"]) == ("Deep and murky", "90", "")
    browser.post(url, again | {"against_1": "5"})
    assert at(version, place)["when"] == {
        "all": [
            {"input": "readings.depth", "worse_than": "90", "unit": "ft"},
            {"input": "readings.visibility", "worse_than": "5", "unit": "ft"},
        ]
    }


@pytest.mark.parametrize("act", ["drop:9", "spin:", "and:0-0", "turn:", "negate:x"])
def test_a_part_that_is_not_there_is_not_rearranged(cast, as_person, version, act):
    """Nothing happens by accident."""
    browser, url = as_person(cast.safety), address(version, Place("rules", "lightning"))
    assert browser.post(url, shown(browser, url) | {"act": act, "reading": "readings.depth"}).status_code == 404


@pytest.mark.parametrize(
    "tree", ["", "[]", "{", '{"all": 3}', '{"input": "readings.luck", "is": "bad"}', '{"input": "x"}', "null"]
)
def test_a_condition_that_came_back_broken_is_replaced_by_the_stored_one(cast, as_person, version, tree):
    """The hidden field is no way in."""
    place, browser = Place("rules", "lightning"), as_person(cast.safety)
    url = address(version, place)
    before = at(version, place)
    browser.post(url, shown(browser, url) | {"tree": tree})
    assert at(version, place) == before


def test_a_new_rule_is_added_and_removed_by_page(cast, as_person, version):
    """On a reading that was chosen; its name is proposed."""
    browser = as_person(cast.safety)
    url = f"/protocols/{version.pk}/new/rules/?input=readings.wind_speed"
    fields = shown(browser, url)
    typed = {"id": "windy", "text": "Too windy", "effect": "stop_divers", "against_": "40", "source_kind": "practice"}
    assert browser.post(url, fields | typed).status_code == 302
    place = Place("rules", "windy")
    assert at(version, place)["when"] == {"input": "readings.wind_speed", "worse_than": "40", "unit": "kn"}
    taken = browser.post(url, shown(browser, url) | typed)
    assert (taken.status_code, b"no other entry" in taken.content) == (422, True)
    browser.post(address(version, place), shown(browser, address(version, place)) | {"act": "remove"})
    assert at(version, place) is None


@pytest.mark.parametrize(
    "given",
    [
        ("factors", "support.chamber_minutes", {"value_0": "30", "points_0": "0", "value_1": "60", "points_1": "4"}),
        ("factors", "dive.voice", {"points_0": "0", "points_1": "3"}),
        ("combinations", "dive.voice", {"text": "No voice", "points": "4"}),
        ("controls", "dive.voice", {"text": "Agree on line pulls", "owner": "diver_tender", "serves": "divers"}),
        ("notes", "dive.voice", {"text": "No voice link", "flag": "no_voice"}),
    ],
)
def test_every_open_section_takes_a_new_entry(cast, as_person, version, given):
    """Each with the fields that it needs."""
    section, reading, more = given
    browser, url = as_person(cast.safety), f"/protocols/{version.pk}/new/{section}/?input={reading}"
    assert browser.post(url, shown(browser, url) | more | {"id": "ours"}).status_code == 302
    assert at(version, Place(section, "ours")) is not None


def test_a_waiver_is_entered_with_its_reason_and_used(cast, as_person, version):
    """Then shown on the page of the version."""
    browser = as_person(cast.safety)
    url = f"/protocols/{version.pk}/new/waivers/"
    assert browser.post(url, shown(browser, url) | {"id": "wind_unknown", "words": ""}).status_code == 422
    browser.post(
        url, shown(browser, url) | {"id": "wind_unknown", "words": "No gauge at the quarry; it lies in a hollow."}
    )
    reading = address(version, Place("inputs", "readings.wind_speed"))
    browser.post(reading, shown(browser, reading) | {"assume": "10", "waiver": "wind_unknown"})
    assert at(version, Place("inputs", "readings.wind_speed"))["waiver"] == "wind_unknown"
    page = browser.get(f"/protocols/{version.pk}/").content.decode()
    assert "it lies in a hollow" in page and "wind unknown" in page


@pytest.mark.parametrize(
    "url",
    [
        "new/lines/",
        "new/rules/",
        "new/rules/?input=luck",
        "new/factors/?input=task.gain",
        "entries/rules/none/",
        "entries/luck/x/",
        "entries/heading/id/",
    ],
)
def test_what_cannot_be_edited_has_no_page(cast, as_person, version, url):
    """Closed sections, unknown readings and entries that are not there."""
    assert as_person(cast.safety).get(f"/protocols/{version.pk}/{url}").status_code == 404


def test_an_edit_in_an_old_window_is_refused_and_kept(cast, as_person, version):
    """The draft has changed since: 409, with what was typed."""
    browser, url = as_person(cast.safety), address(version, Place("lines", "rescue"))
    old = shown(browser, url)
    browser.post(url, old | {"value": "60"})
    answer = browser.post(url, old | {"value": "55"})
    assert (answer.status_code, answer.context["form"].data["value"]) == (409, "55")
    assert b"look again" in answer.content


@pytest.mark.parametrize("who, status", [("chief", 422), ("supervisor", 403), ("diver", 403), ("neighbour_chief", 404)])
def test_others_edit_nothing(cast, as_person, version, who, status):
    """A colleague who may draft reads why not; the rest may not, and strangers find nothing."""
    url = address(version, Place("lines", "rescue"))
    fields = shown(as_person(cast.safety), url)
    assert as_person(cast.people[who]).post(url, fields | {"value": "60"}).status_code == status
    assert at(version, Place("lines", "rescue"))["value"] == "65"


def test_the_page_of_a_draft_offers_changes_to_its_author_alone(cast, as_person, version):
    """An adopted version offers none to anybody."""
    change = b"/entries/lines/rescue/"
    assert change in as_person(cast.safety).get(f"/protocols/{version.pk}/").content
    assert change not in as_person(cast.chief).get(f"/protocols/{version.pk}/").content
