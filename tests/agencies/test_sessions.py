"""Sessions: a second factor where the agency asks for it, sessions that end, and nothing lost by either."""

import json
import re
import time
from html import unescape

import pytest
from allauth.mfa.models import Authenticator
from allauth.mfa.totp.internal import auth as totp
from allauth.usersessions.models import UserSession
from django.core.cache import cache
from django.test import Client
from django.urls import reverse

from opsrisk.agencies import actions
from opsrisk.agencies.models import Agency, Person
from opsrisk.agencies.permissions import NotAllowed
from opsrisk.ledger.models import Entry
from tests.cast import NOON, PASSWORD

ROLES = {"supervisor": True, "chief": True, "safety": True, "diver": False}
HOUR = 3600


@pytest.fixture
def crew(cast):
    """Everybody with a password, in an agency that asks for a second factor."""
    cache.clear()
    for person in (cast.supervisor, cast.deputy, cast.diver, cast.chief, cast.safety):
        person.set_password(PASSWORD)
        person.save()
    actions.set_second_factor(agency=cast.agency, on=True, by=cast.chief, at=NOON)
    return cast


@pytest.fixture
def without(crew):
    """The same where none is asked for."""
    actions.set_second_factor(agency=crew.agency, on=False, by=crew.chief, at=NOON)
    return crew


def sign_in(client, person, **more):
    return client.post("/accounts/login/", {"login": person.email, "password": PASSWORD}, **more)


def code_of(secret):
    return totp.format_hotp_value(totp.hotp_value(secret, next(totp.yield_hotp_counters_from_time())))


def jump(monkeypatch, seconds):
    """From now on every clock that a session is measured by shows that much later."""
    now = time.time
    monkeypatch.setattr("opsrisk.agencies.sessions.time.time", lambda: now() + seconds)


def test_a_new_agency_asks_for_it(cast):
    """Unless whoever founds it says otherwise."""
    made = actions.found_agency(name="North Bank", slug="north", units="us", time_zone="UTC", by=None, at=NOON)
    assert made.second_factor
    assert Agency._meta.get_field("second_factor").default is True


@pytest.mark.parametrize("who", ROLES)
def test_roles_that_decide_are_led_to_set_one_up(crew, client, who):
    """Before any other page; a team member is not asked."""
    sign_in(client, crew.people[who])
    answer = client.get("/people/")
    if ROLES[who]:
        assert (answer.status_code, answer["Location"]) == (302, "/accounts/2fa/")
        assert "Your agency asks for one" in client.get("/accounts/2fa/").content.decode()
        assert client.get("/accounts/login/")["Location"] == "/accounts/2fa/"  # no ring between the two
    else:
        assert answer.status_code == 200


def test_once_set_up_the_pages_open_and_the_next_sign_in_asks(crew, client):
    """From the first page after the code; password alone then opens nothing; a recovery code works once."""
    sign_in(client, crew.chief)
    client.post("/accounts/reauthenticate/", {"password": PASSWORD})
    secret = client.get("/accounts/2fa/totp/activate/").context["form"].secret
    client.post("/accounts/2fa/totp/activate/", {"code": code_of(secret)})
    assert client.get("/people/").status_code == 200
    codes = client.get("/accounts/2fa/recovery-codes/").context["unused_codes"]
    client.post("/accounts/logout/")
    assert sign_in(client, crew.chief)["Location"] == "/accounts/2fa/authenticate/"
    assert client.get("/people/").status_code == 302
    cache.clear()
    assert client.post("/accounts/2fa/authenticate/", {"code": codes[0]}).status_code == 302
    assert client.get("/people/").status_code == 200
    client.post("/accounts/logout/")
    sign_in(client, crew.chief)
    assert client.post("/accounts/2fa/authenticate/", {"code": codes[0]}).status_code == 200
    assert client.get("/people/").status_code == 302


def test_a_removed_factor_shuts_the_pages_again(crew, client):
    """At the next request, in the same session."""
    sign_in(client, crew.chief)
    client.post("/accounts/reauthenticate/", {"password": PASSWORD})
    secret = client.get("/accounts/2fa/totp/activate/").context["form"].secret
    client.post("/accounts/2fa/totp/activate/", {"code": code_of(secret)})
    assert client.get("/people/").status_code == 200
    client.post("/accounts/2fa/totp/deactivate/")
    assert not Authenticator.objects.filter(type="totp").exists()
    assert client.get("/people/")["Location"] == "/accounts/2fa/"


def test_the_tablet_and_programs_are_told_in_words(crew, client):
    """401 as when nobody is signed in: the tablet holds what it has and says why; its own files stay open."""
    sign_in(client, crew.supervisor)
    for path in ("/tablet/kit.json", "/tablet/operations.json", "/api/v1/operations/"):
        answer = client.get(path)
        assert answer.status_code == 401, path
        assert "second factor" in answer.json()["errors"]
    sent = client.post("/api/v1/records/", "{}", content_type="application/json", headers={"Idempotency-Key": "k"})
    assert sent.status_code == 401
    assert client.get("/tablet/")["Location"] == "/accounts/2fa/"
    assert client.get("/tablet/bundle.json").status_code == 200


def test_the_chief_sets_it_with_a_fresh_factor(without, client):
    """Not a colleague; in the ledger; the note about it stands on every page."""
    sign_in(client, without.chief)
    assert "No second factor is asked for" in client.get("/people/").content.decode()
    assert client.get("/people/second-factor/")["Location"].startswith("/accounts/reauthenticate/")
    client.post("/accounts/reauthenticate/", {"password": PASSWORD})
    assert client.post("/people/second-factor/", {"second_factor": "on"}).status_code == 302
    without.agency.refresh_from_db()
    assert without.agency.second_factor
    entry = Entry.objects.filter(verb="set_second_factor").last()
    assert (entry.actor, json.loads(entry.detail)) == (str(without.chief.pk), {"on": True})
    with pytest.raises(NotAllowed):
        actions.set_second_factor(agency=without.agency, on=False, by=without.safety, at=NOON)
    with pytest.raises(NotAllowed):
        actions.set_second_factor(agency=without.agency, on=False, by=without.neighbour_chief, at=NOON)


def test_an_installer_needs_one_where_the_server_has_a_name(crew, client, settings):
    """Whoever installs belongs to no agency that could ask."""
    crew.installer.set_password(PASSWORD)
    crew.installer.save()
    settings.INSTALLER_SECOND_FACTOR = True
    sign_in(client, crew.installer)
    assert client.get("/admin/")["Location"] == "/accounts/2fa/"


def test_a_session_ends_twelve_hours_after_the_sign_in_however_busy(without, client, monkeypatch):
    """Not longer by being used; the tablet hears that nobody is signed in and keeps what it has."""
    sign_in(client, without.supervisor)
    assert client.get("/people/").status_code == 200
    for hours in (0.9, 1.8, 2.7):
        with monkeypatch.context() as later:
            jump(later, hours * HOUR)
            assert client.get("/people/").status_code == 200
    jump(monkeypatch, 12 * HOUR + 60)
    assert client.get("/tablet/session.json").json()["person"] is None
    assert client.get("/people/")["Location"].startswith("/accounts/login/")


def idle(monkeypatch):
    """An hour and a minute later, for the sessions and for the library that notes who proved who they are."""
    now = time.time
    for place in ("opsrisk.agencies.sessions.time.time", "allauth.account.internal.flows.login.time.time"):
        monkeypatch.setattr(place, lambda: now() + HOUR + 60)


def kept(answer):
    """What the page would send again."""
    found = re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)">', answer.content.decode())
    return {name: unescape(value) for name, value in found if name != "csrfmiddlewaretoken"}


def test_what_was_typed_at_an_idle_desk_waits_in_the_page(without, client, monkeypatch):
    """After an hour without a page nothing is done; it goes through once the person has given a factor and sends again."""
    sign_in(client, without.chief)
    client.get("/people/")
    form = {"name": 'North "pool" & basin', "water": "fresh", "notes": "typed before\nthe coffee"}
    idle(monkeypatch)
    assert client.get("/people/")["Location"].startswith("/accounts/reauthenticate/")
    for _ in range(2):  # whoever sends again without confirming loses nothing
        asked = client.post("/sites/add/?from=kit", form)
        assert asked.status_code == 401
        assert kept(asked) == form
        assert 'action="/sites/add/?from=kit"' in asked.content.decode()
    assert not without.agency.sites.filter(name=form["name"]).exists()
    client.post("/accounts/reauthenticate/", {"password": PASSWORD, "next": "/me/"})
    assert client.post("/sites/add/?from=kit", kept(asked)).status_code == 302
    assert without.agency.sites.filter(name=form["name"], notes=form["notes"]).count() == 1
    assert client.get("/people/").status_code == 200


def test_a_part_of_a_page_is_not_replaced_by_a_whole_page(without, client, monkeypatch):
    """A search inside a form says in its own place that it is locked; what was typed around it stays."""
    sign_in(client, without.chief)
    client.get("/sites/add/")
    search = {"path": reverse("nearby_stations"), "headers": {"HX-Request": "true"}}
    assert client.get(**search).status_code == 200
    with monkeypatch.context() as later:
        idle(later)
        locked = client.get(**search)
    assert locked.status_code == 286
    assert 'href="/accounts/reauthenticate/?next=%2Fme%2F"' in locked.content.decode()
    assert "<html" not in locked.content.decode()
    jump(monkeypatch, 12 * HOUR + 60)
    ended = client.get(**search)
    assert ended.status_code == 286 and "/accounts/login/?next=%2Fme%2F" in ended.content.decode()


def test_nothing_that_was_sent_is_kept_in_the_session(without, client, monkeypatch):
    """Neither a colleague's first password nor the cookies; the page leaves the password out and says so."""
    sign_in(client, without.chief)
    before = set(client.session.keys())
    idle(monkeypatch)
    form = {"name": "New", "email": "new@tarrow.example", "role": "member", "password": "eleven otters in a row"}
    answer = client.post("/people/enrol/", form)
    assert kept(answer) == {"name": "New", "email": "new@tarrow.example", "role": "member"}
    assert "give those again" in answer.content.decode()
    assert form["password"] not in answer.content.decode()
    assert set(client.session.keys()) - before <= {"began_at", "seen_at"}
    assert form["password"] not in json.dumps(dict(client.session.items()), default=str)


@pytest.mark.parametrize("which", ["idle", "not fresh"])
def test_a_page_elsewhere_sends_nothing_through_a_locked_desk(without, monkeypatch, which):
    """Without the token it is refused before anything else, and giving a factor afterwards does not bring it back."""
    client = Client(enforce_csrf_checks=True)
    client.force_login(without.chief, backend="allauth.account.auth_backends.AuthenticationBackend")
    token = re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', client.get("/people/").content.decode())[1]
    if which == "idle":
        idle(monkeypatch)
    page = f"/people/{without.diver.pk}/role/"
    forged = client.post(page, {"role": "chief"})
    assert forged.status_code == 403
    honest = client.post(page, {"role": "chief", "csrfmiddlewaretoken": token})
    assert honest.status_code == 401
    client.post("/accounts/reauthenticate/", {"password": PASSWORD, "next": page, "csrfmiddlewaretoken": token})
    assert client.get(page).status_code == 200
    assert Person.objects.get(pk=without.diver.pk).role == "member"


def test_a_session_used_on_the_tablet_alone_is_idle_at_the_desk(without, client, monkeypatch):
    """Its first page of the desk after an hour asks for a factor, though none was ever seen there before."""
    sign_in(client, without.supervisor)
    client.get("/tablet/kit.json")
    idle(monkeypatch)
    assert client.get("/tablet/kit.json").status_code == 200
    assert client.get("/people/")["Location"].startswith("/accounts/reauthenticate/")


def test_an_idle_tablet_goes_on(without, client, monkeypatch):
    """Its lock is its own: an hour under water is no hour away."""
    sign_in(client, without.supervisor)
    client.get("/tablet/kit.json")
    jump(monkeypatch, 3 * HOUR)
    assert client.get("/tablet/kit.json").status_code == 200
    assert client.get("/tablet/session.json").json()["person"]["name"] == "Ines Varga"


def test_one_sees_and_ends_ones_own_sessions(without, client):
    """The other place is signed out at once; nobody ends a colleague's that way."""
    elsewhere = type(client)()
    sign_in(elsewhere, without.supervisor, REMOTE_ADDR="192.0.2.50")
    sign_in(client, without.supervisor)
    page = client.get("/me/").content.decode()
    assert "192.0.2.50" in page and "this one" in page
    other = UserSession.objects.get(ip="192.0.2.50")
    stranger = type(client)()
    sign_in(stranger, without.chief)
    assert stranger.post(f"/me/sessions/{other.pk}/end/").status_code == 404
    assert elsewhere.get("/people/").status_code == 200
    assert client.post(f"/me/sessions/{other.pk}/end/").status_code == 302
    assert elsewhere.get("/people/").status_code == 302
    assert client.get("/people/").status_code == 200
    assert Entry.objects.filter(verb="end_session", subject_id=str(without.supervisor.pk)).count() == 1


def test_the_chief_signs_somebody_out_everywhere(without, client):
    """A tablet was lost: both its and the desk's session end now; a safety officer may not."""
    places = [type(client)() for _ in range(2)]
    for place in places:
        sign_in(place, without.supervisor)
    sign_in(client, without.chief)
    assert client.post(f"/people/{without.supervisor.pk}/end-sessions/").status_code == 302
    for place in places:
        assert place.get("/tablet/kit.json").status_code == 401
    assert json.loads(Entry.objects.get(verb="end_sessions").detail) == {"count": 2}
    with pytest.raises(NotAllowed):
        actions.end_sessions(person=without.supervisor, by=without.safety, at=NOON)
    assert client.get("/people/").status_code == 200


def test_retiring_ends_every_session_at_once(without, client):
    """Rows and cookies: nothing is left to come back to."""
    sign_in(client, without.supervisor)
    assert client.get("/people/").status_code == 200
    actions.retire(person=without.supervisor, by=without.chief, at=NOON)
    assert client.get("/people/").status_code == 302
    assert not UserSession.objects.filter(user=without.supervisor).exists()


def test_a_stranger_elsewhere_locks_nobody_out(without, client):
    """Fifty wrong tries from one address: the person signs in from their own at once."""
    for _ in range(50):
        wrong = {"login": without.supervisor.email, "password": "wrong words again"}
        client.post("/accounts/login/", wrong, REMOTE_ADDR="198.51.100.7")
    assert sign_in(client, without.supervisor, REMOTE_ADDR="192.0.2.1").status_code == 302
    refused = sign_in(type(client)(), without.supervisor, REMOTE_ADDR="198.51.100.7")
    assert refused.status_code in {200, 429}


def test_a_changed_role_takes_a_fresh_factor(without, client):
    """Signed in is not enough."""
    sign_in(client, without.chief)
    page = f"/people/{without.diver.pk}/role/"
    assert client.post(page, {"role": "supervisor"}).status_code == 401
    assert Person.objects.get(pk=without.diver.pk).role == "member"
    client.post("/accounts/reauthenticate/", {"password": PASSWORD})
    assert client.post(page, {"role": "supervisor"}).status_code == 302
    assert Person.objects.get(pk=without.diver.pk).role == "supervisor"


def test_exports_take_a_fresh_factor(without, client):
    """The list as CSV leaves the house."""
    sign_in(client, without.chief)
    page = reverse("review_csv")
    assert client.get(page)["Location"].startswith("/accounts/reauthenticate/")
    client.post("/accounts/reauthenticate/", {"password": PASSWORD})
    assert client.get(page).status_code == 200


def test_a_forgotten_password_tells_nobody_who_is_enrolled(without, client, mailoutbox):
    """Same page and status for an address that nobody here has."""
    known = client.post("/accounts/password/reset/", {"email": without.chief.email})
    cache.clear()
    unknown = client.post("/accounts/password/reset/", {"email": "nobody@tarrow.example"})
    assert (known.status_code, known["Location"]) == (unknown.status_code, unknown["Location"])
