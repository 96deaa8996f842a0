"""A void record stays readable and says so everywhere; a correction is a new revision with its reason."""

import json
from datetime import timedelta

import pytest
from django.urls import reverse

from opsrisk.agencies.permissions import NotAllowed
from opsrisk.agencies.refusals import Refused
from opsrisk.assessment.cautions import CAUTIONS
from opsrisk.assessment.words import short_code
from opsrisk.briefing.actions import issue_sheet
from opsrisk.briefing.content import given
from opsrisk.briefing.sheet.compose import compose
from opsrisk.briefing.status import status
from opsrisk.ledger.models import Entry
from opsrisk.operations.briefed import corrections_of, state_of, voids_of
from opsrisk.operations.feed import feed
from opsrisk.operations.models import Assessment
from opsrisk.operations.void_actions import AlreadyVoid, HasChanged, state, void_record
from opsrisk.review.listing import assessments
from tests.cast import PASSWORD
from tests.operations.sending import RECEIVED, body, received, record, send, sign

REASON = "The depth was read off the wrong gauge"
LATER = RECEIVED + timedelta(minutes=5)


def declared_void(crew, stored, by=None, reason=REASON, at=LATER):
    return void_record(assessment=stored, shown=state(stored), reason=reason, by=by or crew.chief, at=at)


def test_a_void_keeps_the_record_and_says_by_whom_when_and_why(crew):
    """Row, ledger and list; bytes, digest and signatures are what they were."""
    stored = received(crew)
    before = (stored.record, stored.digest, stored.signatures.count())
    declared_void(crew, stored)
    stored.refresh_from_db()
    assert (stored.record, stored.digest, stored.signatures.count()) == before
    entry = Entry.objects.get(verb="void_record")
    assert (entry.actor, json.loads(entry.detail)["reason"]) == (str(crew.chief.pk), REASON)
    (found,) = voids_of(stored.operation)
    assert (found["record"], found["name"], found["reason"], found["at"]) == (
        stored.digest,
        "Teo Brandt",
        REASON,
        LATER,
    )


@pytest.mark.parametrize("reason", ["", "wrong", " " * 20, "wrong" + " " * 20])
def test_a_void_takes_a_reason_of_fifteen_characters(crew, reason):
    """Blanks do not count; nothing is declared."""
    stored = received(crew)
    with pytest.raises(Refused, match="reason"):
        declared_void(crew, stored, reason=reason)
    assert not Assessment.objects.filter(voided_at__isnull=False).exists()
    assert not Entry.objects.filter(verb="void_record").exists()


@pytest.mark.parametrize("who", ["diver", "neighbour_chief", "installer"])
def test_who_may_not_declare_void_is_refused(crew, who):
    """A member, a neighbour, whoever installs."""
    with pytest.raises(NotAllowed):
        declared_void(crew, received(crew), by=crew.people[who])


def test_a_void_is_declared_once(crew):
    """The second one would replace who did it and why."""
    stored = received(crew)
    declared_void(crew, stored)
    with pytest.raises(AlreadyVoid):
        declared_void(crew, stored, by=crew.safety)


def test_every_rendering_says_void_and_why(crew, as_person):
    """Desk pages, sheet, its printed page, tablets' feed, the API and the export."""
    stored = received(crew)
    sheet = issue_sheet(assessment=stored, paper="letter", by=crew.chief, at=RECEIVED)
    declared_void(crew, stored)
    stored.refresh_from_db()
    client = as_person(crew.chief)
    for page in (
        f"/assessments/{stored.pk}/",
        f"/operations/{stored.operation_id}/",
        f"/sheets/{sheet.pk}/",
        f"/sheets/{sheet.pk}/print/",
    ):
        text = client.get(page).content.decode()
        assert "VOID" in text and REASON in text, page
    printed = compose(given(stored), cautions=CAUTIONS)
    assert printed.verdict.word.startswith("VOID") and "Divers may enter" not in printed.verdict.word
    assert REASON in str(printed.top) and "VOID" in printed.end
    heard = feed(stored.operation, -1)
    assert (heard["voided"], heard["current"]) == ([stored.digest], [])
    assert heard["revisions"][0]["void"]["reason"] == REASON
    api = client.get(f"/api/v1/assessments/{stored.pk}/").json()
    assert (api["void_reason"], bool(api["voided_at"])) == (REASON, True)
    assert client.get(f"/assessments/{stored.pk}/record.json").json()["void"]["reason"] == REASON
    assert state_of(stored)["lacking"][0] == "this record is void"


def test_a_tablet_that_had_heard_the_record_hears_that_it_is_void(crew):
    """From the place it had heard up to."""
    stored = received(crew)
    upto = feed(stored.operation, -1)["upto"]
    declared_void(crew, stored)
    news = feed(stored.operation, upto)
    assert [one["digest"] for one in news["revisions"]] == [stored.digest]
    assert news["upto"] > upto


def test_the_printed_code_answers_superseded(crew, client):
    """And the page that anybody may open names nobody and no reason."""
    stored = received(crew)
    declared_void(crew, stored)
    assert status(short_code(stored.digest)).word == "superseded"
    text = client.get(f"/sheet/{short_code(stored.digest)}/").content.decode()
    assert "declared VOID" in text
    assert REASON not in text and "Teo" not in text


def test_a_file_sealed_before_the_void_is_not_handed_out(crew, as_person):
    """It would not say VOID: it has to be made anew."""
    stored = received(crew)
    sheet = issue_sheet(assessment=stored, paper="letter", by=crew.chief, at=RECEIVED)
    type(sheet).objects.filter(pk=sheet.pk).update(state="ready", pdf="x.pdf", sha256="0" * 64)
    declared_void(crew, stored)
    answer = as_person(crew.chief).get(reverse("sheet_pdf", args=[sheet.pk]))
    assert answer.status_code == 409
    assert "before the record was declared void" in answer.content.decode()
    again = issue_sheet(
        assessment=Assessment.objects.get(), paper="letter", by=crew.chief, at=LATER + timedelta(minutes=1)
    )
    assert again.made_at > LATER


def test_a_void_record_is_not_in_force_for_the_chief(crew):
    """The list of what stands does not count it; the operation's page still shows it."""
    stored = received(crew)
    assert [row.assessment for row in assessments(crew.chief, {})] == [stored]
    declared_void(crew, stored)
    assert not assessments(crew.chief, {}).exists()


def test_what_changed_between_reading_and_confirming_is_not_declared_void(crew, as_person):
    """A signature came in between: 409 in words, the page of now, what was typed kept; confirmed again it holds."""
    made = record(crew)
    send(crew, body(made, sign(made, crew.supervisor)), key="k1")
    stored = Assessment.objects.get()
    client = as_person(crew.chief)
    page = f"/assessments/{stored.pk}/void/"
    shown = client.get(page).context["form"].initial["shown"]
    send(crew, body(made, sign(made, crew.supervisor), sign(made, crew.safety, "reviewed")), key="k2")
    stale = client.post(page, {"reason": REASON, "shown": shown})
    text = stale.content.decode()
    assert stale.status_code == 409
    assert "has changed since the page was shown" in text and REASON in text and "Lena Okafor" in text
    assert not Assessment.objects.filter(voided_at__isnull=False).exists()
    fresh = stale.context["form"].data["shown"]
    assert client.post(page, {"reason": REASON, "shown": fresh}).status_code == 302
    assert Assessment.objects.get().void_reason == REASON


@pytest.mark.parametrize("reason", ["", "   ", "too short"])
def test_a_void_without_a_reason_shows_the_page_again(crew, as_person, reason):
    """Beside the field, with what is accepted; nothing is declared."""
    stored = received(crew)
    page = f"/assessments/{stored.pk}/void/"
    client = as_person(crew.chief)
    shown = client.get(page).context["form"].initial["shown"]
    answer = client.post(page, {"reason": reason, "shown": shown})
    assert answer.status_code == 422
    assert "15" in str(answer.context["form"].errors["reason"])
    assert not Assessment.objects.filter(voided_at__isnull=False).exists()


def test_a_stale_page_of_a_superseded_record_is_refused_by_the_action_too(crew):
    """Whichever way in."""
    stored = received(crew)
    shown = state(stored)
    received(crew, number=2, revision=2, previous=stored.digest)
    with pytest.raises(HasChanged):
        void_record(assessment=stored, shown=shown, reason=REASON, by=crew.chief, at=LATER)


def test_a_void_needs_a_factor_given_within_five_minutes(crew, client, monkeypatch):
    """Signed in is not enough, and neither is a factor of six minutes ago."""
    crew.chief.set_password(PASSWORD)
    crew.chief.save()
    page = f"/assessments/{received(crew).pk}/void/"
    client.post("/accounts/login/", {"login": crew.chief.email, "password": PASSWORD})
    assert client.get(page)["Location"].startswith("/accounts/reauthenticate/")
    asked = client.post(page, {"reason": REASON})
    assert (asked.status_code, REASON in asked.content.decode()) == (401, True)
    client.post("/accounts/reauthenticate/", {"password": PASSWORD})
    assert client.get(page).status_code == 200
    now = __import__("time").time
    monkeypatch.setattr("allauth.account.internal.flows.reauthentication.time.time", lambda: now() + 301)
    assert client.get(page)["Location"].startswith("/accounts/reauthenticate/")


def test_a_correction_is_a_revision_with_its_reason(crew, as_person):
    """Kept in the record, the row, the list, on the desk and on paper; the one before stays readable and superseded."""
    first = received(crew)
    second = received(crew, number=2, revision=2, previous=first.digest, correction={"reason": REASON})
    (found,) = corrections_of(first.operation)
    assert (found["record"], found["corrects"], found["reason"]) == (second.digest, first.digest, REASON)
    client = as_person(crew.chief)
    assert REASON in client.get(f"/assessments/{second.pk}/").content.decode()
    assert client.get(f"/assessments/{first.pk}/").status_code == 200
    assert status(short_code(first.digest)).word == "superseded"
    assert status(short_code(second.digest)).word == "current"
    assert REASON in str(compose(given(second), cautions=CAUTIONS).top)


@pytest.mark.parametrize("correction", [{"reason": "typo"}, {"reason": " " * 30}, {}, {"reason": REASON, "by": "me"}])
def test_a_correction_without_a_reason_is_refused(crew, correction):
    """By field, and nothing is stored."""
    first = received(crew)
    made = record(crew, number=2, revision=2, previous=first.digest, correction=correction)
    with pytest.raises(Refused, match=r"record\.correction"):
        send(crew, body(made, sign(made, crew.supervisor)), key="k2")
    assert Assessment.objects.count() == 1


def test_a_first_revision_corrects_nothing(crew):
    """There is nothing before it."""
    made = record(crew, correction={"reason": REASON})
    with pytest.raises(Refused, match=r"record\.correction"):
        send(crew, body(made, sign(made, crew.supervisor)))
